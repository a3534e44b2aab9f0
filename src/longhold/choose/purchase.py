"""What can be bought, what a purchase costs, and how far it may lie above the least possible cost."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import ceil

__all__ = ["WHOLE", "Box", "Candidate", "Purchase", "Taken", "cost_of"]

WHOLE = 1e-6
"""A share of a pack that rounding leaves."""
_PROVED = 1e-9


@dataclass(frozen=True)
class Box:
    """One item that can be bought.

    Attributes
    ----------
    price : of a pack
    pack : pieces in a pack
    least : fewest packs that are sold at once
    """

    price: float
    pack: int
    least: int = 1

    def packs_for(self, pieces: float) -> int:
        """Packs that hold some pieces, no fewer than are sold at once."""
        return max(ceil(pieces / self.pack - WHOLE), self.least)


@dataclass(frozen=True)
class Taken:
    """One item for one part of the joints of a group.

    Attributes
    ----------
    item : its number
    pieces : of it that all joints of the group take, 1 or more
    later : present value of what its pieces cost after the joints are built
    """

    item: str
    pieces: int
    later: float = 0.0


@dataclass(frozen=True)
class Candidate:
    """One option for the joints of a group.

    Attributes
    ----------
    parts : the item for each part
    later : present value of what all joints of the group cost after they are built, whichever items they take
    promise : options of one group with the same promise differ in nothing but the items for their parts
    """

    parts: tuple[Taken, ...]
    later: float
    promise: Hashable = None

    @cached_property
    def pieces(self) -> dict[str, int]:
        """Pieces of each item."""
        found: dict[str, int] = {}
        for one in self.parts:
            found[one.item] = found.get(one.item, 0) + one.pieces
        return found

    @property
    def all_later(self) -> float:
        """All that comes after the joints are built, with the items taken."""
        return self.later + sum(one.later for one in self.parts)


@dataclass(frozen=True)
class Purchase:
    """The answer of the program.

    Attributes
    ----------
    chosen : index of the option of each group
    packs : item -> packs to buy
    cost : purchase, later costs and the price of every further item, as counted afresh from the choice
    bound : no purchase can cost less than this
    """

    chosen: tuple[int, ...]
    packs: Mapping[str, int]
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """How far the cost may lie above the least possible one, as a share of it."""
        return 0.0 if self.cost == 0 else max(self.cost - self.bound, 0.0) / abs(self.cost)

    @property
    def proved(self) -> bool:
        """Whether the bound proves that no purchase costs less."""
        return self.gap <= _PROVED


def cost_of(
    groups: Sequence[Sequence[Candidate]],
    chosen: Sequence[int],
    boxes: Mapping[str, Box],
    *,
    spare: float,
    each_item: float,
) -> tuple[float, dict[str, int]]:
    """Cost of one choice, and the packs that it takes.

    Parameters
    ----------
    groups : options of each group
    chosen : index of the option of each group
    boxes : what each item costs
    spare : share of pieces that is bought on top, 0 or more
    each_item : what every item on the site costs besides its price

    >>> one = [[Candidate((Taken("nail", 220),), 10.0)]]
    >>> cost_of(one, [0], {"nail": Box(5.0, 100)}, spare=0.0, each_item=1.0)
    (26.0, {'nail': 3})
    """
    taken = [options[index] for options, index in zip(groups, chosen, strict=True)]
    pieces: dict[str, int] = {}
    for item, count in _pieces(taken):
        pieces[item] = pieces.get(item, 0) + count
    packs = {item: boxes[item].packs_for((1.0 + spare) * count) for item, count in pieces.items()}
    bought = sum(boxes[item].price * count for item, count in packs.items())
    return sum(one.all_later for one in taken) + bought + each_item * len(packs), packs


def _pieces(taken: Sequence[Candidate]) -> Iterator[tuple[str, int]]:
    for one in taken:
        yield from one.pieces.items()
