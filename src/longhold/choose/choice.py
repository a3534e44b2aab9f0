"""The choice: which offers for which joint, at least present cost, and what else could have been chosen."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.setting import curve_ages, setting_for
from longhold.assessment.shared import Setting
from longhold.assessment.sheet_standard import sheet_standard
from longhold.base.errors import InputError
from longhold.choose.checks import problems_in
from longhold.choose.conflicts import Conflict, Said, conflict
from longhold.choose.dominance import undominated
from longhold.choose.options import (
    JointGroup,
    Option,
    ReadOffer,
    Trials,
    group_joints,
    joint_options,
    read_offers,
)
from longhold.choose.outlook import Bought, Outlook, bought, in_some_draws, outlook_of
from longhold.choose.programme import MOST_SECONDS, cheapest
from longhold.choose.purchase import Box, Candidate, Purchase, Taken
from longhold.model.costs import Costs
from longhold.model.offer import Offer
from longhold.model.structure import Structure

__all__ = ["Bought", "Choice", "Market", "choose", "in_draws", "market_for", "with_bans", "without_stock"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Market:
    """Everything that a choice is made from; asked several questions without computing it again.

    Attributes
    ----------
    structure, costs : as described
    setting : draws that all options share
    groups : joints alike, together
    options : of each group: what each set of offers would cost later, and the demands that it breaks.
        Offers that no purchase needs, because another does the same for no more, are not in them
    unread : offers whose labels cannot be read, with the reason
    read : all other offers
    locks, bans : as asked
    missing : items out of stock
    trials : what came of joints under offers, to be used again under other locks and bans
    """

    structure: Structure
    costs: Costs
    setting: Setting
    groups: tuple[JointGroup, ...]
    options: tuple[tuple[Bought, ...], ...]
    unread: tuple[tuple[Offer, str], ...]
    read: tuple[ReadOffer, ...] = ()
    locks: Mapping[tuple[str, str], str] = field(default_factory=dict)
    bans: frozenset[str] = frozenset()
    missing: frozenset[str] = frozenset()
    trials: Trials = field(default_factory=dict)

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
    fixing : labor of fixing all joints for the first time
    each_kind : what every kind of box on the site costs besides its price
    later_counts : whether it is cheapest over the life; else today
    """

    name: str
    bought: tuple[Bought, ...]
    purchase: Purchase
    currency: str
    boxes: Mapping[str, Box]
    left_out: tuple[Conflict, ...]
    fixing: float = 0.0
    each_kind: float = 0.0
    later_counts: bool = True

    @property
    def packs_price(self) -> float:
        """Price of the packs alone."""
        return sum(self.boxes[item].price * packs for item, packs in self.purchase.packs.items())

    @property
    def kinds_price(self) -> float:
        """What is set on each kind of box, for all kinds that are bought."""
        return self.each_kind * len(self.purchase.packs)

    @property
    def today(self) -> float:
        """Price of the packs, and what is set on their kinds."""
        return self.packs_price + self.kinds_price

    @property
    def bound(self) -> float:
        """No other purchase for the same joints costs less than this over the life, or today."""
        return self.purchase.bound + (self.fixing if self.later_counts else 0.0)

    @property
    def over_life(self) -> Array:
        """Present cost over the life, by draw: packs and their kinds, first fixing and later costs."""
        return np.asarray(self.today + self.fixing + np.sum([one.later for one in self.bought], axis=0))

    @property
    def sure_years(self) -> float:
        """Age that every joint reaches with the target chance [years]."""
        return min((one.sure_years for one in self.bought), default=0.0)


def market_for(
    structure: Structure,
    offers: Sequence[Offer],
    costs: Costs,
    *,
    locks: Mapping[tuple[str, str], str] | None = None,
    bans: frozenset[str] = frozenset(),
    draws: int = 2000,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
) -> Market:
    """Read the offers and try them on every joint.

    Parameters
    ----------
    locks : (joint id, part id) -> item that must be used there
    bans : items that may not be used: out of stock, not wanted
    draws, seed : of the uncertain inputs
    progress : called with groups of joints done and in all

    Raises
    ------
    InputError : two offers with one number, a currency without a rate, a lock on what is not there
    """
    locks = dict(locks or {})
    if problems := list(problems_in(structure, offers, costs, locks, bans)):
        raise InputError(*problems)
    read, unread = read_offers(offers, sheet_standard(structure))
    setting = setting_for(structure, curve_ages(structure.design_life), draws=draws, seed=seed)
    return _filled(Market(structure, costs, setting, (), (), unread, read, locks, bans), progress)


def with_bans(market: Market, bans: Collection[str]) -> Market:
    """The same market without some items besides those banned already; nothing is drawn anew.

    Raises
    ------
    InputError : an item is not among the offers
    """
    offers = [one.offer for one in market.read]
    if problems := list(problems_in(market.structure, offers, market.costs, {}, bans)):
        raise InputError(*problems)
    return _filled(replace(market, bans=market.bans | frozenset(bans)))


