"""Readings of a thickness gauge from a list: one line for each reading."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import islice
from pathlib import Path

from longhold.base.errors import InputError, Problem
from longhold.inspect.acceptance import Specimen
from longhold.inspect.sampling import fact
from longhold.intake.offer_columns import heads_of, same_head
from longhold.intake.offer_table import ListTable, open_list
from longhold.intake.workbook import Row

__all__ = ["load_readings"]

_MOST_LINES = 100_000
_PER_UM: Mapping[str, float] = {
    **dict.fromkeys(("um", "µm", "μm", "micron", "microns", "micrometer", "micrometers"), 1.0),
    **dict.fromkeys(("mil", "mils", "thou"), 25.4),
    "mm": 1000.0,
}
_HEADS: Mapping[str, tuple[str, ...]] = {
    "piece": ("piece", "article", "no", "number", "stück", "teil", "part"),
    "specimen": ("specimen", "section", "place", "area", "reference area", "prüfstück"),
    "reading": ("reading", "thickness", "value", "dicke", "messwert"),
    "unit": ("unit", "einheit"),
}
_DO_UNIT = "Write it into the head, such as 'reading (um)', or beside each reading: um, mil or mm."
_FORM = "Heads are piece, reading (um) and, where a piece has several, specimen."


def load_readings(path: str | Path, *, sheet: str = "") -> tuple[Specimen, ...]:
    """Specimens with their readings, from a CSV file or a workbook with one line for each reading.

    Raises
    ------
    InputError : the file cannot be read, lacks a column or the unit, or a reading is none, negative, or
        thicker than any coat
    """
    file = Path(path)
    try:
        table = open_list(file, sheet)
        rows = list(islice(table.rows(), _MOST_LINES + 1))
        if len(rows) > _MOST_LINES:
            raise InputError(Problem("the file", None, f"has more than {_MOST_LINES:,} lines."))
        if len(rows) < 2:
            raise InputError(Problem("the file", None, "holds no reading.", _FORM))
        return _specimens(table, rows)
    except InputError as error:
        raise (
            error if error.file or error.problems[0].where == str(path) else error.in_file(str(path))
        ) from None


def _specimens(table: ListTable, rows: list[Row]) -> tuple[Specimen, ...]:
    at = next((at for at, row in enumerate(rows[:20]) if {"piece", "reading"} <= set(_place(row))), None)
    if at is None:
        heads = ", ".join(heads_of(rows[0]))
        raise InputError(Problem("the file", heads, "has no heads piece and reading.", _FORM))
    place = _place(rows[at])
    in_head = _unit_in(heads_of(rows[at])[place["reading"]])
    problems: list[Problem] = []
    found: dict[tuple[str, str], list[float]] = {}
    for row in rows[at + 1 :]:
        texts = {name: _text(row, index) for name, index in place.items()}
        where = table.cell(row.number, place["reading"])
        try:
            if not texts["piece"]:
                where = table.cell(row.number, place["piece"])
                raise ValueError("is blank: which piece was measured?")
            value = _reading_um(texts["reading"], texts.get("unit", ""), in_head)
        except ValueError as error:
            problems.append(Problem(where, texts["reading"] or None, str(error)))
            continue
        found.setdefault((texts["piece"], texts.get("specimen", "")), []).append(value)
    if problems:
        raise InputError(*problems)
    if not found:
        raise InputError(Problem("the file", None, "holds no reading.", _FORM))
    return tuple(Specimen(piece, name, tuple(values)) for (piece, name), values in found.items())


def _place(row: Row) -> dict[str, int]:
    found: dict[str, int] = {}
    for at, head in enumerate(heads_of(row)):
        plain = same_head(head)
        for name, words in _HEADS.items():
            if plain in words or (name == "reading" and plain.split()[:1] and plain.split()[0] in words):
                found.setdefault(name, at)
    return found


def _text(row: Row, at: int) -> str:
    cell = row.cells[at] if at < len(row.cells) else None
    return "" if cell is None or cell.value is None else str(cell.value).strip()


def _unit_in(head: str) -> str:
    """The unit that a head tells in brackets, or after its first word."""
    bracketed = re.search(r"[\[(]([^\])]+)[\])]", head)
    said = bracketed[1] if bracketed else re.sub(r"^\W*[^\W_]+[\W_]*", "", head)
    return said.strip().casefold()


def _reading_um(text: str, unit: str, in_head: str) -> float:
    if not text:
        raise ValueError("is blank.")
    match = re.fullmatch(r"([-+]?\d+(?:[.,]\d+)?)\s*([^\W\d_]*)", text)
    if not match:
        raise ValueError("must be one number, such as 84.")
    said = (match[2] or unit or in_head).casefold()
    if not said:
        raise ValueError(f"has no unit. {_DO_UNIT}")
    if said not in _PER_UM:
        raise ValueError(f"is in {said!r}, which is no unit of thickness. {_DO_UNIT}")
    value = float(match[1].replace(",", ".")) * _PER_UM[said]
    if value < 0.0:
        raise ValueError("must not be negative: set the gauge to zero on bare steel and read again.")
    most = fact("readings", "most")
    if value > most:
        raise ValueError(
            f"is {value:,.0f} um, and no coat of zinc is thicker than {most:,.0f} um: is {said} the unit?"
        )
    return value
