"""Cells of a workbook or of CSV whose text stays text, whatever it begins with."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl.cell.cell import Cell

__all__ = ["plain_cell", "put_text"]

_FORMULA_STARTS = tuple("=+-@\t\r")


def plain_cell(text: str) -> str:
    """A text for a cell of CSV, so that no program takes it for a formula, nor a line in it for a row.

    >>> plain_cell("=1+1"), plain_cell("W01"), plain_cell("a\\r\\nb\\r=1")
    ("'=1+1", 'W01', 'a\\nb\\n=1')
    """
    safe = f"'{text}" if text.startswith(_FORMULA_STARTS) else text
    return safe.replace("\r\n", "\n").replace("\r", "\n")


def put_text(cell: Cell, text: str) -> None:
    """Put a text into a cell so that no program takes it for a formula, a link or a number.

    A text that begins as a formula would is marked as text for good: it stays so when somebody edits it.

    Parameters
    ----------
    text : as the file holds it, with signs that XML cannot hold replaced or coded
    """
    cell.value = text
    cell.data_type = "s"
    if text.startswith(_FORMULA_STARTS):
        cell.quotePrefix = True