def without_stock(market: Market, items: Collection[str]) -> Market:
    """The same market while some items are out of stock; nothing is drawn anew.

    Raises
    ------
    InputError : an item is not among the offers
    """
    offers = [one.offer for one in market.read]
    if problems := list(problems_in(market.structure, offers, market.costs, {}, items, what="without")):
        raise InputError(*problems)
    return _filled(replace(market, missing=market.missing | frozenset(items)))


def _filled(market: Market, progress: Callable[[int, int], None] | None = None) -> Market:
    """A market with its groups of joints and their options."""
    structure, costs = market.structure, market.costs
    groups = group_joints(structure.joints, apart={joint for joint, _ in market.locks})
    offers = undominated(
        market.read,
        [part for group in groups for part in group.joint.parts],
        lambda one: _in_currency(one.offer, costs),
        keep=set(market.locks.values()),
        never=market.bans | market.missing,
    )
    outlooks: dict[int, Outlook | None] = {}

    def outlook(option: Option) -> Outlook | None:
        known = id(option.trial)  # kept alive by the market, so no other object takes its place
        if known not in outlooks:
            outlooks[known] = outlook_of(option, structure, costs)
        return outlooks[known]

    def options_of(group: JointGroup) -> Iterator[Bought]:
        found = joint_options(
            group.joint,
            offers,
            market.setting,
            locks=market.locks,
            bans=market.bans,
            missing=market.missing,
            trials=market.trials,
        )
        for one in found:
            pieces = zip(one.offers, group.joint.parts, strict=True)
            material = sum(_piece(chosen, costs) * part.count for chosen, part in pieces)
            yield bought(group, one, outlook(one), structure, costs, material)

    options = []
    for done, group in enumerate(groups, 1):
        options.append(tuple(options_of(group)))
        if progress is not None:
            progress(done, len(groups))
    return replace(market, groups=groups, options=tuple(options))


def in_draws(market: Market, draws: NDArray[np.bool_]) -> Market:
    """The same market as it would look if only some of the draws could come true."""
    outlooks: dict[int, Outlook | None] = {}

    def judged(one: Bought) -> Bought:
        known = id(one.option.trial)
        if known not in outlooks:
            outlooks[known] = outlook_of(one.option, market.structure, market.costs, draws)
        return in_some_draws(one, outlooks[known], market.structure.target_chance)

    return replace(market, options=tuple(tuple(map(judged, some)) for some in market.options))


def choose(
    market: Market,
    *,
    name: str = "cheapest over the life",
    least_years: float = 0.0,
    later_counts: bool = True,
    seconds: float = MOST_SECONDS,
) -> Choice:
    """The purchase of least present cost; joints that nothing on offer satisfies are left out and told.

    Parameters
    ----------
    name : what the alternative is called
    least_years : age that each joint must reach with the target chance [years], besides the demands
    later_counts : whether costs after building count; without them the cheapest today comes out
    seconds : after which the solver stops; the purchase then says how far its bound lies below it

    Raises
    ------
    NotSolvedError : where the solver's answer does not stand when it is counted afresh
    """
    fine = [
        [one for one in some if not one.broken and one.sure_years >= least_years] for some in market.options
    ]
    met = [some for some in fine if some]
    boxes = _boxes(market)
    found = cheapest(
        [[_candidate(one, market.costs, later_counts) for one in some] for some in met],
        boxes,
        spare=market.costs.spare,
        each_item=market.costs.each_item,
        seconds=seconds,
    )
    chosen = tuple(some[index] for some, index in zip(met, found.chosen, strict=True))
    said = Said(market.locks, market.bans, market.missing)
    left_out = tuple(
        conflict(group, [(one, _broken(one, least_years)) for one in options], market.read, said)
        for group, options, some in zip(market.groups, market.options, fine, strict=True)
        if not some
    )
    fixing = sum(_fixing(one.group, market.costs) for one in chosen)
    each_kind = market.costs.each_item
    currency = market.costs.currency
    return Choice(name, chosen, found, currency, boxes, left_out, fixing, each_kind, later_counts)


def _broken(one: Bought, least_years: float) -> frozenset[str]:
    return one.broken | {"age"} if one.sure_years < least_years else one.broken


def _fixing(group: JointGroup, costs: Costs) -> float:
    return group.quantity * costs.fixing_per_joint * float(getattr(costs.access, group.joint.access))


def _candidate(one: Bought, costs: Costs, later_counts: bool) -> Candidate:
    number = one.group.quantity
    renewals = number * one.outlook.mean_ends if later_counts and one.outlook is not None else 0.0
    parts = tuple(
        Taken(chosen.offer.item, part.count * number, renewals * part.count * _piece(chosen, costs))
        for chosen, part in zip(one.option.offers, one.group.joint.parts, strict=True)
    )
    return Candidate(parts, one.later_but_material if later_counts else 0.0, id(one.option.trial))


def _boxes(market: Market) -> dict[str, Box]:
    return {
        item: Box(_in_currency(one.offer, market.costs), one.offer.pack, one.offer.least_packs)
        for item, one in market.fitting.items()
    }


def _piece(one: ReadOffer, costs: Costs) -> float:
    return _in_currency(one.offer, costs) / one.offer.pack


def _in_currency(offer: Offer, costs: Costs) -> float:
    rate = 1.0 if offer.currency == costs.currency else costs.rates[offer.currency]
    return offer.price / rate
