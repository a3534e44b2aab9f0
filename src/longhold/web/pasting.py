"""A block of cells that was copied from the sheet or from a spreadsheet, put into a structure."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from copy import deepcopy
from io import StringIO
from typing import Any, NamedTuple

from longhold.base.errors import InputError, Problem
from longhold.intake.sheet_fields import SheetPlan
from longhold.web.editing import Given, add_empty, cell_words, find_spot, put, rows_of
from longhold.web.judging import judge

__all__ = ["Pasted", "Refused", "block_of", "held_back", "pasted"]

_MOST_CELLS = 20_000
_MOST_ROUNDS = 4
_BREAK = re.compile(r"\s*[\r\n\t]\s*")
_NO_COLUMN = "there is no column for it at the right."


class Refused(NamedTuple):
    """A text that its cell cannot hold.

    Attributes
    ----------
    where : path of the cell
    typed : the text
    said : why, for people
    """

    where: str
    typed: str
    said: str


class Pasted(NamedTuple):
    """What became of a block.

    Attributes
    ----------
    given : the structure with every cell that could be filled
    filled : paths of the cells that were filled
    refused : cells that hold what they held before
    renames : old and new path of each record that has another name now, as they were renamed
    """

    given: Given
    filled: tuple[str, ...]
    refused: tuple[Refused, ...]
    renames: tuple[tuple[str, str], ...] = ()


def block_of(text: str) -> list[list[str]]:
    """Rows of cells as spreadsheets put them on the clipboard: tabs between, quotes round what holds any.

    Raises
    ------
    InputError : a cell that is too long

    >>> block_of('J1\\t1/2" bolt\\r\\n"two\\nlines"\\t3\\n')
    [['J1', '1/2" bolt'], ['two lines', '3']]
    """
    rows = csv.reader(StringIO(text.rstrip("\r\n"), newline=""), delimiter="\t")
    try:
        return [[_BREAK.sub(" ", cell).strip() for cell in row] for row in rows]
    except csv.Error:
        said = f"has a cell of more than {csv.field_size_limit():,} letters."
        raise InputError(Problem("what was pasted", None, said, "Copy the cells alone.")) from None


def pasted(given: Mapping[str, Any], where: str, columns: Sequence[str], text: str) -> Pasted:
    """The structure with a block, whose first cell goes into the first of some columns of one row.

    Cells go to the right and down; rows that are not there yet are added to the same list.

    Parameters
    ----------
    given : the structure
    where : path of the row, such as ``joints[2]``
    columns : fields from the first cell on to the right, as shown; the blank one is the name
    text : the block

    Raises
    ------
    InputError : a path that leads to no row, or a block that is too large
    """
    sheet = find_spot(where).sheet
    block = block_of(text)
    if sum(map(len, block)) > _MOST_CELLS:
        said = f"has more than {_MOST_CELLS:,} cells."
        raise InputError(Problem("what was pasted", None, said, "Bring the structure in as a file instead."))
    held: Given = deepcopy(dict(given))
    filled, refused, renames = list[str](), list[Refused](), list[tuple[str, str]]()
    rows = _rows_from(held, sheet, where)
    for number, cells in enumerate(block):
        if number < len(rows):
            row = rows[number]
        elif not any(cells):
            continue
        else:
            row = add_empty(held, rows[-1])
        own = row
        for column, typed in zip(columns, cells, strict=False):
            if not (column or typed):
                continue
            cell = f"{own}.{column}".lstrip(".") if column else own
            try:
                put(held, cell, typed)
            except InputError as error:
                said = " ".join(filter(None, (error.problems[0].allowed, error.problems[0].do)))
                refused.append(Refused(cell, typed, said))
                continue
            filled.append(cell)
            if not column:
                own = f"{row.rpartition('.')[0]}.{typed}"
                renames.append((row, own))
        refused += [Refused(own, typed, _NO_COLUMN) for typed in cells[len(columns) :] if typed]
    return Pasted(held, tuple(filled), tuple(refused), tuple(renames))


def held_back(began: Mapping[str, Any], found: Pasted) -> tuple[Given, dict[str, str]]:
    """A structure without the pasted cells that cannot be used, and those by path, which wait as typed do.

    Parameters
    ----------
    began : the structure before the block
    found : with the block
    """
    given, waits = deepcopy(found.given), dict[str, str]()
    own = {one for one in found.filled if find_spot(one).field is not None}
    for _ in range(_MOST_ROUNDS):
        wrong = {one.where for one in judge(given).told} & own - waits.keys()
        for cell in sorted(wrong):
            typed, before = _words_at(found.given, cell), _words_at(began, _before(cell, found.renames))
            if typed != before:
                waits[cell] = typed
                put(given, cell, before)
        if not wrong & waits.keys():
            break
    return given, waits


def _before(where: str, renames: Sequence[tuple[str, str]]) -> str:
    for old, new in reversed(renames):
        if where.startswith(f"{new}."):
            where = f"{old}{where.removeprefix(new)}"
    return where


def _words_at(given: Mapping[str, Any], where: str) -> str:
    spot, record = find_spot(where), given
    try:
        for step in spot.record:
            record = record[step]  # type: ignore[index]
    except (KeyError, IndexError):
        return ""
    return "" if spot.field is None else cell_words(record, spot.field)


def _rows_from(given: Mapping[str, Any], sheet: SheetPlan, where: str) -> list[str]:
    """The rows of one list from a row on; a part's list ends with its joint."""
    if not sheet.path:
        return [where]
    rows = [path for path, _ in rows_of(given, sheet)]
    if where not in rows:
        raise InputError(Problem(where, None, "is no longer there.", "Load the page again."))
    return rows[rows.index(where) :]
