"""A supplier's list as rows of cells, whether it is CSV or a workbook, each row known by its place."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.files import read_file
from longhold.intake.workbook import Cell, Row, Sheet, column_letters, is_workbook_name, open_workbook

__all__ = ["ListTable", "open_list"]

_HOLDING = "a list of offers"


@dataclass(frozen=True)
class ListTable:
    """A list, opened; its rows are read from the top, and may be read again.

    Attributes
    ----------
    file : its name, for messages
    sheet : of a workbook; None for CSV
    text : of CSV
    """

    file: str
    sheet: Sheet | None
    text: str = ""

    def rows(self) -> Iterator[Row]:
        """Rows that hold anything.

        Raises
        ------
        InputError : a line that is not CSV, a sheet that cannot be read
        """
        return self._lines() if self.sheet is None else self.sheet.rows()

    def cell(self, number: int, index: int) -> str:
        """How people find a cell: by its name in a workbook, by its column in a line of text.

        >>> ListTable("list.csv", None).cell(7, 4)
        'line 7, column E'
        """
        letters = column_letters(index)
        return (
            f"line {number}, column {letters}"
            if self.sheet is None
            else f"{self.sheet.name}!{letters}{number}"
        )

    def _lines(self) -> Iterator[Row]:
        reader = csv.reader(io.StringIO(self.text), delimiter=_parted_by(self.text))
        try:
            for texts in reader:
                cells = tuple(Cell(text.strip() or None) for text in texts)
                if not all(cell.is_empty for cell in cells):
                    yield Row(reader.line_num, cells)
        except csv.Error as error:
            raise InputError(Problem(f"line {reader.line_num}", None, f"is not CSV: {error}.")) from None


def open_list(
    path: Path,
    sheet: str = "",
    known: Callable[[ListTable], bool] | None = None,
    holding: str = _HOLDING,
) -> ListTable:
    """A list in a CSV file (parted by commas, semicolons or tabs) or a workbook.

    Parameters
    ----------
    sheet : name of the sheet, where a workbook has several that hold anything
    known : whether a sheet is a list that is known; where one alone is, it is the list
    holding : what the file should hold, for messages

    Raises
    ------
    InputError : the file cannot be read, or which sheet is meant is open
    """
    if not is_workbook_name(path):
        if sheet:
            said = "is asked for, and the list is no workbook."
            raise InputError(Problem(_where_sheet(), sheet, said, "Leave it out."))
        return ListTable(str(path), None, read_file(path, holding).lstrip("\ufeff"))
    book = open_workbook(path, holding)
    if sheet:
        for one in book.sheets:
            if one.name.strip().casefold() == sheet.strip().casefold():
                return ListTable(str(path), one)
        names = ", ".join(one.name for one in book.sheets[:20])
        raise InputError(
            Problem(_where_sheet(), sheet, f"is no sheet of {path}.", f"Its sheets are {names}.")
        )
    filled = [one for one in book.sheets if next(one.rows(), None) is not None]
    if not filled:
        raise InputError(Problem(str(path), None, "is empty: no sheet of it holds anything."))
    if len(filled) > 1 and known is not None:
        fitting = [one for one in filled if known(ListTable(str(path), one))]
        filled = fitting if len(fitting) == 1 else filled
    if len(filled) > 1:
        names = ", ".join(one.name for one in filled[:20])
        allowed = f"has {len(filled)} sheets that hold something: {names}."
        do = told_here(
            command="Say which of them is the list: --sheet NAME",
            page="Send a workbook with that sheet alone.",
        )
        raise InputError(Problem(str(path), None, allowed, do))
    return ListTable(str(path), filled[0])


def _where_sheet() -> str:
    return told_here(command="--sheet", page="sheet")


def _parted_by(text: str) -> str:
    """The sign between cells: the one that stands most often in any of the first lines."""
    first = list(islice(io.StringIO(text), 10))
    return max(",;\t", key=lambda sign: max((line.count(sign) for line in first), default=0))
