"""A filled-in workbook to the keys and values that a structure file has, each with its cell."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NamedTuple

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.intake.sheet_fields import CONTINUED, SheetField, SheetPlan, plan
from longhold.intake.sheet_template import EXAMPLE, MARKER_HEAD, MARKS, OWN_SHEETS, is_untouched_example
from longhold.intake.sheet_values import CellError, cell_value, plain_text
from longhold.intake.workbook import Cell, Row, Sheet, Workbook, column_letters, open_workbook

__all__ = ["SheetDescription", "read_structure_sheets"]

_NONE_IN_LIST = "needs at least one entry."


def _start() -> str:
    return told_here(command="'longhold new deck.xlsx' writes a workbook to fill in.", page="")


class _Place(NamedTuple):
    """Where a record stands: its sheet, the row (0 for the sheet Structure), and the cell of each field."""

    sheet: str
    plan: SheetPlan
    first: str
    cells: Mapping[str, str]


@dataclass
class SheetDescription:
    """What a workbook says of a structure, before anything is validated.

    Attributes
    ----------
    given : keys and values, as a TOML file has them
    problems : what is wrong with single cells, heads and sheets
    """

    given: dict[str, Any] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    places: dict[str, _Place] = field(default_factory=dict)
    records: dict[tuple[str, ...], list[tuple[tuple[Any, ...], dict[str, Any], str]]] = field(
        default_factory=dict
    )

    def told(self, problems: Iterable[Problem]) -> list[Problem]:
        """Problems of a structure, said of the cells, among those of the cells themselves, in their order."""
        own = {one.where for one in self.problems}
        rows = {re.sub(r"![A-Z]+", "!", where) for where in own}
        found = list(self.problems)
        for one in problems:
            cell = self._of_cell(one)
            row = re.sub(r"![A-Z]+", "!", cell.where)
            comes_of_another = one.where in self.places and row in rows
            if cell.where not in own and not comes_of_another:
                found.append(cell)
        heads = {cell: head for stands in self.places.values() for head, cell in stands.cells.items()}
        ordered = sorted(found, key=_by_sheet)
        return [
            replace(one, where=f"{one.where} ({heads[one.where]})")
            if "!" in one.where and one.where in heads
            else one
            for one in ordered
        ]

    def _of_cell(self, problem: Problem) -> Problem:
        allowed = problem.allowed.replace(" in quotes", "")
        where, listed = self._where(problem.where)
        if listed and allowed == _NONE_IN_LIST:
            allowed = "has no row." if where == listed else f"has no row on the sheet {listed}."
        do = problem.do if not problem.do.startswith('Write "') else ""
        return replace(problem, where=where, allowed=allowed, do=do)

    def _where(self, place: str) -> tuple[str, str]:
        """The cell of a path, and the sheet of the list that it names, if it names one."""
        for cut in _cuts(place):
            stands = self.places.get(place[:cut])
            if stands is None:
                continue
            rest = re.sub(r"\[\d+\]$", "", place[cut:].lstrip("."))
            listed = next(
                (one.name for one in plan() if one.path == (*stands.plan.path, *rest.split("."))), ""
            )
            if listed:
                return (stands.first if cut else listed), listed
            if rest in stands.cells:
                return stands.cells[rest], ""
            under = (cell for path, cell in stands.cells.items() if path.startswith(f"{rest}."))
            return next(under, stands.first), ""
        return place, ""


def read_structure_sheets(path: Path) -> SheetDescription:
    """What a workbook says of a structure.

    Raises
    ------
    InputError : the file cannot be opened, or lacks sheets that a structure needs
    """
    book = open_workbook(path, "a structure", _start())
    sheets, found = _named_sheets(book), SheetDescription()
    for one in plan():
        if not one.path:
            _read_main(sheets[one.name], one, found)
        elif one.name in sheets:
            _read_rows(sheets[one.name], one, found)
    return found


def _named_sheets(book: Workbook) -> dict[str, Sheet]:
    by_name = {sheet.name.strip().casefold(): sheet for sheet in book.sheets}
    found = {one.name: by_name[one.name.casefold()] for one in plan() if one.name.casefold() in by_name}
    spare = [
        sheet.name for sheet in book.sheets if sheet not in found.values() and sheet.name not in OWN_SHEETS
    ]
    problems = []
    for one in plan():
        if one.name in found:
            continue
        close = get_close_matches(one.name.casefold(), [name.strip().casefold() for name in spare], n=1)
        if one.needed or close:
            meant = next((name for name in spare if close and name.strip().casefold() == close[0]), "")
            do = f"Is it {meant!r}? Then name that sheet {one.name}." if meant else _start()
            has = ", ".join(sheet.name for sheet in book.sheets[:20])
            problems.append(Problem(book.file, None, f"has no sheet {one.name}; its sheets are {has}.", do))
    if problems:
        raise InputError(*problems)
    return found


def _read_main(sheet: Sheet, one: SheetPlan, found: SheetDescription) -> None:
    fields = {each.path: each for each in one.fields}
    cells: dict[str, str] = {}
    for each in one.fields:
        if each.needed:
            _owner(found.given, each.steps)
    for row in sheet.rows():
        name, value = _at(row, 0), _at(row, 1)
        said = str(name.value or "").strip()
        path, part = _continued(said)
        cell = f"{sheet.name}!B{row.number}"
        if path in fields and (part > 1 or path not in cells):
            cells.setdefault(path, cell)
            if not value.is_empty:
                _take(found, fields[path], value, cell, found.given, goes_on=part > 1)
        elif path in fields and not value.is_empty:
            found.problems.append(
                Problem(cell, value.value, f"{path} stands above already, at {cells[path]}.")
            )
        elif said.casefold() != "field" and not value.is_empty:
            found.problems.append(_unknown(f"{sheet.name}!A{row.number}", said, list(fields)))
    for path in fields:
        cells.setdefault(path, f"{sheet.name} (no row {path})")
    found.places[""] = _Place(sheet.name, one, sheet.name, cells)
    for other in plan():
        if len(other.path) == 1 and other.needed:
            found.given[other.path[0]] = {} if other.by_name else []


def _continued(said: str) -> tuple[str, int]:
    match = re.match(r"(.*) \((\d+)\)$", said)
    return (match[1], int(match[2])) if match and CONTINUED.format(match[2]) else (said, 1)


def _read_rows(sheet: Sheet, one: SheetPlan, found: SheetDescription) -> None:
    rows = sheet.rows()
    head = next(rows, None)
    columns = _columns(sheet, head, one, found) if head is not None else {}
    named = {at for at, cell in enumerate(head.cells) if not cell.is_empty} if head is not None else set()
    for row in rows:
        _tell_strays(sheet, row, named, found)
        if _is_data(sheet, row, columns, one, found):
            _read_record(sheet, row, columns, one, found)


def _tell_strays(sheet: Sheet, row: Row, named: set[int], found: SheetDescription) -> None:
    """What stands under no head, once for each column."""
    for at, cell in enumerate(row.cells):
        if not cell.is_empty and at not in named:
            named.add(at)
            where = f"{sheet.name}!{column_letters(at)}{row.number}"
            found.problems.append(Problem(where, cell.value, "stands under no head."))


def _columns(sheet: Sheet, head: Row, one: SheetPlan, found: SheetDescription) -> dict[str, int]:
    known = {name.casefold(): name for name in (*one.heads, MARKER_HEAD)}
    columns: dict[str, int] = {}
    for at, cell in enumerate(head.cells):
        if cell.is_empty:
            continue
        said = str(cell.value).strip()
        name, where = known.get(said.casefold()), f"{sheet.name}!{column_letters(at)}{head.number}"
        if name is None:
            found.problems.append(_unknown(where, said, list(one.heads)))
        elif name in columns:
            found.problems.append(
                Problem(where, said, f"is the head of column {column_letters(columns[name])} too.")
            )
        else:
            columns[name] = at
    needed = [
        *one.owners,
        *(["name"] if one.by_name else []),
        *(each.path for each in one.fields if each.needed),
    ]
    if missing := [name for name in needed if name not in columns]:
        said = f"has no column {' or '.join(missing)}."
        found.problems.append(Problem(f"{sheet.name}!A{head.number}", None, said, _start()))
    return columns


def _unknown(where: str, said: str, known: list[str]) -> Problem:
    close = get_close_matches(said, known, n=2, cutoff=0.6)
    do = f"Did you mean {' or '.join(close)}?" if close else f"Known here are {', '.join(known)}."
    return Problem(where, said, "is not a field that is known.", do)


def _is_data(
    sheet: Sheet, row: Row, columns: Mapping[str, int], one: SheetPlan, found: SheetDescription
) -> bool:
    if MARKER_HEAD not in columns:
        return True
    mark = _key(row, columns, MARKER_HEAD).casefold()
    where = f"{sheet.name}!{column_letters(columns[MARKER_HEAD])}{row.number}"
    if mark == EXAMPLE:
        said = {name: _at(row, at).value for name, at in columns.items() if name != MARKER_HEAD}
        if not is_untouched_example(one, said):
            do = "To use the row, empty this cell; else delete the row."
            found.problems.append(
                Problem(where, mark, "the row was changed, and an example is not read.", do)
            )
        return False
    if mark and mark not in MARKS:
        found.problems.append(
            Problem(where, mark, f"must be empty, or {' or '.join(MARKS)} for a row not to be read.")
        )
    others = [cell for at, cell in enumerate(row.cells) if at != columns[MARKER_HEAD]]
    return not mark and not all(cell.is_empty for cell in others)


def _read_record(
    sheet: Sheet, row: Row, columns: Mapping[str, int], one: SheetPlan, found: SheetDescription
) -> None:
    cells = {name: f"{sheet.name}!{column_letters(at)}{row.number}" for name, at in columns.items()}
    first = cells.get(one.heads[len(one.owners)], f"{sheet.name}!A{row.number}")
    record: dict[str, Any] = {}
    for each in one.fields:
        if each.path in columns and not (cell := _at(row, columns[each.path])).is_empty:
            _take(found, each, cell, cells[each.path], record)
    keys = [_key(row, columns, name) for name in one.owners if name in columns]
    home = _home(one, keys, cells, found)
    if home is None:
        return
    holder, before = home
    step = one.path[-1]
    if one.by_name:
        name = _key(row, columns, "name")
        held = holder.setdefault(step, {})
        if not name:
            found.problems.append(
                Problem(first, None, "is missing; give a short name, by which joints call it.")
            )
            return
        if name in held:
            found.problems.append(Problem(first, name, "stands on this sheet already."))
            return
        held[name], prefix, own = record, f"{before}{step}.{name}", name
    else:
        entries = holder.setdefault(step, [])
        prefix, own = f"{before}{step}[{len(entries)}]", str(record.get("id", ""))
        entries.append(record)
    found.places[prefix] = _Place(sheet.name, one, first, cells)
    found.records.setdefault(one.path, []).append(((*keys, own), record, prefix))


def _home(
    one: SheetPlan, keys: Sequence[str], cells: Mapping[str, str], found: SheetDescription
) -> tuple[dict[str, Any], str] | None:
    """The record that holds the list of a row, and its path with a point after it."""
    if not one.owners:
        return _owner(found.given, one.path), "".join(f"{step}." for step in one.path[:-1])
    parents = found.records.get(one.path[:-1], [])
    for ids, record, prefix in parents:
        if ids == tuple(keys):
            return record, f"{prefix}."
    head = one.owners[-1]
    if head in cells:
        known = [ids[-1] for ids, _, _ in parents if ids[-1]]
        said = keys[-1] if keys else ""
        close = get_close_matches(said, known, n=1)
        do = f"Did you mean {close[0]}?" if close else f"Known are {', '.join(known[:20]) or 'none'}."
        allowed = (
            f"is no {head} of this workbook." if said else f"is missing; name the {head} that it belongs to."
        )
        found.problems.append(Problem(cells[head], said or None, allowed, do))
    return None


def _take(
    found: SheetDescription,
    each: SheetField,
    cell: Cell,
    where: str,
    record: dict[str, Any],
    goes_on: bool = False,
) -> None:
    try:
        value = cell_value(cell, each)
    except CellError as fault:
        shown = None if cell.fault else str(cell.value)
        found.problems.append(Problem(where, shown, fault.allowed, fault.do))
        return
    holder, last = _owner(record, each.steps), each.steps[-1]
    holder[last] = holder[last] + value if goes_on and last in holder else value


def _owner(record: dict[str, Any], steps: Sequence[str]) -> dict[str, Any]:
    for step in steps[:-1]:
        record = record.setdefault(step, {})
    return record


def _key(row: Row, columns: Mapping[str, int], head: str) -> str:
    """A name or id in a row; empty where there is none."""
    cell = _at(row, columns[head]) if head in columns else Cell(None)
    return "" if cell.is_empty else str(plain_text(cell.value)).strip()


def _at(row: Row, index: int) -> Cell:
    return row.cells[index] if index < len(row.cells) else Cell(None)


def _cuts(place: str) -> Iterator[int]:
    """Lengths of the beginnings of a path, longest first."""
    yield len(place)
    for at in range(len(place) - 1, 0, -1):
        if place[at] in ".[":
            yield at
    yield 0


def _by_sheet(problem: Problem) -> tuple[int, int, int, str]:
    names = [one.name.casefold() for one in plan()]
    match = re.match(r"(.*)!([A-Z]+)(\d+)$", problem.where)
    if not match or match[1].strip().casefold() not in names:
        return (
            len(names) if problem.where.casefold() not in names else names.index(problem.where.casefold()),
            0,
            0,
            "",
        )
    return names.index(match[1].strip().casefold()), int(match[3]), len(match[2]), match[2]
