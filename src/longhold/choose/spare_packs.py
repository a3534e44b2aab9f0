"""Packs that only spare pieces are bought for: what they cost, and what would be left over without them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from longhold.choose.choice import Choice

__all__ = ["SparePacks", "pieces_of", "spare_packs"]


@dataclass(frozen=True)
class SparePacks:
    """Packs of one item that would not be bought if no spare were asked.

    Attributes
    ----------
    item : its number
    packs : how many
    pack : pieces in a pack
    pieces : that the joints take
    left : pieces left over without these packs
    price : of these packs
    """

    item: str
    packs: int
    pack: int
    pieces: int
    left: int
    price: float


def pieces_of(choice: Choice) -> Counter[str]:
    """Item -> pieces of it that all joints of a choice take, nothing spare."""
    pieces: Counter[str] = Counter()
    for one in choice.bought:
        for part, chosen in zip(one.group.joint.parts, one.option.offers, strict=True):
            pieces[chosen.offer.item] += part.count * one.group.quantity
    return pieces


def spare_packs(choice: Choice) -> tuple[SparePacks, ...]:
    """Every item of which spare alone opens packs, the dearest first."""
    pieces, found = pieces_of(choice), []
    for item, bought in choice.purchase.packs.items():
        box = choice.boxes[item]
        enough = box.packs_for(pieces[item])
        if bought > enough:
            left = enough * box.pack - pieces[item]
            more = bought - enough
            found.append(SparePacks(item, more, box.pack, pieces[item], left, more * box.price))
    return tuple(sorted(found, key=lambda one: (-one.price, one.item)))
