"""The choice: which offers for which joint, at least present cost, and what else could have been chosen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.parts import Setting
from longhold.assessment.setting import setting_for
from longhold.base.errors import InputError, Problem
from longhold.choose.conflicts import Conflict, conflict
from longhold.choose.life_cost import LaterCosts, later_cost
from longhold.choose.money import DiscountRate
from longhold.choose.options import JointGroup, Option, ReadOffer, group_joints, joint_options, read_offers
from longhold.choose.programme import Box, Candidate, Purchase, cheapest
from longhold.model.costs import Costs
from longhold.model.offer import Offer
from longhold.model.structure import Structure

__all__ = ["Bought", "Choice", "Market", "choose", "in_draws", "market_for"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Bought:
    """What one group of joints may get.

    Attributes
    ----------
    group, option : the joints, and the offers for them
    broken : demands that it does not meet, by name
    later : present value of later costs of all its joints, by draw
    sure_years : age that its joints reach with the asked chance [years], infinite where past all ages
    """

    group: JointGroup
    option: Option
    broken: frozenset[str]
    later: Array
    sure_years: float


@dataclass(frozen=True)
class Market:
    """Everything that a choice is made from; asked several questions without computing it again.

    Attributes
    ----------
    structure, costs : as described
    setting : draws that all options share
    groups : joints alike, together
    options : of each group: what each set of offers would cost later, and the demands that it breaks
    unread : offers whose labels cannot be read, with the reason
    """

    structure: Structure
    costs: Costs
    setting: Setting
    groups: tuple[JointGroup, ...]
    options: tuple[tuple[Bought, ...], ...]
    unread: tuple[tuple[Offer, str], ...]

    @property
    def fitting(self) -> dict[str, ReadOffer]:
        """Offers that fit somewhere, by item."""
        every = (one.option for some in self.options for one in some)
        return {one.offer.item: one for option in every for one in option.offers}


@dataclass(frozen=True)
class Choice:
    """A purchase for the whole structure.

    Attributes
    ----------
    name : of the alternative, for people
    bought : by group of joints
    purchase : packs, cost and the bound that proves it least
    currency : of every amount
    boxes : price and pack of every item that fits somewhere
    left_out : joints that nothing on offer satisfies, each with demands that cannot stand together
    """

    name: str
    bought: tuple[Bought, ...]
    purchase: Purchase
    currency: str
    boxes: Mapping[str, Box]
    left_out: tuple[Conflict, ...]

    @property
    def today(self) -> float:
        """Price of the packs alone."""
        return sum(self.boxes[item].price * packs for item, packs in self.purchase.packs.items())

    @property
    def over_life(self) -> Array:
        """Present cost over the life, by draw: packs and later costs."""
        return np.asarray(self.today + np.sum([one.later for one in self.bought], axis=0))

    @property
    def sure_years(self) -> float:
        """Age that every joint reaches with the asked chance [years]."""
        return min((one.sure_years for one in self.bought), default=0.0)


def market_for(
    structure: Structure,
    offers: Sequence[Offer],
    costs: Costs,
    *,
    locks: Mapping[tuple[str, str], str] | None = None,
    bans: frozenset[str] = frozenset(),
    draws: int = 1000,
    seed: int = 1,
) -> Market:
    """Read the offers and try them on every joint.

    Parameters
    ----------
    locks : (joint id, part id) -> item that must be used there
    bans : items that may not be used: out of stock, not wanted
    draws, seed : of the uncertain inputs

    Raises
    ------
    InputError : two offers with one number, a currency without a rate, a lock on what is not there
    """
    locks = dict(locks or {})
    problems = [*_twice(offers), *_unpriced(offers, costs), *_unknown(structure, offers, locks, bans)]
    if problems:
        raise InputError(*problems)
    read, unread = read_offers(offers)
    setting = setting_for(
        structure, np.linspace(0.0, 2.0 * structure.design_life, 33), draws=draws, seed=seed
    )
    groups = group_joints(structure.joints, apart={joint for joint, _ in locks})
    options = tuple(
        tuple(
            _bought(structure, costs, group, option)
            for option in joint_options(group.joint, read, setting, locks=locks, bans=bans)
        )
        for group in groups
    )
    return Market(structure, costs, setting, groups, options, unread)


def in_draws(market: Market, draws: NDArray[np.bool_]) -> Market:
    """The same market as it would look if only some of the draws could come true."""
    options = tuple(
        tuple(_bought(market.structure, market.costs, one.group, one.option, draws) for one in some)
        for some in market.options
    )
    return replace(market, options=options)


def choose(
    market: Market,
    *,
    name: str = "cheapest over the life",
    least_years: float = 0.0,
    later_counts: bool = True,
) -> Choice:
    """The purchase of least present cost; joints that nothing on offer satisfies are left out and told.

    Parameters
    ----------
    name : what the alternative is called
    least_years : age that each joint must reach with the asked chance [years], besides the demands
    later_counts : whether costs after building count; without them the cheapest today comes out

    Raises
    ------
    NotSolvedError : where the solver proves no answer
    """
    fine = [
        [one for one in some if not one.broken and one.sure_years >= least_years] for some in market.options
    ]
    met = [some for some in fine if some]
    boxes = _boxes(market)
    found = cheapest(
        [[_candidate(one, later_counts) for one in some] for some in met],
        boxes,
        spare=market.costs.spare,
        each_item=market.costs.each_item,
    )
    chosen = tuple(some[index] for some, index in zip(met, found.chosen, strict=True))
    left_out = tuple(
        conflict(group, [one.broken for one in options])
        for group, options, some in zip(market.groups, market.options, fine, strict=True)
        if not some
    )
    return Choice(name, chosen, found, market.costs.currency, boxes, left_out)


def _bought(
    structure: Structure,
    costs: Costs,
    group: JointGroup,
    option: Option,
    draws: NDArray[np.bool_] | None = None,
) -> Bought:
    years, broken, target = option.trial.years, option.broken, structure.target_chance
    if years is None:
        return Bought(group, option, broken, np.zeros(1), 0.0)
    if draws is not None:
        years = years[draws]
        reached = float(np.mean(years > structure.design_life)) >= target
        broken = broken - {"target"} if reached else broken | {"target"}
    parts = group.joint.parts
    material = sum(_piece(one, costs) * part.count for one, part in zip(option.offers, parts, strict=True))
    labor = costs.labor_per_joint * float(getattr(costs.access, group.joint.access))
    each = LaterCosts(
        renewal=material + labor,
        visit=costs.visit_per_joint,
        visit_every_years=costs.visit_every_years,
        failure=costs.failure,
        unnoticed=costs.unnoticed,
    )
    later = group.quantity * later_cost(years, each, DiscountRate.flat(costs.rate), structure.design_life)
    sure = float(np.quantile(years, 1.0 - target, method="lower"))
    return Bought(group, option, broken, later, sure)


def _candidate(one: Bought, later_counts: bool) -> Candidate:
    pieces: dict[str, int] = {}
    for chosen, part in zip(one.option.offers, one.group.joint.parts, strict=True):
        item = chosen.offer.item
        pieces[item] = pieces.get(item, 0) + part.count * one.group.quantity
    return Candidate(pieces, float(np.mean(one.later)) if later_counts else 0.0)


def _boxes(market: Market) -> dict[str, Box]:
    return {
        item: Box(_in_currency(one.offer, market.costs), one.offer.pack)
        for item, one in market.fitting.items()
    }


def _piece(one: ReadOffer, costs: Costs) -> float:
    return _in_currency(one.offer, costs) / one.offer.pack


def _in_currency(offer: Offer, costs: Costs) -> float:
    rate = 1.0 if offer.currency == costs.currency else costs.rates[offer.currency]
    return offer.price / rate


def _twice(offers: Sequence[Offer]) -> Iterator[Problem]:
    seen: set[str] = set()
    for offer in offers:
        if offer.item in seen:
            yield Problem("offers", offer.item, "stands twice; every item number may stand once.")
        seen.add(offer.item)


def _unpriced(offers: Sequence[Offer], costs: Costs) -> Iterator[Problem]:
    for currency in sorted({offer.currency for offer in offers} - {costs.currency, *costs.rates}):
        do = f"Give it in the costs file as rates.{currency}: units of {currency} for one {costs.currency}."
        yield Problem("offers", currency, f"has no rate to {costs.currency}.", do)


def _unknown(
    structure: Structure,
    offers: Sequence[Offer],
    locks: Mapping[tuple[str, str], str],
    bans: frozenset[str],
) -> Iterator[Problem]:
    items = {offer.item for offer in offers}
    parts = {(joint.id, part.id) for joint in structure.joints for part in joint.parts}
    for (joint, part), item in locks.items():
        if (joint, part) not in parts:
            yield Problem("lock", f"{joint}.{part}", "is no part of the structure.")
        if item not in items:
            yield Problem("lock", item, "is not among the offers.")
    for item in sorted(bans - items):
        yield Problem("ban", item, "is not among the offers.")
