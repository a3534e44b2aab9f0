"""What a workbook tells the person who fills it in: notes under the heads, and an example that is no data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from longhold.base.recent import once
from longhold.intake.reading import parse_text
from longhold.intake.sheet_fields import SheetField, SheetPlan, plan
from longhold.intake.sheet_values import cell_text
from longhold.intake.starter_file import starter
from longhold.intake.words import field_words

__all__ = [
    "EXAMPLE",
    "GUIDE",
    "MARKER_HEAD",
    "MARKS",
    "NOTE",
    "OWN_SHEETS",
    "WORDS",
    "example_of",
    "guide_lines",
    "is_untouched_example",
    "note_of",
    "used_in_starter",
]

MARKER_HEAD = "row"
"""Head of the column whose cell says that a row is not read."""
NOTE, EXAMPLE = "note", "example"
MARKS = (NOTE, EXAMPLE)
GUIDE, WORDS = "Start here", "Words"
OWN_SHEETS = (GUIDE, WORDS)
"""Sheets that are never read."""

_FEW_WORDS = 45
_NEAR = {"setting": "salted_road", "distance": "60 ft"}


def guide_lines(empty: bool) -> tuple[str, ...]:
    """What stands on the sheet before all others."""
    sheets = ", ".join(one.name for one in plan())
    lines = [
        f"A structure for Longhold, on the sheets {sheets}. This sheet is not read.",
        "Structure: fill in the column value; what you leave empty is assumed, and the answer lists it.",
        "Timbers, Joints, Parts: one a row. A joint names its timbers; a part names its joint.",
        "Near: what stands near and changes the air; leave the sheet empty if nothing does.",
        'Every length, force and time has its unit in its cell: "1.5 in", "38 mm", "400 lb", "50 years".',
        "Trade sizes and labels are written as you would say or read them: 16d common, ASTM A653 G185.",
        "Cells with a list show an arrow when you enter them. Several values in one cell are parted by ;",
        "Columns that few need are folded away: the + above the heads unfolds them.",
        f"A row that says {NOTE} or {EXAMPLE} in its first cell is not read.",
        "A formula counts by the value last written by your program; a program of macros is never run.",
    ]
    if empty:
        lines.append("Nothing is filled in yet. When it is: longhold assess, and the name of this file.")
    return tuple(lines)


def note_of(field: SheetField) -> str:
    """What a field means and how it is written, in plain words."""
    about = (field.about.description or "").rstrip(".")
    said = f"{about[:1].upper()}{about[1:]}. " if about else ""
    extra = field.about.json_schema_extra
    because = str(extra["assumed_because"]) if isinstance(extra, dict) and "assumed_because" in extra else ""
    empty = f" If empty: {because}." if because else ""
    return f"{'Needed. ' if field.needed else ''}{said}{_how(field)}{empty}".strip()


def _how(field: SheetField) -> str:
    what = field.what
    if what.kind == "choice":
        if all(word in (field.about.description or "") for word in what.choices):
            return ""
        few = sum(map(len, what.choices)) <= _FEW_WORDS and not what.many
        told = f"One of {', '.join(what.choices)}" if few else "Pick from the list"
        return f"{told}{'; several are parted by ;' if what.many else '.'}"
    if what.kind == "yes_no":
        return "yes or no."
    if what.many:
        kind = "A quantity with its unit" if what.kind == "quantity" else "A number"
        year = ", or one for the year" if what.one else ""
        return f"{kind} for each month from January{year}; the twelve are parted by ;"
    if what.kind == "text":
        return "" if field.about.description else "Text."
    words = field_words(field.model, field.name)
    return f"{words[:1].upper()}{words[1:]}."


@once
def _starter() -> Mapping[str, Any]:
    return parse_text(starter(), "toml")


def example_of(one: SheetPlan) -> dict[str, Any]:
    """An example for columns of a sheet, from the structure that ``longhold new`` writes."""
    if not one.path:
        return _flat(one, _starter())
    if one.by_name:
        name, record = next(iter(_starter()[one.path[0]].items()))
        return {"name": name, **_flat(one, record)}
    if one.path == ("joints",):
        return _flat(one, _starter()["joints"][1])
    if one.path == ("joints", "parts"):
        joint = _starter()["joints"][1]
        return {"joint": joint["id"], **_flat(one, joint["parts"][0])}
    return _flat(one, _NEAR)


def used_in_starter(one: SheetPlan) -> set[str]:
    """Columns that the structure written by ``longhold new`` uses anywhere."""
    records = [_starter()]
    for step in one.path:
        below = [record.get(step) for record in records]
        records = []
        for found in below:
            records += found if isinstance(found, list) else [found] if found else []
        if one.by_name and step == one.path[-1]:
            records = [each for record in records for each in record.values()]
    return {path for record in records for path in _flat(one, record)} | ({*_NEAR} if not records else set())


def is_untouched_example(one: SheetPlan, said: Mapping[str, Any]) -> bool:
    """Whether a row marked as an example still says what the example says."""
    shown = {name: _plain(value) for name, value in said.items() if _plain(value)}
    return not shown or shown == {name: _plain(value) for name, value in example_of(one).items()}


def _plain(value: Any) -> str:
    whole = isinstance(value, float) and value.is_integer()
    return "" if value is None else str(int(value) if whole else value).strip()


def _flat(one: SheetPlan, record: Mapping[str, Any]) -> dict[str, Any]:
    found = {}
    for field in one.fields:
        value: Any = record
        for step in field.steps:
            value = value.get(step) if isinstance(value, Mapping) else None
        if value is not None:
            found[field.path] = cell_text(value, field.what)
    return found
