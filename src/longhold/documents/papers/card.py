"""The site card: which box for which joint, what never to mix, what the label must read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from longhold.choose.choice import Bought
from longhold.documents.choice_words import doubt_words
from longhold.documents.joint_ids import ids_words
from longhold.documents.papers.deal import Deal, family_words
from longhold.documents.papers.metal import face_words
from longhold.documents.papers.model import Card, CardBox
from longhold.documents.words import plural
from longhold.metal.couples import mixed_couples
from longhold.model.protection import Protection

__all__ = ["card_of"]

_IDS, _ITEMS = 6, 4


def card_of(deal: Deal) -> Card:
    """The card for a choice."""
    return Card(
        title="Which box for which joint",
        boxes=tuple(_boxes(deal)),
        unsettled=tuple(_unsettled(deal)),
        never=tuple(dict.fromkeys(_never(deal))),
        labels=tuple(_labels(deal)),
    )


def _boxes(deal: Deal) -> Iterator[CardBox]:
    """Groups of joints that take the same pieces share a box."""
    together: dict[tuple[tuple[str, str, str], ...], list[Bought]] = {}
    for one in deal.choice.bought:
        together.setdefault(_lines(one), []).append(one)
    for lines, same in together.items():
        ids = deal.in_order(name for one in same for name in one.group.ids)
        names = dict.fromkeys(deal.joints[name].name for name in ids)
        yield CardBox(_where(ids), "; ".join(names), lines)


def _lines(one: Bought) -> tuple[tuple[str, str, str], ...]:
    pairs = zip(one.group.joint.parts, one.option.offers, strict=True)
    return tuple(
        (offer.offer.item, f"{offer.offer.part.kind_words}, {offer.offer.size}", f"{part.count:,} in each")
        for part, offer in pairs
    )


def _unsettled(deal: Deal) -> Iterator[str]:
    left = [name for one in deal.unsettled if not one.bought for name in one.ids]
    still_open = [name for one in deal.unsettled if one.bought for name in one.ids]
    if left:
        yield f"No box for {_where(left)}: ask before you build."
    if still_open:
        yield f"Ask first at {_where(still_open)}: something is still open."
    for words, accepted in doubt_words(deal.market, deal.choice, most=_IDS):
        yield f"{words}{'. Report pits early' if accepted else ': ask first'}."


def _labels(deal: Deal) -> Iterator[tuple[str, str, str]]:
    """Items of one designation and one meaning stand together."""
    together: dict[tuple[str, str], list[str]] = {}
    units = deal.market.structure.units
    for item, found in deal.items.items():
        key = found.protection.designation, face_words(found.protection, units)
        together.setdefault(key, []).append(item)
    for (designation, face), items in together.items():
        yield ", ".join(items), designation, face


def _never(deal: Deal) -> Iterator[str]:
    yield from _mixes(deal)
    yield from _kept_pure(deal)
    yield from _alike(deal)
    if deal.items:
        yield "No label, or a label that reads otherwise: do not use it, send it back."


def _mixes(deal: Deal) -> Iterator[str]:
    """Pairs of metal families among what is bought, and why they must not meet in a joint."""
    families: dict[str, list[str]] = {}
    for item, found in deal.items.items():
        families.setdefault(family_words(found.protection), []).append(item)
    for one, other in combinations(families, 2):
        why = _reason(*(deal.items[families[name][0]].protection for name in (one, other)))
        pair = f"{one} ({_some(families[one])}) with {other} ({_some(families[other])})"
        yield f"Never {pair} in one joint. {why}"


def _kept_pure(deal: Deal) -> Iterator[str]:
    """What must stay away from every joint of one metal: the metals of other boxes and of the old plan.

    A joint is named whatever its own plan was: a piece of the wrong metal is at hand on the whole site.
    """
    pure, metals = _metals(deal)
    for new, names in pure.items():
        others = [one for one in metals if one != new]
        if not others:
            continue
        reasons = dict.fromkeys(_reason(metals[new], metals[one]) for one in others)
        where = _where(deal.in_order(names))
        told = " or ".join(others)
        yield f"{where}: only {new} goes in, never {_a(told)} piece. {' '.join(reasons)}"


def _metals(deal: Deal) -> tuple[dict[str, list[str]], dict[str, Protection]]:
    """Joints that take one metal only, by metal; and every metal bought or described, with one of it."""
    of_joint: dict[str, set[str]] = {}
    metals: dict[str, Protection] = {}
    for one, _, offer, _ in deal.parts:
        family = family_words(offer.protection)
        metals.setdefault(family, offer.protection)
        for name in one.group.ids:
            of_joint.setdefault(name, set()).add(family)
    for read in deal.market.setting.prepared.readings.values():
        metals.setdefault(family_words(read.protection), read.protection)
    pure: dict[str, list[str]] = {}
    for name, families in of_joint.items():
        if len(families) == 1:
            pure.setdefault(next(iter(families)), []).append(name)
    return pure, metals


def _a(words: str) -> str:
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _where(ids: Sequence[str]) -> str:
    """Names of joints, as many as the card has room for; the others are in the schedule."""
    told = ids_words(ids, most=_IDS)
    return told if told == ids_words(ids) else f"{told} (see the schedule)"


def _reason(one: Protection, other: Protection) -> str:
    return mixed_couples([("one", one, False), ("other", other, False)])[0].reason


def _alike(deal: Deal) -> Iterator[str]:
    """Items of one kind and size under different designations: only the label tells them apart."""
    for one, other in combinations(deal.items.values(), 2):
        same = one.offer.part.kind == other.offer.part.kind and one.offer.fits(other.offer.part)
        if same and one.protection.designation != other.protection.designation:
            yield (
                f"{one.offer.item} and {other.offer.item} look alike. The label tells: "
                f"{one.protection.designation} or {other.protection.designation}."
            )


def _some(items: list[str]) -> str:
    more = len(items) - _ITEMS
    return ", ".join(items[:_ITEMS]) + (f" and {plural(more, 'more', 'more')}" if more > 0 else "")
