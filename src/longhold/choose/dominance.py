"""Offers that no purchase needs, because another one does the same for no more money."""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Iterator, Sequence
from math import ceil

from longhold.choose.options import ReadOffer
from longhold.model.parts import Part

__all__ = ["never_dearer", "undominated"]


def undominated(
    offers: Sequence[ReadOffer],
    parts: Sequence[Part],
    price: Callable[[ReadOffer], float],
    *,
    keep: Collection[str] = (),
    never: Collection[str] = (),
) -> tuple[ReadOffer, ...]:
    """Offers without those that a purchase can do without, in their order.

    Parameters
    ----------
    parts : of all joints that are bought for; what fits none of them is left out
    price : of one pack in one currency
    keep : items that stay, because something asks for them by number
    never : items that may not be bought, and so replace nothing

    An offer is left out for another one that promises the same protection, fits the same parts, and is
    never dearer. Take any purchase that holds the first, and put the second in its place everywhere: the
    joints last as long, no more items are on the site, and as whole packs of both together never cost more
    than packs of each, the purchase costs no more. So the least cost stays the least.
    """
    fits = _fit_signatures(offers, parts)
    alike: dict[Hashable, list[ReadOffer]] = {}
    for one, signature in zip(offers, fits, strict=True):
        if signature:
            alike.setdefault((one.protection, signature), []).append(one)
    kept = {id(one) for some in alike.values() for one in _needed(some, price, never)}
    kept |= {id(one) for one in offers if one.offer.item in keep}
    return tuple(one for one, signature in zip(offers, fits, strict=True) if signature and id(one) in kept)


def never_dearer(price: float, pack: int, other_price: float, other_pack: int) -> bool:
    """Whether any number of pieces costs no more in packs of the one than in packs of the other.

    As many of the first packs as hold a pack of the other must cost no more than it: then whole packs of
    the other, however many, can be put in packs of the first. It must be so, for one full pack is a case.

    >>> never_dearer(10.0, 100, 12.0, 50), never_dearer(10.0, 50, 12.0, 100)
    (True, False)
    """
    return price * ceil(other_pack / pack) <= other_price


def _needed(
    some: Sequence[ReadOffer], price: Callable[[ReadOffer], float], never: Collection[str]
) -> Iterator[ReadOffer]:
    """What replaces another comes first by price, the larger pack first where prices are the same."""
    held: list[tuple[float, int, int]] = []
    for one in sorted(some, key=lambda one: (price(one), -one.offer.pack)):
        mine = price(one), one.offer.pack, one.offer.least_packs
        if any(_replaces(other, mine) for other in held):
            continue
        if one.offer.item not in never:
            held.append(mine)
        yield one


def _replaces(one: tuple[float, int, int], other: tuple[float, int, int]) -> bool:
    """Whether the one is never dearer, with the fewest packs of either that are sold at once."""
    (price, pack, least), (other_price, other_pack, other_least) = one, other
    few_too = price * least <= other_price * other_least
    return few_too and never_dearer(price, pack, other_price, other_pack)


def _fit_signatures(offers: Sequence[ReadOffer], parts: Sequence[Part]) -> list[frozenset[int]]:
    """For each offer the parts that it fits, by their place among the different ones."""
    different = list({_asked(part): part for part in parts}.values())
    known: dict[Hashable, frozenset[int]] = {}
    found = []
    for one in offers:
        asked = _asked(one.offer.part)
        if asked not in known:
            known[asked] = frozenset(index for index, part in enumerate(different) if one.offer.fits(part))
        found.append(known[asked])
    return found


def _asked(part: Part) -> Hashable:
    size = part.measures
    return part.kind, size.diameter_mm, size.length_mm, size.thickness_mm
