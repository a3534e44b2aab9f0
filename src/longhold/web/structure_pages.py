"""Structures: the list, the sheet in which one is edited, its versions, and files in and out."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePath
from typing import Annotated, Any

from fastapi import APIRouter, Depends, File, Form, Request, UploadFile
from markupsafe import Markup
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError, Problem
from longhold.base.recent import Recent
from longhold.intake.convert import FORMS, converted
from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter
from longhold.store import EditedMeanwhile, NotInStore, Store, Version, WaitingChange
from longhold.web.accounts_person import author_of
from longhold.web.editing import add_row, find_spot, remove_row, rows_moved_up
from longhold.web.failures import refusal
from longhold.web.files_in import plain, read_structure
from longhold.web.files_out import attachment
from longhold.web.joint_form import packs
from longhold.web.judging import judge
from longhold.web.meanwhile import Mine, typed_meanwhile
from longhold.web.pages import is_part, may_change, piece, show
from longhold.web.pasting import Refused, held_back, pasted
from longhold.web.sheet import sheet_views
from longhold.web.spoken import spoken
from longhold.web.waiting import (
    Renames,
    WaitingCell,
    change_of,
    followed,
    settled,
    shown_with,
    waiting_beside,
    waiting_in,
    waiting_told,
)
from longhold.wood.preservatives import preservative_table
from longhold.wood.species import species_table

__all__ = ["kept_in", "router"]

router = APIRouter(include_in_schema=False, prefix="/structures")
_PAGE = 50
_LONGEST_NAME = 180
_kept_sheets: Recent[tuple[Markup, int]] = Recent(16_000_000, lambda one: len(one[0]))
_KINDS = {
    ".toml": "application/toml",
    ".json": "application/json",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def kept_in(request: Request) -> Store:
    """The store of this server."""
    store: Store = request.app.state.store
    return store


Kept = Annotated[Store, Depends(kept_in)]


@router.get("")
def listed(request: Request, store: Kept, search: str = "", offset: int = 0) -> Response:
    """The structures that are kept."""
    page = store.structures(search=search, offset=max(0, offset), limit=_PAGE)
    return show("structures.html.j2", scope=request.scope, page=page, search=search, problems={}, name="")


@router.post("")
def begun(request: Request, store: Kept, name: Annotated[str, Form()] = "") -> Response:
    """A new structure, begun from the starter."""
    if not name.strip():
        return _not_begun(request, store, "name", ["Give it a name first, such as Back deck."])
    if len(name.strip()) > _LONGEST_NAME:
        said = f"Its name has {len(name.strip())} letters; up to {_LONGEST_NAME} are kept. Shorten it."
        return _not_begun(request, store, "name", [said], name)
    given = plain({**parse_text(starter(), "toml"), "name": name.strip()})
    return _kept_anew(request, store, given, "begun here")


@router.post("/file")
def brought(request: Request, store: Kept, file: Annotated[UploadFile | None, File()] = None) -> Response:
    """A structure from a file that was sent."""
    if file is None or not file.filename:
        return _not_begun(request, store, "file", ["No file was chosen: choose one first."])
    name = PurePath(file.filename or "structure.toml").name
    try:
        given, note = read_structure(name, file.file.read())
    except InputError as error:
        return _not_begun(request, store, "", [str(one) for one in error.problems])
    return _kept_anew(request, store, given, note)


@router.get("/{number}")
def sheet(request: Request, store: Kept, number: int, columns: str = "", version: int = 0) -> Response:
    """The sheet of a structure; with ``version`` as it once was, which is not edited."""
    held = store.at(number, version) if version else store.newest(number)
    return _sheet(request, store, held, every=columns == "all")


@router.post("/{number}/edit")
def edited(
    request: Request,
    store: Kept,
    number: int,
    expecting: Annotated[int, Form()],
    where: Annotated[str, Form()] = "",
    value: Annotated[str, Form()] = "",
    block: Annotated[str, Form()] = "",
    heads: Annotated[str, Form()] = "",
    add: Annotated[str, Form()] = "",
    empty: Annotated[bool, Form()] = False,
    remove: Annotated[str, Form()] = "",
    columns: Annotated[str, Form()] = "",
) -> Response:
    """One change: a cell, a block pasted from a row on (``heads`` names its columns), a row more or less."""
    began = store.at(number, expecting)  # what was sent speaks of the rows of that version
    refused: tuple[Refused, ...] = ()
    renames: Renames = ()
    held_out: Mapping[str, str] = {}
    cells, who = {one.where: one.typed for one in waiting_in(store, began)}, author_of(request.scope)
    whole = bool(add or remove or block)
    if add:
        given, path = add_row(began.content, add, empty=empty)
        note = f"added {spoken(given, path)}"
    elif remove:
        given, note = remove_row(began.content, remove), f"removed {spoken(began.content, remove)}"
        renames = rows_moved_up(began.content, remove)
        cells = {one: typed for one, typed in cells.items() if not f"{one}.".startswith(f"{remove}.")}
    elif block:
        found = pasted(began.content, where, heads.split(","), block)
        _, filled, refused, renames = found
        given, held_out = held_back(began.content, found)
        count = len(filled) - len(held_out)
        several = "1 cell" if count == 1 else f"{count} cells"
        note = f"{several} pasted, from {spoken(began.content, where)} on"
        cells = {one: typed for one, typed in cells.items() if not _is_filled(one, filled, renames)}
    else:
        find_spot(where)
        cells.pop(where, None)  # what is typed last stands last: Undo takes it back first
        given, taken, cells, renames = settled(began.content, {**cells, where: value}, where)
        note = "; ".join(f"{spoken(began.content, one)} = {typed}" for one, typed in taken.items())[:200]
    try:
        version = _unless_meanwhile(store, number, expecting)
        waiting = change_of(store, began, cells, renames)
        waiting = replace(waiting, add={**waiting.add, **held_out})
        if given != began.content or add:
            version = store.save(number, given, expecting=expecting, note=note, author=who, waiting=waiting)
        else:
            store.change_waiting(number, expecting, waiting, author=who)
    except EditedMeanwhile as error:
        mine = None
        if not whole:
            newest = error.current or store.newest(number)
            mine = typed_meanwhile(began.content, newest.content, where, value)
        return _told_meanwhile(request, store, error, number, columns, mine, block)
    return _after(request, store, version, columns, whole=whole, refused=refused)


@router.post("/{number}/back")
def put_back(
    request: Request,
    store: Kept,
    number: int,
    waiting: Annotated[int, Form()],
    cell: Annotated[str, Form()],
    typed: Annotated[str, Form()],
    columns: Annotated[str, Form()] = "",
) -> Response:
    """What is saved put back in the place of what waits in a cell; any other text stays."""
    newest = store.newest(number)
    if WaitingCell(waiting, cell, typed) in waiting_in(store, newest):
        store.change_waiting(number, newest.number, WaitingChange(drop={waiting: typed}))
    return _after(request, store, newest, columns, whole=True)


def _is_filled(where: str, filled: Sequence[str], renames: Renames) -> bool:
    """Whether a paste went into a cell: a name by its old path, all else of its row by the new one."""
    return where in filled if find_spot(where).field is None else followed(where, renames) in filled


def _unless_meanwhile(store: Store, number: int, expecting: int) -> Version:
    newest = store.newest(number)
    if newest.number != expecting:
        raise EditedMeanwhile(newest.name, expecting, newest)
    return newest


@router.post("/{number}/restore")
def restored(
    request: Request,
    store: Kept,
    number: int,
    version: Annotated[int, Form()],
    expecting: Annotated[int, Form()],
    columns: Annotated[str, Form()] = "",
) -> Response:
    """An old version brought back as the newest."""
    try:
        note = f"back to version {version}"
        who = author_of(request.scope)
        held = store.restore(number, version, expecting=expecting, note=note, author=who)
    except EditedMeanwhile as error:
        return _told_meanwhile(request, store, error, number, columns)
    return _after(request, store, held, columns, whole=True)


@router.get("/{number}/history")
def history(request: Request, store: Kept, number: int, offset: int = 0) -> Response:
    """Every version of a structure."""
    page = store.history(number, offset=max(0, offset), limit=_PAGE)
    return show("history.html.j2", scope=request.scope, held=store.newest(number), page=page)


@router.post("/{number}/archive")
def archived(store: Kept, number: int) -> Response:
    """Taken off the list; everything of it stays."""
    store.archive(number)
    return RedirectResponse("/structures", 303)


@router.get("/{number}/file{ending}")
def written(store: Kept, number: int, ending: str, version: int = 0) -> Response:
    """The structure as a file."""
    if ending not in FORMS:
        raise InputError(Problem("file", ending, f"must be one of {', '.join(FORMS)}."))
    held = store.at(number, version) if version else store.newest(number)
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "structure.json"
        source.write_text(json.dumps(dict(held.content)), encoding="utf-8")
        content = converted(source, Path(folder) / f"out{ending}")
    return Response(content, media_type=_KINDS[ending], headers=attachment(f"{held.name}{ending}"))


def _not_begun(request: Request, store: Store, field: str, said: list[str], name: str = "") -> Response:
    """The list of structures with what keeps another from being begun; of a file under the blank name."""
    page = store.structures(limit=_PAGE)
    values: dict[str, Any] = {"page": page, "search": "", "problems": {field: said}, "name": name}
    return show("structures.html.j2", scope=request.scope, status=422, **values)


def _kept_anew(request: Request, store: Store, given: Mapping[str, Any], note: str) -> Response:
    name = str(given.get("name") or "Structure")[:180]
    for number in range(1, 1000):
        try:
            called = name if number == 1 else f"{name} ({number})"
            version = store.save(called, given, expecting=0, note=note, author=author_of(request.scope))
        except EditedMeanwhile:
            continue
        return RedirectResponse(f"/structures/{version.structure_id}", 303)
    return refusal(request.scope, 422, f"There are a thousand structures named {name!r}. Give another name.")


def _sheet(
    request: Request,
    store: Store,
    held: Version,
    *,
    every: bool,
    wrong: str = "",
    mine: Mine | None = None,
    block: str = "",
    refused: Sequence[Refused] = (),
    status: int = 200,
) -> Response:
    waiting = waiting_beside(store, held)
    typed = {one.where: one.typed for one in waiting}
    shown, _ = shown_with(held.content, typed)
    sheets, hidden = _sheets(held, shown, typed, every, editable=held.is_newest and may_change(request.scope))
    return show(
        "structure.html.j2",
        scope=request.scope,
        status=status,
        sheets=sheets,
        hidden=hidden,
        every=every,
        timbers=list(held.content.get("timbers", {})),
        species=sorted(species_table()),
        preservatives=sorted(preservative_table()),
        packs=packs(),
        pack=code.get("pack", "") if isinstance(code := shown.get("code"), dict) else "",
        wrong=wrong,
        mine=mine,
        block=block,
        **_state(held, waiting, refused),
    )


def _sheets(
    held: Version, shown: Mapping[str, Any], typed: Mapping[str, str], every: bool, *, editable: bool
) -> tuple[Markup, int]:
    """The sheets as they stand in a page, and how many columns are left out."""
    key = (held.sha256, tuple(typed.items()), every, editable)  # all that they follow from

    def made() -> tuple[Markup, int]:
        views = sheet_views(shown, every)
        html = piece("sheets.html.j2", sheets=views, names=typed, editable=editable)
        return html, sum(one.hidden for one in views)

    return _kept_sheets.get(key, made)


def _state(held: Version, waiting: Sequence[WaitingCell], refused: Sequence[Refused]) -> dict[str, Any]:
    """What is said of a version above its sheets, and which versions undo and redo bring back."""
    shown = held.restored_from or held.number
    waits, told = waiting_told(held.content, waiting)
    return {
        "held": held,
        "told": told,
        "waits": waits,
        "is_wrong": bool(judge(held.content).told),
        "refused": [(one, spoken(held.content, one.where)) for one in refused],
        "undo": shown - 1 if held.is_newest else 0,
        "redo": shown + 1 if held.restored_from and shown + 1 < held.number else 0,
    }


def _after(
    request: Request,
    store: Store,
    version: Version,
    columns: str,
    *,
    whole: bool,
    refused: Sequence[Refused] = (),
) -> Response:
    """The state of the sheet after a change: what is said of it alone, or all of it where rows moved."""
    if is_part(request.scope):
        if whole:
            return _sheet(request, store, version, every=columns == "all", refused=refused)
        state = _state(version, waiting_beside(store, version), refused)
        return show("sheet_state.html.j2", scope=request.scope, alone=True, **state)
    if refused:
        return _sheet(request, store, version, every=columns == "all", refused=refused, status=422)
    query = "?columns=all" if columns == "all" else ""
    return RedirectResponse(f"/structures/{version.structure_id}{query}", 303)


def _told_meanwhile(
    request: Request,
    store: Store,
    error: EditedMeanwhile,
    number: int,
    columns: str,
    mine: Mine | None = None,
    block: str = "",
) -> Response:
    """The newest version, and beside it what was sent on an older one, to be put in or left."""
    held = error.current or store.newest(number)
    said = (
        f"Somebody else saved version {held.number}{f' ({held.author})' if held.author else ''} meanwhile. "
    )
    if mine is not None and mine.where:
        said += "What you typed is kept here: choose which of the two holds."
    elif mine is not None:
        said += "The row that you typed in is gone; what you typed is kept here."
    elif block:
        said += (
            "What you pasted is kept here: look at the newest version, then paste it again where it belongs."
        )
    else:
        said += "Look at what is there now, then press again."
    every = columns == "all"
    return _sheet(request, store, held, every=every, wrong=said, mine=mine, block=block, status=409)


def not_kept(request: Request, error: Exception) -> Response:
    """The answer where nothing is kept under an address."""
    said = error.problems[0].allowed if isinstance(error, NotInStore) else ""
    return refusal(request.scope, 404, said)
