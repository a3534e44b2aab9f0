"""The first step of choosing: what can be bought, from a supplier's list or the invented one."""

from __future__ import annotations

import asyncio
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Form, Request, UploadFile
from starlette.datastructures import FormData
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError
from longhold.intake.offer_labels import without_amount
from longhold.intake.offer_questions import meaning_of
from longhold.intake.workbook import macro_words
from longhold.model.offer_list import COLUMNS, ListColumns
from longhold.model.sizes import PartKind
from longhold.store import NotInStore, Store
from longhold.web.accounts_person import author_of
from longhold.web.asked import ask_work
from longhold.web.list_form import ListForm, first_of
from longhold.web.pages import show
from longhold.web.purchase_question import last_asked
from longhold.web.structure_pages import Kept
from longhold.web.supplier_lists import (
    DEMO_NAME,
    HeldList,
    demo_list,
    held_list,
    keep_reading,
    keep_sent,
    known_way,
    read_and_keep,
    reading_under,
    sheets_of,
    table_of,
    unknown_kinds,
)
from longhold.web.waiting import left_out

__all__ = ["router"]

router = APIRouter(include_in_schema=False, prefix="/structures/{number}/choose")
_SHOWN = 50
_LONG_LISTS = "A list of fifty thousand lines takes about a quarter of a minute."
_LISTS = 20


@router.get("")
def offered(request: Request, store: Kept, number: int) -> Response:
    """Where a list is sent, or one that is kept already is taken."""
    return _offered(request, store, number)


@router.post("/list")
def sent(
    request: Request,
    store: Kept,
    number: int,
    file: UploadFile | None = None,
    demo: Annotated[str, Form()] = "",
) -> Response:
    """A list that was sent, or the invented one."""
    store.structure(number)
    if demo:
        return _to(number, f"costs?offers={demo_list(store)}")
    if file is None or not file.filename:
        return _offered(request, store, number, ["No file was chosen."], unchosen=True, status=422)
    try:
        given = keep_sent(store, file.filename, file.file.read())
        if len(sheets_of(store, given)) > 1:
            return _to(number, f"list/{given}")
        with table_of(store, given) as (_, table):
            how = known_way(store, table)
            if how is None:
                form = ListForm.first(table)
                if form.questions:
                    return _to(number, f"list/{given}")
                how = form.how
    except InputError as error:
        return _offered(request, store, number, first_of(error), status=422)
    return _to(number, f"read/{keep_reading(store, given, _on_sheet(how, ''))}")


@router.get("/read/{key}")
def read(request: Request, store: Kept, number: int, key: str) -> Response:
    """A list while it is read, and then what it holds."""
    given, how = reading_under(store, key)
    title = f"Reading {store.attachment(given).name}"
    back = f"/structures/{number}/choose"
    compute = partial(read_and_keep, store, given, how, author_of(request.scope))
    try:
        kept = ask_work(request, f"reading {key}", title, back, compute, said=_LONG_LISTS)
    except InputError as error:
        with table_of(store, given, how.sheet) as (name, _):
            form = ListForm(how, (), {"": first_of(error)})
        unknown = unknown_kinds(str(one) for one in error.problems)
        return _columns(request, store, number, given, how.sheet, name, form, unknown)
    return kept.instead or _to(number, f"offers/{kept.found}")


@router.get("/list/{given}")
def columns(
    request: Request, store: Kept, number: int, given: int, sheet: str = "", again: int = 0
) -> Response:
    """What a list leaves open, and how the rest of it is read; ``again`` is a list that was read from it."""
    sheets = sheets_of(store, given)
    if len(sheets) > 1 and sheet not in sheets:
        return show(
            "list_sheet.html.j2", scope=request.scope, held=store.newest(number), given=given, sheets=sheets
        )
    with table_of(store, given, sheet) as (name, table):
        if again:
            form = ListForm(held_list(store, again).how, ())
        elif (known := known_way(store, table)) is not None:
            return _to(number, f"read/{keep_reading(store, given, _on_sheet(known, sheet))}")
        else:
            form = ListForm.first(table)
    unknown = held_list(store, again).unknown_kinds if again else ()
    return _columns(request, store, number, given, sheet, name, form, unknown)


@router.post("/list/{given}")
async def answered(request: Request, store: Kept, number: int, given: int) -> Response:
    """How a list is read, as said on the page; it is kept where nothing stays open."""
    said = await request.form()
    return await asyncio.to_thread(_answered, request, store, number, given, said)


@router.get("/offers/{kept}")
def holds(request: Request, store: Kept, number: int, kept: int, every: bool = False) -> Response:
    """What a list holds: how it is read, and every line that is no offer."""
    listed = held_list(store, kept)
    return show(
        "list_holds.html.j2",
        scope=request.scope,
        held=store.newest(number),
        listed=listed,
        columns=_said(listed.how),
        refused=listed.refused if every else listed.refused[:_SHOWN],
        every=every,
        bare=without_amount(listed.offers()),
        macros=_macros(store, listed),
    )


def _macros(store: Store, listed: HeldList) -> str:
    return macro_words(listed.name, store.attachment(listed.sent).data) if listed.sent else ""


def _answered(request: Request, store: Store, number: int, given: int, said: FormData) -> Response:
    sheet = str(said.get("sheet", ""))
    with table_of(store, given, sheet) as (name, table):
        form = ListForm.of(table, said)
        if not form.questions and not form.problems:
            return _to(number, f"read/{keep_reading(store, given, _on_sheet(form.how, sheet))}")
    return _columns(request, store, number, given, sheet, name, form, ())


def _columns(
    request: Request,
    store: Store,
    number: int,
    given: int,
    sheet: str,
    name: str,
    form: ListForm,
    unknown: tuple[str, ...],
) -> Response:
    return show(
        "list_columns.html.j2",
        scope=request.scope,
        status=422 if form.problems else 200,
        held=store.newest(number),
        given=given,
        sheet=sheet,
        name=name,
        form=form,
        problems=form.problems,
        unknown=unknown,
        kinds=PartKind.__args__,  # type: ignore[attr-defined]
    )


def _offered(
    request: Request,
    store: Store,
    number: int,
    problems: list[str] | None = None,
    *,
    unchosen: bool = False,
    status: int = 200,
) -> Response:
    return show(
        "offered.html.j2",
        scope=request.scope,
        status=status,
        held=(held := store.newest(number)),
        left_out=left_out(store, held),
        lists=[one for one in store.offer_lists(limit=_LISTS).items if one.name != DEMO_NAME],
        last=_last(store, number),
        problems=problems or [],
        unchosen=unchosen,
    )


def _last(store: Store, number: int) -> str:
    """Where the last choice for a structure stands; blank where there is none that can still be shown."""
    asked = last_asked(store, number)
    if asked is None:
        return ""
    try:
        store.offers(asked.offers)
    except NotInStore:
        return ""
    return asked.key


def _on_sheet(how: ListColumns, sheet: str) -> ListColumns:
    """A way of reading on the sheet of this workbook, whatever that of the last one was called."""
    return how.model_copy(update={"sheet": sheet})


def _said(how: ListColumns) -> list[tuple[str, str, str]]:
    """Column, what it is in the list, what it says."""
    rows = []
    for name in COLUMNS:
        head = how.columns.get(name, name if any(one.casefold() == name for one in how.heads) else "")
        said = f"{how.fixed[name]} (every line)" if name in how.fixed and not head else head
        rows.append((name.replace("_", " "), said or "not told", meaning_of(name)))
    return rows


def _to(number: int, rest: str) -> Response:
    return RedirectResponse(f"/structures/{number}/choose/{rest}", 303)
