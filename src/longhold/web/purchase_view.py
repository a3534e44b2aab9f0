"""A choice joint by joint: what is bought for each part, why, and what else could stand there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.assessment.alternatives import allowed_together, metals_mixed
from longhold.choose.options import DEMANDS
from longhold.choose.ways_out import ways_out
from longhold.documents.choice_words import (
    age_words,
    chance_words,
    demand_words,
    left_out_because,
    money,
    money_band,
)
from longhold.documents.joint_ids import joints_words
from longhold.documents.way_words import way_words
from longhold.documents.words import upper_first

if TYPE_CHECKING:
    from longhold.choose.choice import Choice, Market
    from longhold.choose.conflicts import Conflict
    from longhold.choose.options import ReadOffer
    from longhold.choose.outlook import Bought
    from longhold.model.parts import Part

__all__ = ["ConflictRow", "JointRow", "OtherRow", "PartRow", "WayRow", "conflict_rows", "joint_rows"]

_MOST_OTHERS = 12


@dataclass(frozen=True)
class OtherRow:
    """An offer that fits a part and is not chosen for it."""

    item: str
    what: str
    price: str
    why: str


@dataclass(frozen=True)
class PartRow:
    """What is bought for one part.

    Attributes
    ----------
    part, item, what, price : id of the part; number, kind with protection, and price of the offer
    locked : whether it was said that this item is used
    others : what else fits in kind and size, the cheapest first
    more : others that are not listed
    """

    part: str
    item: str
    what: str
    price: str
    locked: bool
    others: tuple[OtherRow, ...]
    more: int


@dataclass(frozen=True)
class WayRow:
    """Another set of offers for all parts of a joint.

    Attributes
    ----------
    offers : ids of the parts, each with its item
    what, why : for people
    """

    offers: tuple[tuple[str, str], ...]
    what: str
    why: str


@dataclass(frozen=True)
class JointRow:
    """One group of joints.

    Attributes
    ----------
    joint : id of the first of them
    ids, name : for people
    parts : what is bought for each part
    ways : other sets for a joint of several parts, the cheapest over the life first
    why : the reason in a sentence
    chance, years, later : of the design life, reached with the asked chance, later costs
    """

    joint: str
    ids: str
    name: str
    parts: tuple[PartRow, ...]
    ways: tuple[WayRow, ...]
    why: str
    chance: str
    years: str
    later: str


@dataclass(frozen=True)
class ConflictRow:
    """Joints that nothing on offer satisfies.

    Attributes
    ----------
    ids, name : for people
    because : why, where no offer fits; blank where demands stand against one another
    demands : that cannot be met together, in words
    ways : what giving up some of them would bring, and whether that is done in the structure
    """

    ids: str
    name: str
    because: str
    demands: tuple[str, ...]
    ways: tuple[tuple[str, bool], ...]


def joint_rows(market: Market, chosen: Choice) -> tuple[JointRow, ...]:
    """Every group of joints that something is bought for, in the order of the structure."""
    options = {group.ids: some for group, some in zip(market.groups, market.options, strict=True)}
    return tuple(_joint(one, options[one.group.ids], market) for one in chosen.bought)


def conflict_rows(market: Market, chosen: Choice) -> tuple[ConflictRow, ...]:
    """Every group of joints that nothing is bought for."""
    return tuple(_conflict(one, market) for one in chosen.left_out)


def _joint(one: Bought, options: Sequence[Bought], market: Market) -> JointRow:
    by_items = {_items(other): other for other in options}
    parts = zip(one.group.joint.parts, one.option.offers, strict=True)
    rows = (_part(number, part, offer, one, by_items, market) for number, (part, offer) in enumerate(parts))
    return JointRow(
        one.group.ids[0],
        joints_words(one.group.ids, one.group.quantity),
        one.group.joint.name,
        tuple(rows),
        tuple(_other_ways(one, options, market)) if len(one.option.offers) > 1 else (),
        _why(one, options, market),
        chance_words(one.option.trial),
        age_words(one.sure_years, market),
        money_band(one.later, market.costs.currency),
    )


def _other_ways(one: Bought, options: Sequence[Bought], market: Market) -> Iterator[WayRow]:
    others = [other for other in options if _items(other) != _items(one)]
    for other in sorted(others, key=lambda each: (bool(each.broken), each.alone))[:_MOST_OTHERS]:
        parts = [part.id for part in one.group.joint.parts]
        said = dict.fromkeys(
            f"{each.offer.item} ({each.protection.designation})" for each in other.option.offers
        )
        yield WayRow(
            tuple(zip(parts, _items(other), strict=True)), " with ".join(said), _beside(other, one, market)
        )


def _why(one: Bought, options: Sequence[Bought], market: Market) -> str:
    fine = [other for other in options if not other.broken]
    if any(joint in one.group.ids for joint, _ in market.locks):
        return "You said that it is used."
    if len(fine) == 1:
        return "Nothing else on the list that meets what is asked here costs less."
    least = min(fine, key=lambda other: other.alone)
    told = f"Of {len(fine)} ways that meet everything asked, "
    if one.alone <= least.alone + 0.5:
        return f"{told}it costs least over the life: {money(one.alone, market.costs.currency)}."
    more = money(one.alone - least.alone, market.costs.currency)
    return (
        f"{told}one costs {more} less by itself; with whole packs and fewer kinds of box, this one is the "
        "cheaper for the structure."
    )


def _part(
    number: int,
    part: Part,
    bought: ReadOffer,
    one: Bought,
    by_items: Mapping[tuple[str, ...], Bought],
    market: Market,
) -> PartRow:
    fitting = [each for each in market.read if each.offer.fits(part) and each.offer.item != bought.offer.item]
    fitting.sort(key=lambda each: (_piece(each, market), each.offer.item))
    shown = fitting[:_MOST_OTHERS]
    others = (
        OtherRow(each.offer.item, _what(each), _price(each), _why_not(number, each, one, by_items, market))
        for each in shown
    )
    return PartRow(
        part.id,
        bought.offer.item,
        _what(bought),
        _price(bought),
        any((joint, part.id) in market.locks for joint in one.group.ids),
        tuple(others),
        len(fitting) - len(shown),
    )


def _why_not(
    number: int,
    other: ReadOffer,
    one: Bought,
    by_items: Mapping[tuple[str, ...], Bought],
    market: Market,
) -> str:
    """Why an offer is not chosen for a part while the other parts stay as they are."""
    if other.offer.item in market.bans:
        return "you said not this"
    offers = [*one.option.offers]
    offers[number] = other
    joint, promised = one.group.joint, [each.protection for each in offers]
    if (held := by_items.get(tuple(each.offer.item for each in offers))) is not None:
        return _beside(held, one, market)
    if not allowed_together(joint, promised, market.setting):
        return "with the other parts as they are, the code refuses it or leaves it open"
    if metals_mixed(joint, promised):
        return "with the other parts as they are, it would mix metals"
    if any((each, part.id) in market.locks for each in one.group.ids for part in joint.parts):
        return "you said what is used"
    return "another does the same for no more"


def _beside(held: Bought, one: Bought, market: Market) -> str:
    if held.broken:
        words = " and ".join(DEMANDS[name] for name in DEMANDS if name in held.broken)
        if held.outlook is None:
            return f"it does not give {words}"
        return f"it does not give {words}: chance of the design life {chance_words(held.option.trial)}"
    more = held.alone - one.alone
    currency = market.costs.currency
    if more < 0.5:
        return "it costs no more by itself, but more with whole packs"
    today = one.group.quantity * (held.material - one.material)
    return f"{money(more, currency)} more over the life, {money(today, currency, signed=True)} of it today"


def _conflict(one: Conflict, market: Market) -> ConflictRow:
    demands = tuple(demand_words(name, market) for name in one.demands)
    return ConflictRow(
        joints_words(one.group.ids, one.group.quantity),
        one.group.joint.name,
        "" if demands else left_out_because(one, market),
        demands,
        tuple(_ways(one, market)),
    )


def _ways(one: Conflict, market: Market) -> Iterator[tuple[str, bool]]:
    for out in ways_out(one, market.setting):
        yield upper_first(way_words(out, market)), not {"lock", "ban", "stock"}.issuperset(out.way.given_up)


def _items(one: Bought) -> tuple[str, ...]:
    return tuple(each.offer.item for each in one.option.offers)


def _what(one: ReadOffer) -> str:
    return f"{one.offer.part.kind_words} {one.offer.size}, {one.protection.designation}"


def _price(one: ReadOffer) -> str:
    offer = one.offer
    pack = "each" if offer.pack == 1 else f"for {offer.pack:,}"
    return f"{offer.price:,.2f} {offer.currency} {pack}"


def _piece(one: ReadOffer, market: Market) -> float:
    costs = market.costs
    rate = 1.0 if one.offer.currency == costs.currency else costs.rates[one.offer.currency]
    return one.offer.price / rate / one.offer.pack
