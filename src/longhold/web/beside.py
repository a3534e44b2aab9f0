"""What is wrong with a form, beside its fields."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace

from longhold.base.errors import InputError, Problem
from longhold.documents.words import upper_first

__all__ = ["as_typed", "beside_fields", "sentence"]

_FILE = re.compile(r"[^\s:]+\.[A-Za-z]{2,4}\b")
_LINE = re.compile(r"\bline (\d+)(?:, column [A-Z]+ \(([^)]*)\))?")


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
        found.setdefault(name, []).append(sentence(words))
    return found


def sentence(words: str) -> str:
    """Words that begin a sentence; the name of a file stays as it is written.

    >>> sentence("is blank."), sentence("list.csv: is empty.")
    ('Is blank.', 'list.csv: is empty.')
    """
    return words if _FILE.match(words) else upper_first(words)


def as_typed(error: InputError, above: int = 1) -> InputError:
    """The same of lines that were typed: by their own number, and by the name of a column without its letter.

    Parameters
    ----------
    above : lines of heads that were put above the typed ones

    >>> print(as_typed(InputError(Problem("line 2, column B", "x", "says the same as line 3."))))
    line 1, column B is 'x': says the same as line 2.
    >>> print(as_typed(InputError(Problem("line 2, column D (quantity)", "x", "must be a whole number."))))
    line 1, quantity is 'x': must be a whole number.
    """

    def counted(text: str) -> str:
        return _LINE.sub(
            lambda found: f"line {int(found[1]) - above}" + (f", {found[2]}" if found[2] else ""), text
        )

    told = (replace(one, where=counted(one.where), allowed=counted(one.allowed)) for one in error.problems)
    return InputError(*told, file=error.file)
