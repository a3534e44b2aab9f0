"""Structures: the list, the sheet in which one is edited, its versions, and files in and out."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path, PurePath
from typing import Annotated, Any

from fastapi import APIRouter, Depends, File, Form, Request, UploadFile
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError, Problem
from longhold.intake.convert import FORMS, converted
from longhold.intake.ifc_draft import draft_from_ifc
from longhold.intake.load import load_given
from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter
from longhold.store import EditedMeanwhile, NotInStore, Store, Version
from longhold.web.accounts_person import author_of
from longhold.web.editing import add_row, change, remove_row, with_row
from longhold.web.failures import refusal
from longhold.web.files_out import attachment
from longhold.web.pages import is_part, show
from longhold.web.sheet import judge, sheet_views

__all__ = ["kept_in", "router"]

router = APIRouter(include_in_schema=False, prefix="/structures")
_PAGE = 50
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
    return show("structures.html.j2", scope=request.scope, page=page, search=search, problems=())


@router.post("")
def begun(request: Request, store: Kept, name: Annotated[str, Form()] = "") -> Response:
    """A new structure, begun from the starter."""
    given = _plain({**parse_text(starter(), "toml"), "name": name.strip() or "New structure"})
    return _kept_anew(request, store, given, "begun here")


@router.post("/file")
def brought(request: Request, store: Kept, file: Annotated[UploadFile, File()]) -> Response:
    """A structure from a file that was sent."""
    name = PurePath(file.filename or "structure.toml").name
    try:
        given, note = _read(name, file.file.read())
    except InputError as error:
        problems = [str(one) for one in error.problems]
        page = store.structures(limit=_PAGE)
        return show(
            "structures.html.j2", scope=request.scope, status=422, page=page, search="", problems=problems
        )
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
    cells: Annotated[str, Form()] = "",
    add: Annotated[str, Form()] = "",
    remove: Annotated[str, Form()] = "",
    columns: Annotated[str, Form()] = "",
) -> Response:
    """One change: a cell, several pasted cells (JSON object of path to text), a row more or less."""
    held = store.newest(number)
    try:
        if add:
            given, path = add_row(held.content, add)
            note = f"added {path}"
        elif remove:
            given, note = remove_row(held.content, remove), f"removed {remove}"
        else:
            changes = _pasted(cells) if cells else {where: value}
            given, note = dict(held.content), _note(changes)
            for path, text in changes.items():
                given = change(with_row(given, path) if cells else given, path, text)
        version = store.save(number, given, expecting=expecting, note=note, author=author_of(request.scope))
    except EditedMeanwhile as error:
        return _told_meanwhile(request, store, error, number)
    return _after(request, store, version, columns, whole=bool(add or remove or cells))


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
        return _told_meanwhile(request, store, error, number)
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
    request: Request, store: Store, held: Version, *, every: bool, wrong: str = "", status: int = 200
) -> Response:
    return show(
        "structure.html.j2",
        scope=request.scope,
        status=status,
        sheets=sheet_views(held.content, every),
        every=every,
        timbers=list(held.content.get("timbers", {})),
        wrong=wrong,
        **_state(store, held),
    )


def _state(store: Store, held: Version) -> dict[str, Any]:
    """What is said of a version above its sheets, and which versions undo and redo bring back."""
    newest = store.structure(held.structure_id).newest
    shown = held.restored_from or held.number
    return {
        "held": held,
        "newest": newest,
        "told": judge(held.content).told,
        "undo": shown - 1 if held.number == newest else 0,
        "redo": shown + 1 if held.restored_from and shown + 1 < held.number else 0,
    }


def _after(request: Request, store: Store, version: Version, columns: str, *, whole: bool) -> Response:
    """The state of the sheet after a change: what is said of it alone, or all of it where rows moved."""
    if is_part(request.scope):
        if whole:
            return _sheet(request, store, version, every=columns == "all")
        return show("sheet_state.html.j2", scope=request.scope, alone=True, **_state(store, version))
    query = "?columns=all" if columns == "all" else ""
    return RedirectResponse(f"/structures/{version.structure_id}{query}", 303)


def _told_meanwhile(request: Request, store: Store, error: EditedMeanwhile, number: int) -> Response:
    lost = "Your last change is not kept: look at what is there now, and make it again."
    said = f"{error.problems[0].allowed} {lost}"
    held = error.current or store.newest(number)
    return _sheet(request, store, held, every=False, wrong=said, status=409)


def _read(name: str, raw: bytes) -> tuple[dict[str, Any], str]:
    ending = PurePath(name).suffix.lower()
    if ending not in (*FORMS, ".ifc"):
        do = "Send a structure as TOML, JSON or XLSX, or a building model as IFC."
        raise InputError(Problem("file", name, "is none of the kinds that are read.", do))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"sent{ending}"
        path.write_bytes(raw)
        try:
            if ending == ".ifc":
                return _plain(parse_text(draft_from_ifc(path).text, "toml")), f"drafted from {name}"
            return _plain(load_given(path)), f"brought in from {name}"
        except InputError as error:
            raise InputError(*(_said_of(one, str(path), name) for one in error.problems)) from None


def _said_of(problem: Problem, path: str, name: str) -> Problem:
    value = name if problem.value == path else problem.value
    return Problem(problem.where.replace(path, name), value, problem.allowed, problem.do)


def _plain(given: Mapping[str, Any]) -> dict[str, Any]:
    """As JSON holds it: a date as text."""
    plain: dict[str, Any] = json.loads(json.dumps(given, default=str))
    return plain


def _pasted(cells: str) -> dict[str, str]:
    try:
        found = json.loads(cells)
    except ValueError:
        found = None
    if not isinstance(found, dict) or not all(isinstance(one, str) for one in found.values()):
        raise InputError(Problem("cells", None, "must be an object of paths and texts."))
    return found


def _note(changes: Mapping[str, str]) -> str:
    where, text = next(iter(changes.items()))
    more = f" and {len(changes) - 1} more" if len(changes) > 1 else ""
    return f"{where} = {text}"[:200] + more


def not_kept(request: Request, error: Exception) -> Response:
    """The answer where nothing is kept under an address."""
    said = error.problems[0].allowed if isinstance(error, NotInStore) else ""
    return refusal(request.scope, 404, said)
