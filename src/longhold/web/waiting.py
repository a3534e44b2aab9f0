"""Cells that wait: what cannot be used is kept as it was typed, and is in no version until it is right."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from longhold.base.errors import InputError
from longhold.store import WaitingChange
from longhold.web.editing import Given, cell_words, change, find_spot
from longhold.web.judging import Told, judge
from longhold.web.meanwhile import typed_meanwhile
from longhold.web.spoken import spoken

if TYPE_CHECKING:
    from longhold.store import Store, Version

__all__ = [
    "Renames",
    "Settled",
    "WaitingCell",
    "change_of",
    "followed",
    "left_out",
    "settled",
    "shown_with",
    "waiting_beside",
    "waiting_in",
    "waiting_told",
]

_ID = re.compile(r"\[\d+\]\.id$")
_REGION = re.compile(r"joints\[\d+\]|timbers\.[^.]+|[^.]+")
Renames = Sequence[tuple[str, str]]
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
    taken, held : text by path before, of those and of those that wait
    renames : old and new path of each record that has another name in ``given``
    """

    given: Given
    taken: dict[str, str]
    held: dict[str, str]
    renames: Renames


def waiting_in(store: Store, version: Version) -> tuple[WaitingCell, ...]:
    """What waits, by the rows of a version; a cell whose row is gone, or that says the same, is left out."""
    return _waiting_and_over(store, version)[0]


def waiting_beside(store: Store, version: Version) -> tuple[WaitingCell, ...]:
    """What waits beside the newest version, which alone can be edited; nothing beside an older one."""
    return waiting_in(store, version) if version.is_newest else ()


def left_out(store: Store, version: Version) -> str:
    """One line on what waits, so is in no result of the newest version; blank for nothing or an older one."""
    told = (f"{spoken(version.content, one.where)} “{one.typed}”" for one in waiting_beside(store, version))
    words = "; ".join(told)
    return f"Left out until put right: {words}." if words else ""


def change_of(store: Store, version: Version, held: Mapping[str, str], renames: Renames) -> WaitingChange:
    """What an edit changes of what waits; what waits on keeps its id, author and time.

    Parameters
    ----------
    version : that was edited
    held : text by its path in ``version``, of every cell that waits after the edit
    renames : of records, by the edit
    """
    waits, over = _waiting_and_over(store, version)
    on = [one for one in waits if held.get(one.where) == one.typed]
    known = {one.where for one in on}
    return WaitingChange(
        add={followed(one, renames): typed for one, typed in held.items() if one not in known},
        moved={one.id: followed(one.where, renames) for one in on},
        drop={one.id: one.typed for one in (*waits, *over) if one not in on},
    )


def followed(where: str, renames: Renames) -> str:
    """A path after records got other names, one after the other."""
    for old, new in renames:
        if f"{where}.".startswith(f"{old}."):
            where = f"{new}{where.removeprefix(old)}"
    return where


def _waiting_and_over(
    store: Store, version: Version
) -> tuple[tuple[WaitingCell, ...], tuple[WaitingCell, ...]]:
    """What waits, the one typed last last, and what need not: the same is saved, or was typed over."""
    found: dict[str, WaitingCell] = {}
    over: list[WaitingCell] = []
    began: dict[int, Mapping[str, Any]] = {version.number: version.content}
    for one in store.waiting(version.structure_id):
        if one.number not in began:
            began[one.number] = store.at(version.structure_id, one.number).content
        mine = typed_meanwhile(began[one.number], version.content, one.cell, one.typed)
        cell = WaitingCell(one.id, mine.where, one.typed)
        if mine.where and mine.now == one.typed:
            over.append(cell)
        elif mine.where:
            over += [found.pop(mine.where)] if mine.where in found else []
            found[mine.where] = cell
    return tuple(found.values()), tuple(over)


def shown_with(given: Mapping[str, Any], cells: Mapping[str, str]) -> tuple[Given, tuple[Told, ...]]:
    """A structure with cells as typed, and what is told of names that no record can have."""
    held, told = dict(given), []
    for where, typed in sorted(
        cells.items(), key=lambda one: (_is_name(one[0]), one[0])
    ):  # names last: paths hold
        try:
            held = change(held, where, typed)
        except InputError as error:
            said = " ".join(f"{one.allowed} {one.do}".strip() for one in error.problems)
            told.append(Told(where, spoken(given, where), said))
    return held, tuple(told)


