"""Changes to a structure as it is typed: one value, a row more, a row less; nothing is judged here."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from datetime import date
from typing import Any, NamedTuple

from longhold.base.errors import InputError, Problem
from longhold.intake.sheet_fields import SheetField, SheetPlan, plan
from longhold.intake.sheet_values import CellError, cell_text, cell_value, shown_choice
from longhold.intake.workbook import Cell

__all__ = [
    "Spot",
    "add_empty",
    "add_row",
    "cell_words",
    "change",
    "find_spot",
    "is_given",
    "put",
    "remove_row",
    "rows_moved_up",
    "rows_of",
]

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}")
_INDEX = re.compile(r"(\w+)\[(\d{1,5})\]")
Given = dict[str, Any]


class Spot(NamedTuple):
    """One place in a structure.

    Attributes
    ----------
    sheet : of the record that it belongs to
    record : keys and indices that lead to the record
    field : the field; None for the record itself
    """

    sheet: SheetPlan
    record: tuple[str | int, ...]
    field: SheetField | None


def find_spot(where: str) -> Spot:
    """The place that a path such as ``joints[2].parts[0].size`` means.

    Raises
    ------
    InputError : a path that leads to nothing that a structure has

    >>> spot = find_spot("timbers.joist.size")
    >>> spot.sheet.name, spot.record, spot.field.path
    ('Timbers', ('timbers', 'joist'), 'size')
    """
    steps = tuple(_steps(where))
    for sheet in sorted(plan(), key=lambda one: -len(one.path)):
        record, rest = steps[: len(_levels(sheet))], steps[len(_levels(sheet)) :]
        if not _leads_to(sheet, record):
            continue
        if not rest:
            return Spot(sheet, record, None)
        name = ".".join(str(step) for step in rest)
        found = next((one for one in sheet.fields if one.path == name), None)
        if found is not None:
            return Spot(sheet, record, found)
    raise InputError(Problem(where, None, "leads to nothing that a structure has.", "Load the page again."))


def change(given: Mapping[str, Any], where: str, text: str) -> Given:
    """The structure with one value as it was typed; an empty text takes the value away.

    What cannot be understood is kept as text, to be told where the structure is judged.

    Raises
    ------
    InputError : a path that leads to nothing
    """
    changed = deepcopy(dict(given))
    put(changed, where, text)
    return changed


def put(given: Given, where: str, text: str) -> None:
    """``change`` on a structure that is the caller's own; what it refuses leaves it as it was."""
    spot = find_spot(where)
    if spot.field is None:
        _rename(given, spot, text)
        return
    record = _record(given, spot.record, where)
    *owners, name = spot.field.steps
    if not text.strip():
        _drop(record, spot.field.steps)
        return
    for step in owners:
        below = record.setdefault(step, {})
        if not isinstance(below, dict):
            below = record[step] = {}
        record = below
    record[name] = _value(text, spot.field)


def add_row(given: Mapping[str, Any], where: str, *, empty: bool = False) -> tuple[Given, str]:
    """The structure with one record more, and its path: like the last one of its list, under a new name.

    Parameters
    ----------
    where : of the list, such as ``joints`` or ``joints[2].parts``
    empty : whether only its name is filled in
    """
    changed = deepcopy(dict(given))
    sheet, owner = _list_of(where)
    held = _record(_with_tables(changed, owner), owner, where)
    name = sheet.path[-1]
    if sheet.by_name:
        table = held.setdefault(name, {})
        key = _next_name(list(table), "timber")
        table[key] = deepcopy(list(table.values())[-1]) if table and not empty else {}
        return changed, f"{where}.{key}"
    rows = held.setdefault(name, [])
    row = deepcopy(rows[-1]) if rows and not empty else {}
    if any(field.path == "id" for field in sheet.fields):
        row["id"] = _next_name([one.get("id") for one in rows if isinstance(one, dict)], name[0].upper())
    rows.append(row)
    return changed, f"{where}[{len(rows) - 1}]"


