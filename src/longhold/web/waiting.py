"""Cells that wait: what cannot be used is kept as it was typed, and is in no version until it is right."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from longhold.base.errors import InputError
from longhold.web.editing import Given, cell_words, change, find_spot
from longhold.web.judging import Told, judge
from longhold.web.meanwhile import typed_meanwhile
from longhold.web.spoken import spoken

if TYPE_CHECKING:
    from longhold.store import Store, Version

__all__ = ["Settled", "WaitingCell", "settled", "shown_with", "waiting_in", "waiting_told"]

_REGION = re.compile(r"joints\[\d+\]|timbers\.[^.]+|[^.]+")
_WITH_ANOTHER = "does not go with the rest of it; it is saved once both are right."


class WaitingCell(NamedTuple):
    """One cell that waits.

    Attributes
    ----------
    id : in the store
    where : its path in the version that is shown
    typed : the text
    """

    id: int
    where: str
    typed: str


class Settled(NamedTuple):
    """Which of some typed cells a structure takes.

    Attributes
    ----------
    given : the structure with those that it takes
    taken, held : text by path, of those and of those that wait; paths are of ``given``
    """

    given: Given
    taken: dict[str, str]
    held: dict[str, str]


def waiting_in(store: Store, version: Version) -> tuple[WaitingCell, ...]:
    """What waits, by the rows of a version; a cell whose row is gone, or that says the same, is left out."""
    found: dict[str, WaitingCell] = {}
    began: dict[int, Mapping[str, Any]] = {version.number: version.content}
    for one in store.waiting(version.structure_id):
        if one.number not in began:
            began[one.number] = store.at(version.structure_id, one.number).content
        mine = typed_meanwhile(began[one.number], version.content, one.cell, one.typed)
        if mine.where and mine.now != one.typed:
            found[mine.where] = WaitingCell(one.id, mine.where, one.typed)
    return tuple(found.values())


def shown_with(given: Mapping[str, Any], cells: Mapping[str, str]) -> tuple[Given, tuple[Told, ...]]:
    """A structure with cells as typed, and what is told of names that no record can have."""
    held, told = dict(given), []
    for where, typed in sorted(cells.items(), key=lambda one: _is_name(one[0])):  # names last: paths hold
        try:
            held = change(held, where, typed)
        except InputError as error:
            said = " ".join(f"{one.allowed} {one.do}".strip() for one in error.problems)
            told.append(Told(where, spoken(given, where), said))
    return held, tuple(told)


def settled(given: Mapping[str, Any], cells: Mapping[str, str], now: str) -> Settled:
    """The structure with every cell that makes nothing of it worse; the others wait.

    Parameters
    ----------
    given : as it is saved
    cells : text by path: what waits, and what was typed now
    now : path of the latter
    """
    before = {one.where for one in judge(given).told}
    taken, held = dict(cells), dict[str, str]()
    while True:
        tried, names = shown_with(given, taken)
        faults = [*names, *judge(tried).told] if taken else []
        blamed = {where for fault in faults for where in _blamed(fault.where, taken, before, now)}
        if not blamed:
            break
        held |= {where: taken.pop(where) for where in blamed}
    return Settled(tried, taken, {_renamed(where, taken): typed for where, typed in held.items()})


def waiting_told(
    given: Mapping[str, Any], cells: Iterable[WaitingCell]
) -> tuple[list[tuple[WaitingCell, Told, str]], list[Told]]:
    """What is told of each cell that waits, with what is saved there, and what else is wrong with them in."""
    cells = tuple(cells)
    shown, names = shown_with(given, {one.where: one.typed for one in cells})
    told = [*names, *judge(shown).told]
    by_cell = {one.where: one for one in told}
    waits = [
        (
            one,
            by_cell.get(one.where, Told(one.where, spoken(given, one.where), _WITH_ANOTHER)),
            _saved(given, one.where),
        )
        for one in cells
    ]
    paths = {one.where for one in cells}
    return waits, [one for one in told if one.where not in paths]


def _blamed(fault: str, cells: Mapping[str, str], before: set[str], now: str) -> list[str]:
    """The cells a fault is due to: its own, else those of its joint or timber, else the one typed now."""
    if fault in cells:
        return [fault]
    region = _region(fault)
    if fault in before or any(_region(one) == region for one in before):
        return []
    return [one for one in cells if _region(one) == region] or [one for one in cells if one == now]


def _region(where: str) -> str:
    found = _REGION.match(where)
    return found[0] if found else ""


def _is_name(where: str) -> bool:
    return find_spot(where).field is None


def _renamed(where: str, taken: Mapping[str, str]) -> str:
    for old, new in taken.items():
        if where.startswith(f"{old}.") and _is_name(old):
            return f"{old.rpartition('.')[0]}.{new.strip()}{where.removeprefix(old)}"
    return where


def _saved(given: Mapping[str, Any], where: str) -> str:
    spot = find_spot(where)
    if spot.field is None:
        return str(spot.record[-1])
    record: Any = given
    for step in spot.record:
        record = record[step]
    return cell_words(record, spot.field)
