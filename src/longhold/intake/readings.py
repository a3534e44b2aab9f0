"""Readings from a table that people fill in: CSV or a workbook, one reading a line."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from longhold.base.errors import InputError, Problem
from longhold.base.quantities import parse_quantity
from longhold.inspect.spreads import spread
from longhold.intake.offer_table import ListTable, open_list
from longhold.intake.workbook import Cell
from longhold.metal.rust_grades import share_of_grade
from longhold.model.reading import HEADS, MEASURED, Measured, Reading

__all__ = ["HEADS", "ReadingList", "read_readings", "read_value", "reading_from"]

_NEEDED = ("date", "measured", "reading")
_UNITS: Mapping[Measured, str] = {
    "zinc": "film_um",
    "metal_lost": "film_um",
    "diameter_left": "length_mm",
    "thickness_left": "length_mm",
    "chloride": "deposition_mg_m2_d",
}
_SCALES = ((r"(?:ISO 4628-3\s*)?Ri\s*", "Ri"), (r"(?:ASTM\s*)?D\s?610(?:\s*grade)?\s*", "D610"))
_BARE_STEEL = re.compile(r"(?:ISO )?8501(?:-1)?\s*(?:grade)?\s*[A-D]$", re.IGNORECASE)
_NONE_SEEN = re.compile(r"(?:none|no(?: red)? rust)$", re.IGNORECASE)
_GRADES = '"Ri 2", "D610 6", "12 %" or "no red rust"'


@dataclass(frozen=True)
class ReadingList:
    """Readings of a table.

    Attributes
    ----------
    readings : in its order
    repeated : lines that say the same as one above them, and are left out, in words
    lines : number of the line of each reading
    """

    readings: tuple[Reading, ...]
    repeated: tuple[str, ...]
    lines: tuple[int, ...] = ()


def read_readings(path: Path, fits: Callable[[Reading, str], None] | None = None) -> ReadingList:
    """Readings from a CSV file or a workbook, with the heads of ``HEADS`` in any order.

    Parameters
    ----------
    fits : raises InputError for a reading that fits its structure ill, given what people call its line; so
        what is wrong in the table and against the structure is told at once

    Raises
    ------
    InputError : naming every cell that cannot be read, with what is allowed
    """
    table = open_list(path, holding="readings")
    rows = table.rows()
    first = next(rows, None)
    if first is None:
        raise InputError(Problem(str(path), None, "is empty.", f"Its first line names {', '.join(HEADS)}."))
    columns = _columns(table, first.cells)
    problems: list[Problem] = []
    readings: list[Reading] = []
    lines: dict[Reading, int] = {}
    repeated: list[str] = []
    for row in rows:
        try:
            reading = _reading(table, row.number, row.cells, columns)
            if fits is not None:
                fits(reading, f"line {row.number}")
        except InputError as error:
            problems += error.problems
            continue
        if reading in lines:
            repeated.append(f"line {row.number} says the same as line {lines[reading]} and is left out")
            continue
        lines[reading] = row.number
        readings.append(reading)
    if problems:
        raise InputError(*dict.fromkeys(problems), file=str(path))
    if not readings:
        raise InputError(Problem(str(path), None, "holds no reading below its heads."))
    return ReadingList(tuple(readings), tuple(repeated), tuple(lines.values()))


def read_value(measured: Measured, text: str) -> dict[str, Any]:
    """Fields of a reading from its text: a quantity with its unit, or a grade.

    Raises
    ------
    ValueError : what is allowed

    >>> read_value("zinc", "2 mil")["value"], read_value("rust", "Ri 2")
    (50.8, {'low_pct': 0.05, 'high_pct': 0.5})
    """
    if measured == "rust":
        return _rust(text)
    if measured == "moisture":
        return {"value": _percent(text)}
    if measured == "look":
        return {}
    return {"value": parse_quantity(text, _UNITS[measured])}


def _columns(table: ListTable, cells: tuple[Cell, ...]) -> dict[str, int]:
    heads = [str(cell.value or "").strip().casefold().replace("_", " ") for cell in cells]
    unknown = [head for head in heads if head and head not in HEADS]
    missing = [head for head in _NEEDED if head not in heads]
    twice = {head for head in heads if head and heads.count(head) > 1}
    problems = [Problem("heads", head, "is no column of readings.", _KNOWN) for head in unknown]
    problems += [Problem("heads", None, f"the column {head} is missing.", _KNOWN) for head in missing]
    problems += [Problem("heads", head, "stands twice.") for head in sorted(twice)]
    if problems:
        raise InputError(*problems, file=table.file)
    return {head: at for at, head in enumerate(heads) if head}


_HEAD_OF = {"size_new": "size when new", "words": "reading"}
_KNOWN = f"Columns are {', '.join(HEADS)}."


def _reading(table: ListTable, number: int, cells: tuple[Cell, ...], columns: Mapping[str, int]) -> Reading:
    texts = {}
    for head, at in columns.items():
        value = None if at >= len(cells) else cells[at].value
        if isinstance(value, datetime.datetime):
            value = value.date()
        texts[head] = "" if value is None else str(value).strip()
    return reading_from(texts, lambda head: f"{table.cell(number, columns[head])} ({head})", f"line {number}")


def reading_from(
    texts: Mapping[str, str], where: Callable[[str], str] = str, whole: str = "reading"
) -> Reading:
    """A reading from the texts that people wrote, by the heads of ``HEADS``; those left out are blank.

    Parameters
    ----------
    where : for messages, what people call the field of a head
    whole : for messages, what they call the reading

    Raises
    ------
    InputError : naming every text that cannot be read, with what is allowed

    >>> reading_from({"joint": "W01", "date": "2024-05-14", "measured": "moisture", "reading": "19 %"}).value
    19.0
    """

    def text(head: str) -> str:
        return texts.get(head, "").strip()

    problems: list[Problem] = []

    def tried(head: str, make: Callable[[str], Any], otherwise: Any = None) -> Any:
        said = text(head)
        if not said and head not in _NEEDED:
            return otherwise
        try:
            return make(said)
        except ValueError as error:
            problems.append(Problem(where(head), said or None, f"{str(error).rstrip('.')}."))
            return otherwise

    measured = tried("measured", _measured)
    fields: dict[str, Any] = {}
    if measured is not None:
        fields = tried("reading", lambda said: read_value(measured, said), {})
    elif not text("reading"):
        problems.append(Problem(where("reading"), None, "is missing."))
    given = {
        **{
            name: text(name)
            for name in ("joint", "piece", "part", "face", "instrument", "photograph", "note")
        },
        "date": tried("date", _date),
        "words": text("reading") or "-",
        "spots": tried("spots", _count, 1),
        "size_new": tried("size when new", lambda said: parse_quantity(said, "length_mm")),
        "uncertainty": tried("uncertainty", lambda said: _uncertainty(measured, said)),
        **fields,
    }
    if measured in ("rust", "look") and _BARE_STEEL.match(text("reading")):
        measured = "look"
    if problems:
        raise InputError(*problems)
    try:
        return Reading(measured=measured, **given)
    except ValidationError as error:
        raise InputError(*(_told(one, where, whole) for one in error.errors())) from None


def _told(error: Any, where: Callable[[str], str], whole: str) -> Problem:
    """What the model complains of, at the field that people know."""
    why = str(error["msg"]).removeprefix("Value error, ")
    if error["loc"]:
        name = str(error["loc"][0])
        return Problem(where(_HEAD_OF.get(name, name)), None, f"{why}.")
    return Problem(whole, None, f"{why}.")


def _measured(text: str) -> Measured:
    word = text.casefold().replace(" ", "_")
    for known in MEASURED:
        if word == known:
            return known
    raise ValueError(f"must be one of {', '.join(one.replace('_', ' ') for one in MEASURED)}")


def _date(text: str) -> datetime.date:
    try:
        found = datetime.date.fromisoformat(text)
    except ValueError:
        raise ValueError("must be a date such as 2031-05-14") from None
    if found > datetime.date.today():
        raise ValueError("lies in the future")
    return found


def _count(text: str) -> int:
    if not re.fullmatch(r"\d{1,5}(\.0)?", text) or float(text) < 1:
        raise ValueError("must be a whole number of spots, 1 or more")
    return int(float(text))


def _uncertainty(measured: Measured | None, text: str) -> float:
    if measured is None or measured not in _UNITS:
        raise ValueError("is of a gauge: this reading has none")
    return parse_quantity(text, _UNITS[measured])


def _rust(text: str) -> dict[str, Any]:
    if _NONE_SEEN.match(text):
        low, high = share_of_grade(10)
        return {"low_pct": low, "high_pct": high}
    if _BARE_STEEL.match(text):
        return {}
    for start, scale in _SCALES:
        if found := re.fullmatch(rf"{start}(\d{{1,2}})", text, re.IGNORECASE):
            try:
                low, high = share_of_grade(int(found[1]), scale)
            except InputError as error:
                raise ValueError(error.problems[0].allowed) from None
            return {"low_pct": low, "high_pct": high}
    try:
        seen = _percent(text)
    except ValueError:
        raise ValueError(f"must be a grade of rust or a share, such as {_GRADES}") from None
    factor = spread("eye_factor")
    return {"low_pct": seen / factor, "high_pct": min(seen * factor, 100.0)}


def _percent(text: str) -> float:
    found = re.fullmatch(r"(\d{1,3}(?:\.\d+)?)\s*%", text)
    if found is None or float(found[1]) > 100.0:
        raise ValueError('must be a share of 0 to 100 %, such as "12 %"')
    return float(found[1])
