"""What each of several changes has in a move, when all of them were made at once."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from itertools import combinations
from math import factorial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = ["MOST_IN_EVERY_ORDER", "alone", "coalitions", "shares"]

Array = NDArray[np.float64]
Key = TypeVar("Key", bound=Hashable)

MOST_IN_EVERY_ORDER = 4
"""Up to so many changes are tried in every order; more are tried one at a time from the old version."""


def coalitions(keys: Sequence[Key]) -> list[frozenset[Key]]:
    """The sets of changes that must be computed: all sets of few, else none, each one, all but each, all.

    >>> [len(coalitions("abcdef"[:count])) for count in (1, 2, 3, 5)]
    [2, 4, 8, 12]
    """
    whole = frozenset(keys)
    if len(keys) <= MOST_IN_EVERY_ORDER:
        return [frozenset(some) for count in range(len(keys) + 1) for some in combinations(keys, count)]
    ones = [frozenset([key]) for key in keys]
    return [frozenset(), *ones, *(whole - one for one in ones), whole]


def shares(keys: Sequence[Key], value: Callable[[frozenset[Key]], Array]) -> dict[Key, Array]:
    """Share of each change in the whole move.

    Up to four changes: the mean, over every order of making them, of what each adds when its turn comes
    (the value of a cooperative game, Shapley 1953); the shares add up to the move. More: what each adds to
    the old version by itself; what is left over then belongs to no single change.

    Parameters
    ----------
    keys : of the changes
    value : answer with a set of changes made, in any one shape and unit

    >>> found = shares("ab", lambda some: np.array([len(some) + 2.0 * (len(some) == 2)]))
    >>> [float(found[key][0]) for key in "ab"]
    [2.0, 2.0]
    """
    if len(keys) > MOST_IN_EVERY_ORDER:
        return alone(keys, value)
    found = {}
    for key in keys:
        others = [one for one in keys if one != key]
        parts = [
            _weight(count, len(keys)) * (value(frozenset([*some, key])) - value(frozenset(some)))
            for count in range(len(others) + 1)
            for some in combinations(others, count)
        ]
        found[key] = np.asarray(sum(parts[1:], parts[0]))
    return found


def alone(keys: Sequence[Key], value: Callable[[frozenset[Key]], Array]) -> dict[Key, Array]:
    """What each change adds to the old version by itself."""
    start = value(frozenset())
    return {key: np.asarray(value(frozenset([key])) - start) for key in keys}


def _weight(before: int, count: int) -> float:
    return factorial(before) * factorial(count - before - 1) / factorial(count)
