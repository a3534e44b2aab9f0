"""One cell to one value of a field, and back; what a cell cannot mean is refused, never bent."""

from __future__ import annotations

import datetime
import re
from typing import Any

from longhold.intake.sheet_fields import FieldKind, SheetField
from longhold.intake.workbook import Cell

__all__ = [
    "EMPTY_TEXT",
    "CellError",
    "cell_text",
    "cell_value",
    "choice_key",
    "plain_text",
    "shown_choice",
    "unwritable",
]

EMPTY_TEXT = '""'
"""How a text without any sign is written, since an empty cell means that nothing is said."""

_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?$")
_YES_NO = {"yes": True, "true": True, "no": False, "false": False}
_FIRST_SAFE_DATE = datetime.date(1900, 3, 1)
_MOST_SIGNS = 32_000
_SIGN_CODE = re.compile("_x[0-9A-Fa-f]{4}_")
_GAPS = re.compile(r"[\s_-]+")
_IN_WORDS = {"us": "inch and pound", "si": "metric"}


class CellError(Exception):
    """Why a cell cannot be read, and what to do."""

    def __init__(self, allowed: str, do: str = "") -> None:
        super().__init__(allowed)
        self.allowed = allowed
        self.do = do


def cell_value(cell: Cell, field: SheetField) -> Any:
    """What a cell that is not empty says of a field.

    Raises
    ------
    CellError : a formula without a value, an error, a date where none belongs, neither yes nor no
    """
    if cell.fault:
        do = (
            "Open the file in a spreadsheet program and save it, or type the value."
            if "formula" in cell.fault
            else ""
        )
        raise CellError(f"{cell.fault}.", do)
    what, value = field.what, cell.value
    if not what.many:
        return _one(value, cell, field)
    if isinstance(value, str) and ";" in value:
        return [_one(part.strip(), cell, field) for part in value.split(";") if part.strip()]
    found = _one(value, cell, field)
    return found if what.one else [found]


def _one(value: Any, cell: Cell, field: SheetField) -> Any:
    kind = field.what.kind
    if isinstance(value, datetime.datetime | datetime.date | datetime.time | datetime.timedelta):
        return _date(value, kind)
    if kind == "text":
        return plain_text(value)
    plain = value.strip() if isinstance(value, str) else value
    if kind == "yes_no":
        return _yes_no(plain)
    if kind == "choice" and isinstance(plain, str):
        return choice_key(plain, field.what.choices)
    if kind in ("number", "whole"):
        return _number(plain, cell, field)
    if kind == "date" and isinstance(plain, str):
        try:
            return datetime.date.fromisoformat(plain)
        except ValueError:
            return plain
    return plain


def shown_choice(key: str) -> str:
    """A choice as people see it on the page.

    >>> shown_choice("open_to_rain")
    'open to rain'
    >>> shown_choice("us")
    'inch and pound'
    """
    return _IN_WORDS.get(key, key.replace("_", " "))


def choice_key(text: str, choices: tuple[str, ...]) -> str:
    """The choice that a text means, as shown or as written in files; the text itself where it means none.

    >>> choice_key("Open to  rain", ("open_to_rain",)), choice_key("rain", ("open_to_rain",))
    ('open_to_rain', 'rain')
    """
    if text in choices:
        return text
    meant = [one for one in choices if _bare(text) in (_bare(one), _bare(shown_choice(one)))]
    return meant[0] if len(meant) == 1 else text


def _bare(text: str) -> str:
    return _GAPS.sub(" ", text).strip().casefold()


def plain_text(value: Any) -> Any:
    """A cell's value as text: a whole number as people write it; yes or no stays what it is."""
    if isinstance(value, str):
        return "" if value == EMPTY_TEXT else value
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return value if isinstance(value, bool) else str(value)


def _date(value: Any, kind: str | None) -> datetime.date:
    if kind != "date":
        do = "A program may turn 3/4 into a date: set the cell's format to text, then type it anew."
        raise CellError("holds a date or a time.", do)
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return value.date()
    raise CellError("must be a date without a time of day, such as 2026-04-01.")


def _yes_no(plain: Any) -> bool:
    if isinstance(plain, bool):
        return plain
    found = _YES_NO.get(str(plain).casefold())
    if found is None:
        raise CellError("must be yes or no.")
    return found


def _number(plain: Any, cell: Cell, field: SheetField) -> Any:
    if isinstance(plain, str) and _NUMBER.match(plain):
        plain = float(plain)
    if isinstance(plain, bool) or not isinstance(plain, int | float):
        return plain
    if field.name.endswith("_pct") and "%" in cell.format:
        plain = round(plain * 100.0, 9)  # the cell shows 70 %, and holds 0.7
    if field.what.kind == "number":
        return float(plain)
    return int(plain) if float(plain).is_integer() else plain


def cell_text(value: Any, what: FieldKind) -> Any:
    """What to write into a cell for a value of a field: text, a number or a date."""
    if isinstance(value, list):
        texts = [str(cell_text(one, what)) for one in value]
        return "; ".join(texts) + (";" if len(texts) == 1 else "")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.date):
        return value if value >= _FIRST_SAFE_DATE else value.isoformat()
    if value == "":
        return EMPTY_TEXT
    if isinstance(value, float) and float(f"{value:.16g}") != value:
        return repr(value)  # a number cell is written with 16 digits, and this one has 17
    return value


def unwritable(value: Any, longest: int | None = _MOST_SIGNS) -> str:
    """Why a text cannot stand in a cell and be read back the same; empty where it can.

    >>> unwritable("G185"), unwritable("_x000D_")
    ('', "holds '_x000D_', which a workbook reads as another sign")
    """
    if not isinstance(value, str):
        return ""
    if value and not value.strip():
        return "holds only blanks, which nobody sees in a workbook"
    if value == EMPTY_TEXT:
        return f"is {EMPTY_TEXT}, which in a workbook means a text without any sign"
    if found := _SIGN_CODE.search(value):
        return f"holds {found[0]!r}, which a workbook reads as another sign"
    if longest is not None and len(value) > longest:
        return f"has {len(value):,} characters, more than the {longest:,} that one cell holds"
    return ""
