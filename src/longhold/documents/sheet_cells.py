"""Cells of a sheet that hold what they show: text stays text, whatever it begins with."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from longhold.base.sheet_cells import put_text

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell

__all__ = ["MOST_LETTERS", "sheet_text", "write_number", "write_text"]

MOST_LETTERS = 32_767
"""Letters that one cell can hold."""

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_CODED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_CUT = " … (cut)"


def write_text(cell: Cell, text: str) -> None:
    """Write a text as ``sheet_text`` holds it, which no program takes for anything else."""
    put_text(cell, sheet_text(text))


def write_number(cell: Cell, value: float, form: str) -> None:
    """Write a number in a form such as ``#,##0.00``."""
    cell.value = value
    cell.number_format = form


def sheet_text(text: str) -> str:
    """A text as a sheet can hold it.

    Control characters are replaced, what looks like a coded character is kept as it reads, and what is
    longer than a cell is cut and says so.

    >>> sheet_text("a\\x00b"), sheet_text("_x0041_")
    ('a�b', '_x005F_x0041_')
    >>> sheet_text("x" * 40_000)[-9:]
    'x … (cut)'
    """
    whole = _CODED.sub("_x005F_", _CONTROL.sub("\ufffd", text))
    return whole if len(whole) <= MOST_LETTERS else whole[: MOST_LETTERS - len(_CUT)] + _CUT