def add_empty(given: Given, beside: str) -> str:
    """Path of an empty record, put after the last of the list of another into the caller's own structure.

    Raises
    ------
    InputError : a path that leads to no list
    """
    held = _held(given, find_spot(beside).record[:-1])
    if isinstance(held, list):
        held.append({})
        return f"{beside.rpartition('[')[0]}[{len(held) - 1}]"
    if isinstance(held, dict) and "." in beside:
        name = _next_name(list(held), "timber")
        held[name] = {}
        return f"{beside.rpartition('.')[0]}.{name}"
    raise InputError(Problem(beside, None, "is in no list.", "Load the page again."))


def remove_row(given: Mapping[str, Any], where: str) -> Given:
    """The structure without one record."""
    spot, changed = find_spot(where), deepcopy(dict(given))
    if spot.field is not None or not spot.record:
        raise InputError(Problem(where, None, "is no row.", "Load the page again."))
    _record(changed, spot.record, where)
    *owners, last = spot.record
    held: Any = changed
    for step in owners:
        held = held[step]
    del held[last]
    return changed


def rows_moved_up(given: Mapping[str, Any], where: str) -> list[tuple[str, str]]:
    """Path before and after of each row that moves up when one is removed.

    >>> rows_moved_up({"joints": [{"id": "a"}, {"id": "b"}]}, "joints[0]")
    [('joints[1]', 'joints[0]')]
    """
    *owners, last = find_spot(where).record
    if not isinstance(last, int):
        return []
    held: Any = given
    for step in owners:
        held = held[step]
    held_in = where.rpartition("[")[0]
    return [(f"{held_in}[{at}]", f"{held_in}[{at - 1}]") for at in range(last + 1, len(held))]


