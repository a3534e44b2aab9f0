"""Readings as a table that ``longhold readings`` takes."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from longhold.base.sheet_cells import plain_cell
from longhold.model.reading import HEADS, Reading

__all__ = ["readings_table"]

_UNITS = {"zinc": "um", "metal_lost": "um", "diameter_left": "mm", "thickness_left": "mm"}
_UNITS["chloride"] = "mg/m2/d"


def readings_table(readings: Iterable[Reading]) -> str:
    """CSV text with the heads of a table of readings, each reading in the words in which it was written.

    >>> import datetime
    >>> day = datetime.date(2031, 5, 14)
    >>> one = Reading(joint="W01", date=day, measured="moisture", value=19.0, words="19 %")
    >>> readings_table([one]).splitlines()[1]
    'W01,,,,2031-05-14,moisture,19 %,,1,,,,'
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEADS)
    writer.writerows([plain_cell(_cell(one, head)) for head in HEADS] for one in readings)
    return text.getvalue()


def _cell(one: Reading, head: str) -> str:
    if head == "reading":
        return one.words
    if head == "uncertainty":
        return "" if one.uncertainty is None else f"{one.uncertainty!r} {_UNITS[one.measured]}"
    if head == "size when new":
        return "" if one.size_new is None else f"{one.size_new!r} mm"
    return str(getattr(one, head))