def settled(given: Mapping[str, Any], cells: Mapping[str, str], now: str) -> Settled:
    """The structure with every cell that makes nothing of it worse; the others wait.

    What was typed now comes first: an older cell goes in only where both are right together.

    Parameters
    ----------
    given : as it is saved
    cells : text by path: what waits, and what was typed now
    now : path of the latter
    """
    before = {one.where for one in judge(given).told}
    older = [one for one in cells if one != now]
    chosen = next(
        (paths for paths in _with_now(older, now) if _is_no_worse(given, _those(cells, paths), before)),
        frozenset[str](),
    )
    for one in older:
        with_it = chosen | {one}
        if one not in chosen and _is_no_worse(given, _those(cells, with_it), before):
            chosen = with_it
    taken = _those(cells, chosen)
    held = {where: typed for where, typed in cells.items() if where not in chosen}
    return Settled(shown_with(given, taken)[0], taken, held, _renames(taken))


def waiting_told(
    given: Mapping[str, Any], cells: Iterable[WaitingCell]
) -> tuple[list[tuple[WaitingCell, Told, str]], list[Told]]:
    """What is told of each cell that waits, with what is saved there, and what else is wrong with them in."""
    cells = tuple(cells)
    shown, names = shown_with(given, {one.where: one.typed for one in cells})
    told = [*names, *_of_the_typed(shown, judge(shown).told, [one.where for one in cells])]
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


def _of_the_typed(given: Mapping[str, Any], told: Iterable[Told], typed: Sequence[str]) -> Iterator[Told]:
    """What is told, of two records with one id at the one that was typed: the other was right before."""
    for one in told:
        twin = next(
            (cell for cell in typed if one.where not in typed and _is_twin(given, one.where, cell)), ""
        )
        if not twin:
            yield one
            continue
        other = spoken(given, one.where).rpartition(",")[0]
        yield Told(twin, spoken(given, twin), f"is the id of another one, {other}. Ids must differ.")


def _is_twin(given: Mapping[str, Any], where: str, cell: str) -> bool:
    is_of_one_list = bool(_ID.search(where)) and _ID.sub("", where) == _ID.sub("", cell)
    return is_of_one_list and _saved(given, where) == _saved(given, cell)


def _with_now(older: Sequence[str], now: str) -> Iterator[frozenset[str]]:
    """What may be right together with the cell typed now: all, it alone, its joint or timber, one other."""
    yield frozenset({now, *older})
    if older:
        yield frozenset({now})
        yield frozenset({now, *(one for one in older if _region(one) == _region(now))})
    for one in older:
        yield frozenset({now, one})


def _those(cells: Mapping[str, str], paths: Collection[str]) -> dict[str, str]:
    return {where: typed for where, typed in cells.items() if where in paths}


def _is_no_worse(given: Mapping[str, Any], cells: Mapping[str, str], before: Iterable[str]) -> bool:
    """Whether nothing is wrong with the cells, nor anything where all was right before."""
    tried, names = shown_with(given, cells)
    if names:
        return False
    renames = _renames(cells)
    own = {followed(one, renames) for one in cells}
    old = {followed(one, renames) for one in before}
    regions = {_region(one) for one in old}
    return all(
        one.where not in own and (one.where in old or _region(one.where) in regions)
        for one in judge(tried).told
    )


def _region(where: str) -> str:
    found = _REGION.match(where)
    return found[0] if found else ""


def _is_name(where: str) -> bool:
    return find_spot(where).field is None


def _renames(taken: Mapping[str, str]) -> Renames:
    names = sorted(one for one in taken if _is_name(one))  # in the order in which they are put in
    return [(one, f"{one.rpartition('.')[0]}.{taken[one].strip()}") for one in names]


def _saved(given: Mapping[str, Any], where: str) -> str:
    spot = find_spot(where)
    if spot.field is None:
        return str(spot.record[-1])
    record: Any = given
    for step in spot.record:
        record = record[step]
    return cell_words(record, spot.field)
