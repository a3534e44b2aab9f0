"""What a paper holds, before it is set as PDF, sheet or page: every text and number is final here."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

__all__ = [
    "Calculation",
    "Card",
    "CardBox",
    "Cell",
    "Column",
    "Head",
    "Paper",
    "Papers",
    "Picture",
    "Record",
    "Row",
    "StepRow",
    "Table",
]

Kind = Literal["text", "count", "money"]


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    head : what stands over it, with the unit of its values
    kind : text, count (whole numbers) or money (two decimals)
    wide : its share of the width against the others
    """

    head: str
    kind: Kind = "text"
    wide: float = 1.0


@dataclass(frozen=True)
class Cell:
    """One cell.

    Attributes
    ----------
    text : as printed
    value : the number behind it, for a sheet; None where it is no number
    calculation : number of the calculation that it points to; 0 for none
    """

    text: str
    value: float | int | None = None
    calculation: int = 0


Row = tuple[Cell, ...]


@dataclass(frozen=True)
class Table:
    """A table with its title.

    Attributes
    ----------
    name : short, for the tab of a sheet
    total : last row, summed in the result; None without one
    note : what must be known to read it
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    total: Row | None = None
    note: str = ""


@dataclass(frozen=True)
class StepRow:
    """One line of a calculation; a title alone opens a stretch of it.

    Attributes
    ----------
    inputs : (symbol, value with its unit) of each value that is put in
    symbol, gives : of the result, with its unit
    """

    title: str = ""
    what: str = ""
    equation: str = ""
    inputs: tuple[tuple[str, str], ...] = ()
    symbol: str = ""
    gives: str = ""
    rests_on: str = ""


@dataclass(frozen=True)
class Calculation:
    """How one answer came about, with middle values put in.

    Attributes
    ----------
    number : by which papers point to it
    """

    number: int
    title: str
    rows: tuple[StepRow, ...]


@dataclass(frozen=True)
class Picture:
    """A picture.

    Attributes
    ----------
    title : what it shows
    svg : the drawing, with its own colors and no style sheet
    note : what must be known to read it
    """

    title: str
    svg: str
    note: str = ""


@dataclass(frozen=True)
class Paper:
    """One paper.

    Attributes
    ----------
    name : of its file
    title : what it is
    answer : the first thing to know, a sentence with a number
    warnings : what is not settled or not covered, before any table
    tables : in their order
    calculations : behind them, at the end
    notes : what else must be known
    pictures : after the tables
    """

    name: str
    title: str
    answer: str
    warnings: tuple[str, ...]
    tables: tuple[Table, ...]
    notes: tuple[str, ...] = ()
    calculations: tuple[Calculation, ...] = ()
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True)
class CardBox:
    """What one group of joints gets: where, and lines of (item, what it is, how many in each joint)."""

    where: str
    names: str
    lines: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Card:
    """The page that hangs on site.

    Attributes
    ----------
    boxes : which box for which joint
    unsettled : joints for which there is no box, or where something is still to be asked
    never : what must not be mixed
    labels : (item, what its label must read, what that means on each face)
    """

    title: str
    boxes: tuple[CardBox, ...]
    unsettled: tuple[str, ...]
    never: tuple[str, ...]
    labels: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Head:
    """What every paper says of itself.

    Attributes
    ----------
    structure, site, code : names in words
    facts : (what, value) in the order in which they are read
    rests_on : the weakest mark behind the papers, in words
    notes : what the user says of prices and structure, such as that they are invented
    caution : that this is a forecast
    foot : one line for the foot of a page
    as_of : date of the papers
    us_paper : whether the reader's paper is Letter, else A4
    """

    structure: str
    site: str
    code: str
    facts: tuple[tuple[str, str], ...]
    rests_on: str
    notes: tuple[str, ...]
    caution: str
    foot: str
    as_of: datetime.date
    us_paper: bool


@dataclass(frozen=True)
class Papers:
    """All papers from one choice."""

    head: Head
    schedule: Paper
    order: Paper
    submittal: Paper
    card: Card

    @property
    def listed(self) -> tuple[Paper, ...]:
        """The papers that are tables, in the order in which they are used."""
        return self.schedule, self.order, self.submittal

    def tables(self) -> Iterator[tuple[Paper, Table]]:
        """Every table with its paper."""
        for paper in self.listed:
            for table in paper.tables:
                yield paper, table


@dataclass(frozen=True)
class Record:
    """One paper by itself, with its head."""

    head: Head
    paper: Paper
