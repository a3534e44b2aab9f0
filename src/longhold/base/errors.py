"""Errors that a person can act on."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

__all__ = ["Fault", "InputError", "LongholdError", "Problem", "TableError", "each_made"]

_SHOWN_AT_MOST = 20
_Given = TypeVar("_Given")
_Made = TypeVar("_Made")


class LongholdError(Exception):
    """Anything that Longhold refuses; the message is meant for the person at the screen."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with an input.

    Attributes
    ----------
    where : path inside the input, such as ``joints[2].parts[0].size``, or a file name
    value : what was given, or None where nothing was
    allowed : what would be accepted, as a full sentence fragment
    do : what to do about it (may be empty)
    """

    where: str
    value: Any
    allowed: str
    do: str = ""

    def __str__(self) -> str:
        given = "" if self.value is None else f" is {_shown(self.value)}:"
        text = f"{self.where}{given or ':'} {self.allowed}"
        return f"{text} {self.do}".rstrip()


class InputError(LongholdError):
    """Something a person handed in cannot be used.

    Carries every problem found, not only the first; the message shows the first twenty and counts the rest.
    """

    def __init__(self, *problems: Problem, file: str | None = None) -> None:
        self.problems = problems
        self.file = file
        super().__init__(*problems)

    def __str__(self) -> str:
        start = "" if self.file is None else f"{self.file}: "
        lines = [f"{start}{problem}" for problem in self.problems[:_SHOWN_AT_MOST]]
        if (more := len(self.problems) - len(lines)) > 0:
            lines.append(f"{start}and {more:,} more")
        return "\n".join(lines)

    def in_file(self, file: str) -> InputError:
        """The same problems, said of a named file."""
        return InputError(*self.problems, file=file)


def each_made(given: Iterable[_Given], make: Callable[[_Given], _Made]) -> tuple[_Made, ...]:
    """What is made of each, in its order.

    Raises
    ------
    InputError : everything that is wrong with any of them, each place with its file where one is named
    """
    made: list[_Made] = []
    problems: list[Problem] = []
    for one in given:
        try:
            made.append(make(one))
        except InputError as error:
            of = "" if error.file is None else f"{error.file}: "
            problems += [replace(one, where=f"{of}{one.where}") for one in error.problems]
    if problems:
        raise InputError(*problems)
    return tuple(made)


class Fault(LongholdError):  # noqa: N818 - says what happened
    """Something that is needed does not do its work at the moment; what was handed in is not at fault."""

    def __init__(self, where: str, value: object, said: str, do: str = "") -> None:
        self.problem = Problem(where, value, said, do)
        super().__init__(str(self.problem))


class TableError(LongholdError):
    """One of our own data files breaks its rules; always our fault, never the user's."""


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 80 else f"{text[:38]}...{text[-39:]}"  # a path says most at its end
