"""The answer for every joint of a kept structure: on the page, and as the report in one file."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from longhold.assessment.findings import Assessment
from longhold.base.errors import InputError
from longhold.documents.report import report_html, report_part
from longhold.store import EditedMeanwhile, Store, Version
from longhold.web.accounts_person import Author
from longhold.web.asked import Asked, ask_for
from longhold.web.assumed import NotTaken, change_forms, field_words, joint_of, why_not
from longhold.web.editing import change
from longhold.web.files_out import attachment, today
from longhold.web.guard import REPORT_POLICY
from longhold.web.pages import show
from longhold.web.spoken import spoken
from longhold.web.structure_pages import Kept
from longhold.web.waiting import change_of, left_out, waiting_in

__all__ = ["router"]

router = APIRouter(include_in_schema=False, prefix="/structures/{number}")


@router.get("/answer")
def answer(
    request: Request,
    store: Kept,
    number: int,
    version: int = 0,
    path: str = "",
    value: str = "",
    expecting: int | None = None,
) -> Response:
    """The answer for every joint; with ``path`` and ``value`` beside what was said there and not taken.

    ``expecting`` is the version that it was said of.
    """
    held = store.at(number, version) if version else store.newest(number)
    not_taken = _not_taken(held, path, value, expecting) if path else None
    return _answered(request, store, held, not_taken)


@router.post("/say")
def said(
    store: Kept,
    author: Author,
    number: int,
    expecting: Annotated[int, Form()],
    path: Annotated[str, Form()],
    value: Annotated[str, Form()],
) -> Response:
    """A value in place of one that was assumed, and the answer anew; what cannot be used changes nothing."""
    held, back = store.newest(number), f"/structures/{number}/answer"
    told = urlencode({"path": path, "value": value, "expecting": expecting})
    not_taken = RedirectResponse(f"{back}?{told}", 303)
    if why_not(held.content, path, value) is not None:
        return not_taken
    note = f"{spoken(held.content, path)} = {value}"[:200]
    other = {one.where: one.typed for one in waiting_in(store, held) if one.where != path}
    waiting = change_of(store, held, other, ())  # what waited in this cell was typed before what is said now
    given = change(held.content, path, value)
    try:
        store.save(number, given, expecting=expecting, note=note, author=author, waiting=waiting)
    except EditedMeanwhile:
        return not_taken
    return RedirectResponse(back, 303)


def _not_taken(held: Version, path: str, typed: str, expecting: int | None) -> NotTaken | None:
    """Why what was said was not taken: it cannot be used, or somebody saved before it; None for neither."""
    refused = why_not(held.content, path, typed)
    if refused is not None or expecting is None or held.number == expecting:
        return refused
    by = f" ({held.author})" if held.author else ""
    told = f"Version {held.number}{by} was saved meanwhile; this is its answer. Look at it, then press again."
    return NotTaken(path, spoken(held.content, path), typed, told, joint_of(held.content, path))


@router.get("/report")
def report(request: Request, store: Kept, number: int, version: int = 0, save: bool = False) -> Response:
    """The report as one file that needs nothing outside itself."""
    held = store.at(number, version) if version else store.newest(number)
    asked = _asked(request, held)
    if asked.instead is not None:
        return asked.instead
    headers = {"content-security-policy": REPORT_POLICY}
    if save:
        headers |= attachment(f"{held.name}.html")
    page = report_html([asked.found], today(), left_out(store, held))
    return HTMLResponse(page, headers=headers)


def _answered(request: Request, store: Store, held: Version, not_taken: NotTaken | None) -> Response:
    asked = _asked(request, held)
    if asked.instead is not None:
        return asked.instead
    address, kept = f"/structures/{held.structure_id}/say", [("expecting", str(held.number))]
    of_version = "" if held.is_newest else f"?version={held.number}"
    body = report_part(
        "structure_body.html.j2",
        [asked.found],
        today(),
        change_assumed=change_forms(asked.found.structure, address, kept, not_taken=not_taken),
        field_words=field_words(asked.found.structure),
        folded=True,
        would_pass=lambda id: f"/structures/{held.structure_id}/allowed/{quote(id, safe='')}{of_version}",
        opened=not_taken.joint if not_taken is not None else "",
    )
    return show(
        "structure_answer.html.j2",
        scope=request.scope,
        status=200 if not_taken is None else 422,
        held=held,
        body=body,
        not_taken=not_taken,
        left_out=left_out(store, held),
    )


def _asked(request: Request, held: Version) -> Asked[Assessment]:
    back = f"/structures/{held.structure_id}"
    try:
        return ask_for(request, held.content, held.name, back)
    except InputError:
        return Asked(instead=RedirectResponse(back, 303))  # the sheet says what is wrong, cell by cell
