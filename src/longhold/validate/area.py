"""What an area of validation is, and what a validation says."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

__all__ = ["Area", "Detail", "Judged", "Skipped", "Table", "UnansweredError", "ValidationResult", "number_in"]

Row = Mapping[str, str]


class UnansweredError(Exception):
    """Longhold cannot answer a row; the message says why."""


@dataclass(frozen=True)
class Judged:
    """One answer held against what was expected.

    Attributes
    ----------
    expected, got : both as texts for people
    right : whether they agree; None where the row is not answered
    why : what decides, empty for a plain agreement
    error : answer less expectation, in the unit of the area; None where there is no such number
    tags : words that the area counts in its figures
    """

    expected: str
    got: str
    right: bool | None
    why: str = ""
    error: float | None = None
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """Figures of an area that need more than one number a line.

    Attributes
    ----------
    title : what it shows
    heads : column heads
    rows : cells as texts for people
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Area:
    """One kind of check file.

    Attributes
    ----------
    name, words : what it is called, and what it checks in one line
    columns : columns that the file must hold
    given : the only columns that ``answer`` gets to see; none of them tells what is expected
    expect : reads what a row expects; raises ValueError where that cannot be read
    answer : Longhold's answer to the given cells; raises UnansweredError
    judge : holds an answer against an expectation; never called without an answer
    figures : the area's own numbers over all judged rows
    skip : why a row is no row of this area, empty if it is one
    tables : the same figures by group, where one number a line is not enough
    tags : words to count of an expectation whose row is not answered
    together : rows as they stand together in their file, for words that lean on the row before
    """

    name: str
    words: str
    columns: tuple[str, ...]
    given: tuple[str, ...]
    expect: Callable[[Row], Any]
    answer: Callable[[Row], Any]
    judge: Callable[[Any, Any], Judged]
    figures: Callable[[Sequence[Judged]], Mapping[str, float]]
    skip: Callable[[Row], str] = lambda _: ""
    tables: Callable[[Sequence[Judged]], Sequence[Table]] = lambda _: ()
    tags: Callable[[Any], tuple[str, ...]] = lambda _: ()
    together: Callable[[list[dict[str, str]]], list[dict[str, str]]] = lambda rows: rows


@dataclass(frozen=True)
class Detail:
    """One row's outcome.

    Attributes
    ----------
    row : its id, or its number in the file, counted from 1 below the header
    expected, got, right, why : see Judged
    """

    row: str
    expected: str
    got: str
    right: bool | None
    why: str


@dataclass(frozen=True)
class Skipped:
    """A row that is no row of the area."""

    row: str
    why: str


@dataclass(frozen=True)
class ValidationResult:
    """What a check file says about Longhold.

    Attributes
    ----------
    area : which area
    rows : rows of the area in the file
    answered : rows that Longhold answered
    right : rows whose answer agrees with the expectation
    figures : the area's own numbers
    details : one for each row, in order
    skipped : rows of other kinds, not counted
    tables : the area's figures by group
    """

    area: str
    rows: int
    answered: int
    right: int
    figures: Mapping[str, float]
    details: tuple[Detail, ...]
    skipped: tuple[Skipped, ...] = ()
    tables: tuple[Table, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The result in plain types."""
        return asdict(self)


def number_in(row: Row, column: str) -> float:
    """A finite number from a cell.

    Raises
    ------
    ValueError : naming the column
    """
    text = row.get(column, "").strip()
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{column} is {text!r}, not a number") from None
    if value - value != 0.0:
        raise ValueError(f"{column} is {text!r}, not a finite number")
    return value
