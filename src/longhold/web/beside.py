"""What is wrong with a form, beside its fields."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from longhold.base.errors import Problem
from longhold.documents.words import upper_first

__all__ = ["beside_fields"]


def beside_fields(problems: Iterable[Problem], field_of: Callable[[Problem], str]) -> dict[str, list[str]]:
    """What is wrong by form field; what is of no field stands, told with its place, under the blank name.

    Parameters
    ----------
    field_of : the field of a problem, blank for none

    >>> beside_fields([Problem("lot", "x", "must be a number.", "Count them.")], lambda one: one.where)
    {'lot': ['Must be a number. Count them.']}
    """
    found: dict[str, list[str]] = {}
    for one in problems:
        name = field_of(one)
        words = f"{one.allowed} {one.do}".strip() if name else str(one)
        found.setdefault(name, []).append(upper_first(words))
    return found
