"""Ids of joints in a sentence."""

from __future__ import annotations

import re
from collections.abc import Sequence

from longhold.documents.words import plural

__all__ = ["MOST_NAMED", "ids_words", "joints_words"]

_NUMBERED = re.compile(r"^(.*?)(\d+)$")
_LEAST_RUN = 3
MOST_NAMED = 4
"""Runs of joints that a sentence names."""


def joints_words(ids: Sequence[str], quantity: int) -> str:
    """Ids of alike joints, and how many joints they are.

    >>> joints_words(("J1", "J2"), 2700)
    'J1, J2 (2,700 joints)'
    """
    return f"{ids_words(ids, most=MOST_NAMED)} ({plural(quantity, 'joint')})"


def ids_words(ids: Sequence[str], most: int = 0) -> str:
    """Names of joints; three and more that count on are told by the first and the last.

    Parameters
    ----------
    most : runs that are named, the others counted; 0 for all. One alone is named all the same

    >>> ids_words(["J01", "J02", "J03", "J07"]), ids_words(["a", "b", "c", "d"], most=2)
    ('J01 to J03, J07', 'a, b and 2 more')
    >>> ids_words(["a", "b", "c"], most=2)
    'a, b, c'
    """
    runs: list[list[str]] = []
    for one in ids:
        if runs and _follows(runs[-1][-1], one):
            runs[-1].append(one)
        else:
            runs.append([one])
    told = [
        (f"{run[0]} to {run[-1]}", len(run)) if len(run) >= _LEAST_RUN else (", ".join(run), len(run))
        for run in runs
    ]
    left = sum(count for _, count in told[most:])
    shown = told if not most or left == 1 else told[:most]
    more = sum(count for _, count in told[len(shown) :])
    return ", ".join(text for text, _ in shown) + (f" and {more:,} more" if more else "")


def _follows(one: str, other: str) -> bool:
    first, second = _NUMBERED.match(one), _NUMBERED.match(other)
    if not first or not second:
        return False
    same = first[1] == second[1] and len(first[2]) == len(second[2])
    return same and int(second[2]) == int(first[2]) + 1