def rows_of(given: Mapping[str, Any], sheet: SheetPlan) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Path and content of every record of a sheet, in order."""
    yield from _below("", given, sheet.path, sheet.by_name)


def is_given(record: Mapping[str, Any], field: SheetField) -> bool:
    """Whether a record says anything of a field, be it a text without any sign, which is told as wrong."""
    return _held_in(record, field) is not None


def _held_in(record: Mapping[str, Any], field: SheetField) -> Any:
    value: Any = record
    for step in field.steps:
        value = value.get(step) if isinstance(value, Mapping) else None
    return value


def cell_words(record: Mapping[str, Any], field: SheetField) -> str:
    """What stands in a cell: the value as it was typed; a text without any sign looks like nothing."""
    value = _held_in(record, field)
    if value is None or value == "":
        return ""
    shown = cell_text(value, field.what)
    if field.what.kind == "choice" and field.what.many:  # typed, not picked: as it would be picked
        return shown_choice(str(shown))
    if isinstance(shown, float) and shown.is_integer():
        shown = int(shown)
    return shown.isoformat() if isinstance(shown, date) else str(shown)


def _steps(where: str) -> Iterator[str | int]:
    for part in where.split(".") if where else []:
        if match := _INDEX.fullmatch(part):
            yield match[1]
            yield int(match[2])
        else:
            yield part


def _levels(sheet: SheetPlan) -> tuple[str | type, ...]:
    """What leads to a record of a sheet: names, and after the name of a list or table what its key is."""
    lists = {one.path: str if one.by_name else int for one in plan() if one.path}
    levels: list[str | type] = []
    for depth, step in enumerate(sheet.path, 1):
        levels.append(step)
        if key := lists.get(sheet.path[:depth]):
            levels.append(key)
    return tuple(levels)


def _leads_to(sheet: SheetPlan, record: tuple[str | int, ...]) -> bool:
    levels = _levels(sheet)
    return len(record) == len(levels) and all(map(_fits, record, levels))


def _fits(step: str | int, level: str | type) -> bool:
    if isinstance(level, str):
        return step == level
    return isinstance(step, level) and (level is int or bool(_NAME.fullmatch(str(step))))


def _record(given: Given, steps: tuple[str | int, ...], where: str) -> Given:
    held = _held(given, steps)
    if not isinstance(held, dict):
        raise InputError(Problem(where, None, "is no longer there.", "Load the page again."))
    return held


def _held(given: Given, steps: tuple[str | int, ...]) -> Any:
    held: Any = given
    try:
        for step in steps:
            held = held[step]
    except (KeyError, IndexError, TypeError):
        return None
    return held


def _with_tables(given: Given, steps: tuple[str | int, ...]) -> Given:
    """The structure with empty records where names lead to none."""
    held: Any = given
    for step in steps:
        if not isinstance(held, dict):
            break
        held = held.setdefault(step, {})
    return given


def _list_of(where: str) -> tuple[SheetPlan, tuple[str | int, ...]]:
    steps = tuple(_steps(where))
    for sheet in plan():
        levels = _levels(sheet)[:-1]
        if sheet.path and len(steps) == len(levels) and all(map(_fits, steps, levels)):
            return sheet, steps[:-1]
    raise InputError(Problem(where, None, "is no list of a structure.", "Load the page again."))


def _rename(given: Given, spot: Spot, text: str) -> None:
    """A record under another name, and every joint that speaks of it."""
    old, new = spot.record[-1], text.strip()
    table = _record(given, spot.record[:-1], ".".join(map(str, spot.record)))
    if not spot.sheet.by_name or old not in table or not _NAME.fullmatch(new):
        said = "must be letters, digits, - or _, up to 60."
        raise InputError(Problem(".".join(map(str, spot.record)), text, said))
    if new in table and new != old:
        raise InputError(Problem(".".join(map(str, spot.record)), text, "names another one already."))
    kept = {new if key == old else key: value for key, value in table.items()}
    table.clear()
    table.update(kept)
    for joint in given.get("joints", []):
        for role in ("main", "side"):
            if isinstance(joint, dict) and joint.get(role) == old:
                joint[role] = new


def _drop(record: Given, steps: tuple[str, ...]) -> None:
    held = [record]
    for step in steps[:-1]:
        below = held[-1].get(step)
        if not isinstance(below, dict):
            return
        held.append(below)
    held[-1].pop(steps[-1], None)
    for owner, step in zip(reversed(held[:-1]), reversed(steps[:-1]), strict=True):
        if not owner[step]:
            del owner[step]


def _value(text: str, field: SheetField) -> Any:
    try:
        value = cell_value(Cell(text), field)
    except CellError:
        return text
    return value.isoformat() if isinstance(value, date) else value


def _next_name(names: list[Any], first: str) -> str:
    """A name like the last of some, with a number that none of them has.

    >>> _next_name(["J1", "J2"], "J"), _next_name(["joist"], "T"), _next_name([], "J")
    ('J3', 'joist2', 'J1')
    """
    last = str(names[-1]) if names else f"{first}0"
    stem = re.sub(r"\d+$", "", last)
    number = int(last[len(stem) :] or 1) + 1
    while f"{stem}{number}" in names:
        number += 1
    return f"{stem}{number}"


def _below(
    before: str, held: Any, path: tuple[str, ...], by_name: bool
) -> Iterator[tuple[str, Mapping[str, Any]]]:
    if not path:
        if isinstance(held, Mapping):
            yield before, held
        return
    step, *rest = path
    found = held.get(step) if isinstance(held, Mapping) else None
    start = f"{before}.{step}" if before else step
    if by_name and not rest and isinstance(found, Mapping):
        for key, record in found.items():
            yield from _below(f"{start}.{key}", record, (), False)
    elif isinstance(found, list):
        for number, record in enumerate(found):
            yield from _below(f"{start}[{number}]", record, tuple(rest), by_name)
    elif rest:
        yield from _below(start, found, tuple(rest), by_name)
