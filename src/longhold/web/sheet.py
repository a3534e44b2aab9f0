"""A structure laid out as sheets that are filled in: what stands in each cell."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from longhold.base.recent import once
from longhold.intake.sheet_fields import SheetField, SheetPlan, plan
from longhold.intake.sheet_template import note_of
from longhold.intake.sheet_values import shown_choice
from longhold.web.editing import cell_words, is_given, rows_of
from longhold.web.spoken import head_of, plain_words

__all__ = ["SheetView", "sheet_views"]

_FIRST_COLUMNS: Mapping[str, Sequence[str]] = {
    "Structure": (
        "name",
        "design_life",
        "build_date",
        "units",
        "application",
        "target_chance",
        "code.pack",
        "code.edition",
        "site.name",
        "site.latitude",
        "site.longitude",
        "site.distance_to_salt_water",
        "site.shore",
        "site.climate.station",
        "site.air.setting",
        "note",
    ),
    "Timbers": ("species", "preservative", "use_category", "size"),
    "Joints": ("id", "name", "place", "main", "side", "role", "quantity", "access", "demand"),
    "Parts": ("id", "kind", "size", "label", "count"),
    "Near": ("setting", "distance"),
}
_TITLES = {
    "Structure": "The structure and its site",
    "Timbers": "Timbers",
    "Joints": "Joints",
    "Parts": "Parts of each joint",
    "Near": "What stands near",
}
_NARROW = frozenset({"count", "quantity", "id", "use_category", "units"})
_WIDE = frozenset({"name", "label", "size"})
_SAYS_STAINLESS = re.compile(r"stainless|duplex|\b(?:30[45]|316|A[245]-|1\.4\d{3})", re.IGNORECASE)


@dataclass(frozen=True)
class Column:
    """One column: its field, its head, what it means, whether it is narrow or wide, and usually filled in."""

    field: SheetField
    head: str
    note: str
    width: str
    usual: bool

    @property
    def choices(self) -> tuple[tuple[str, str], ...]:
        """What may be picked, each with the words that are shown; empty where it is typed."""
        if self.field.what.many:
            return ()
        keys = ("yes", "no") if self.field.what.kind == "yes_no" else self.field.what.choices
        return tuple((key, shown_choice(key)) for key in keys)


@dataclass(frozen=True)
class CellView:
    """One cell."""

    where: str
    text: str
    column: Column

    @property
    def is_spare(self) -> bool:
        """Whether it is empty, and its column seldom filled in."""
        return not (self.text or self.column.usual)

    @property
    def is_no_choice(self) -> bool:
        """Whether something else stands there than what may be picked."""
        return bool(self.text) and self.text not in dict(self.column.choices)


@dataclass(frozen=True)
class RowView:
    """One record: its path, the names of its owners, its own name where it is known by one, its cells."""

    where: str
    owners: tuple[str, ...]
    name: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True)
class SheetView:
    """One sheet: its rows, and the lists that a row can be added to: path, owner, name of its last row."""

    name: str
    title: str
    owners: tuple[str, ...]
    by_name: bool
    columns: tuple[Column, ...]
    rows: tuple[RowView, ...]
    hidden: int
    lists: tuple[tuple[str, str, str], ...]


def sheet_views(given: Mapping[str, Any], every_column: bool) -> tuple[SheetView, ...]:
    """The sheets of a structure, the one of the structure itself first.

    Parameters
    ----------
    given : as typed
    every_column : whether to show columns that are seldom filled in and empty here
    """
    return tuple(_view(sheet, given, every_column) for sheet in _in_order())


@once
def _in_order() -> tuple[SheetPlan, ...]:
    return tuple(sorted(plan(), key=lambda one: (one.name == "Near", [*_TITLES].index(one.name))))


def _view(sheet: SheetPlan, given: Mapping[str, Any], every_column: bool) -> SheetView:
    rows = list(rows_of(given, sheet)) if sheet.path else [("", given)]
    columns = [
        column
        for column in _columns(sheet)
        if every_column
        or column.usual
        or any(is_given(record, column.field) for _, record in rows)
        or (column.field.path == "class_short_accepted" and _has_stainless(rows))
    ]
    return SheetView(
        name=sheet.name,
        title=_TITLES[sheet.name],
        owners=sheet.owners,
        by_name=sheet.by_name,
        columns=tuple(columns),
        rows=tuple(_row(sheet, where, record, columns, given) for where, record in rows),
        hidden=len(_columns(sheet)) - len(columns),
        lists=tuple(_lists(sheet, given)),
    )


def _has_stainless(parts: Sequence[tuple[str, Mapping[str, Any]]]) -> bool:
    """Whether a column about classes of stainless steel is of use; what a label means is judged elsewhere."""
    return any(_SAYS_STAINLESS.search(str(part.get("label", ""))) for _, part in parts)


def _width(path: str) -> str:
    return "narrow" if path in _NARROW else "wide" if path in _WIDE else ""


@once
def _columns(sheet: SheetPlan) -> tuple[Column, ...]:
    first = list(_FIRST_COLUMNS[sheet.name])
    fields = sorted(sheet.fields, key=lambda one: first.index(one.path) if one.path in first else len(first))
    return tuple(
        Column(one, head_of(one.path), _note(one), _width(one.path), one.path in first) for one in fields
    )


def _note(field: SheetField) -> str:
    """What a column means, without the choices that its cells offer themselves."""
    choices = "" if field.what.many else f"One of {', '.join(field.what.choices)}."
    return plain_words(note_of(field).replace(choices, "").rstrip() if choices else note_of(field))


def _row(
    sheet: SheetPlan,
    where: str,
    record: Mapping[str, Any],
    columns: Sequence[Column],
    given: Mapping[str, Any],
) -> RowView:
    cells = tuple(
        CellView(
            f"{where}.{column.field.path}" if where else column.field.path,
            cell_words(record, column.field),
            column,
        )
        for column in columns
    )
    name = where.rpartition(".")[2] if sheet.by_name else ""
    return RowView(where, tuple(_owner_names(sheet, where, given)), name, cells)


def _owner_names(sheet: SheetPlan, where: str, given: Mapping[str, Any]) -> Iterator[str]:
    if sheet.name != "Parts":
        return
    number = int(where.partition("[")[2].partition("]")[0])
    joint = given["joints"][number]
    yield str(joint.get("id") or f"joint {number + 1}")


def _lists(sheet: SheetPlan, given: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    if sheet.name == "Parts":
        joints = given.get("joints")
        for number, joint in enumerate(joints if isinstance(joints, list) else []):
            if isinstance(joint, Mapping):
                parts = joint.get("parts")
                last = _name_of(parts[-1], len(parts)) if isinstance(parts, list) and parts else ""
                yield f"joints[{number}].parts", str(joint.get("id") or f"joint {number + 1}"), last
    elif sheet.path:
        rows = list(rows_of(given, sheet))
        last = _last_name(sheet, *rows[-1], len(rows)) if rows else ""
        yield ".".join(sheet.path), "", last


def _last_name(sheet: SheetPlan, where: str, record: Mapping[str, Any], number: int) -> str:
    return where.rpartition(".")[2] if sheet.by_name else _name_of(record, number)


def _name_of(record: Any, number: int) -> str:
    named = record.get("id") if isinstance(record, Mapping) else None
    return str(named or f"row {number}")
