"""A purchase taken apart: groups that ask the same together, and those that share no item by themselves.

The proof of a least cost is a search. What does not depend on each other and is searched together multiplies,
so each part of the purchase that shares no item with the others is searched alone, and the bounds add up.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import prod

import numpy as np

from longhold.choose.purchase import Candidate, Taken

__all__ = ["Kind", "Way", "kinds_of", "spread", "that_share_items"]


@dataclass(frozen=True)
class Way:
    """Options that differ in nothing but the items: any item for a part goes with any for the others.

    Attributes
    ----------
    later : whichever items are taken
    parts : for each part what can be taken
    """

    later: float
    parts: tuple[tuple[Taken, ...], ...]


@dataclass(frozen=True)
class Kind:
    """Groups with the same options.

    Attributes
    ----------
    ways : as sets of options
    groups : index of each group
    index : for each way, what is taken for its parts -> index of the option
    """

    ways: tuple[Way, ...]
    groups: tuple[int, ...]
    index: tuple[Mapping[tuple[Taken, ...], int], ...]

    @property
    def items(self) -> set[str]:
        """All items that its options take."""
        return {one.item for way in self.ways for part in way.parts for one in part}


def kinds_of(groups: Sequence[Sequence[Candidate]]) -> tuple[Kind, ...]:
    """Groups with the same options together, in the order of the first."""
    ways = [tuple(_ways(group)) for group in groups]
    alike: dict[tuple[Way, ...], list[int]] = {}
    for index, some in enumerate(ways):
        alike.setdefault(tuple(way for way, _ in some), []).append(index)
    return tuple(
        Kind(key, tuple(indices), tuple(index for _, index in ways[indices[0]]))
        for key, indices in alike.items()
    )


def that_share_items(kinds: Sequence[Kind]) -> tuple[tuple[Kind, ...], ...]:
    """Kinds in sets that have no item in common, the smallest set first."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    owners: dict[str, list[int]] = {}
    for number, kind in enumerate(kinds):
        for item in kind.items:
            owners.setdefault(item, []).append(number)
    joined = np.array([pair for some in owners.values() for pair in pairwise(some)], int).reshape(-1, 2)
    graph = coo_array((np.ones(len(joined)), (joined[:, 0], joined[:, 1])), shape=(len(kinds), len(kinds)))
    count, label = connected_components(graph, directed=False)
    sets = [tuple(kind for kind, own in zip(kinds, label, strict=True) if own == one) for one in range(count)]
    return tuple(sorted(sets, key=lambda some: sum(len(kind.items) * len(kind.ways) for kind in some)))


def spread(
    kind: Kind, ways: Sequence[int], taken: Sequence[Sequence[Mapping[Taken, int]]]
) -> Iterator[tuple[int, int]]:
    """Each group of a kind with the index of its option.

    Parameters
    ----------
    ways : how many groups go each way; all groups in all
    taken : for each way and part, how many groups take what
    """
    groups = iter(kind.groups)
    for number, count in enumerate(ways):
        by_part = [[one for one, times in part.items() for _ in range(times)] for part in taken[number]]
        for place in range(count):
            yield next(groups), kind.index[number][tuple(part[place] for part in by_part)]


def _ways(group: Sequence[Candidate]) -> Iterator[tuple[Way, dict[tuple[Taken, ...], int]]]:
    promised: dict[Hashable, list[int]] = {}
    for index, one in enumerate(group):
        key = (one.promise, one.later) if one.promise is not None else (None, index)
        promised.setdefault(key, []).append(index)
    for indices in promised.values():
        some = {group[index].parts: index for index in reversed(indices)}
        parts = tuple(tuple(dict.fromkeys(part)) for part in zip(*some, strict=True))
        if len(some) == prod(map(len, parts)):
            yield Way(group[indices[0]].later, parts), some
        else:
            for taken, index in some.items():
                yield Way(group[index].later, tuple((one,) for one in taken)), {taken: index}
