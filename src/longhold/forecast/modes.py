"""Which of several ways of giving governs, draw by draw and age by age."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Governed", "least_of", "shares_by_age"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Governed:
    """The least of several loads and what gives it.

    Attributes
    ----------
    load_n : shape (draws, ages) [N]
    index : into words, same shape
    words : each way of giving, for people
    """

    load_n: Array
    index: NDArray[np.intp]
    words: tuple[str, ...]

    def word(self, at: tuple[int, int]) -> str:
        """What governs in one draw at one age."""
        return self.words[int(self.index[at])]


def least_of(loads: Mapping[str, Array]) -> Governed:
    """The least of loads by name; the first named where two are alike.

    >>> least_of({"shank": np.array([[2.0]]), "thread": np.array([[1.0]])}).word((0, 0))
    'thread'
    """
    stacked = np.stack(list(np.broadcast_arrays(*loads.values())))
    return Governed(stacked.min(axis=0), stacked.argmin(axis=0), tuple(loads))


def shares_by_age(index: NDArray[np.intp], words: Sequence[str]) -> dict[str, tuple[float, ...]]:
    """Share of the draws in which each word governs, age by age; words that never do are left out.

    >>> shares_by_age(np.array([[0, 1], [0, 0]]), ("IV", "IIIs"))
    {'IV': (1.0, 0.5), 'IIIs': (0.0, 0.5)}
    """
    found: dict[str, tuple[float, ...]] = {}
    for word in dict.fromkeys(words):
        same = np.isin(index, [i for i, other in enumerate(words) if other == word])
        if same.any():
            found[word] = tuple(float(share) for share in same.mean(axis=0))
    return found
