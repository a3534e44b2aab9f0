"""Check files: CSV with a header, read strictly."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from longhold.base.errors import InputError, Problem
from longhold.base.files import read_file

__all__ = ["read_rows"]


def read_rows(path: Path, columns: Sequence[str]) -> list[dict[str, str]]:
    """Rows of a CSV file by column.

    Raises
    ------
    InputError : not readable, not UTF-8, not CSV, columns missing, ragged rows, or no rows
    """
    text = read_file(path, "the rows to check")
    reader = csv.DictReader(io.StringIO(text, newline=""), strict=True)
    try:
        header = [name.strip() for name in reader.fieldnames or []]
        _check_header(path, header, columns)
        reader.fieldnames = header
        rows = [(reader.line_num, row) for row in reader]
    except csv.Error as error:
        _refuse(path, f"is not CSV: line {reader.reader.line_num}: {error}.")
    ragged = [line for line, row in rows if None in row or None in row.values()]
    if ragged:
        _refuse(
            path,
            f"has rows with more or fewer cells than the header's {len(header)}: {_lines(ragged)}.",
            "A cell that holds a comma stands in quotes.",
        )
    if not rows:
        _refuse(path, "has a header but no rows.")
    return [row for _, row in rows]


def _check_header(path: Path, header: Sequence[str], columns: Sequence[str]) -> None:
    missing = [name for name in columns if name not in header]
    twins = sorted({name for name in header if header.count(name) > 1})
    if missing and len(header) == 1 and any(mark in header[0] for mark in ";\t|"):
        _refuse(
            path, "is not CSV with commas: its header holds no comma.", "Save it with commas between cells."
        )
    if missing:
        named = ", ".join(missing)
        shown = ", ".join(header[:20]) or "none"
        _refuse(
            path, f"lacks {'columns' if len(missing) > 1 else 'column'} {named}.", f"Its columns are {shown}."
        )
    if twins:
        _refuse(path, f"has a column twice: {', '.join(twins)}.")


def _lines(numbers: Sequence[int]) -> str:
    shown = ", ".join(str(number) for number in numbers[:10])
    more = f" and {len(numbers) - 10} more" if len(numbers) > 10 else ""
    return f"line{'s' if len(numbers) > 1 else ''} {shown}{more}"


def _refuse(path: Path, allowed: str, do: str = "") -> NoReturn:
    raise InputError(Problem(str(path), None, allowed, do)) from None
