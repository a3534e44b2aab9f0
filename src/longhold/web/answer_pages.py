"""The answer for every joint of a kept structure: on the page, and as the report in one file."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from longhold.assessment.findings import Assessment
from longhold.base.errors import InputError
from longhold.documents.report import report_html, report_part
from longhold.store import Version
from longhold.web.accounts_person import Author
from longhold.web.asked import Asked, ask_for
from longhold.web.assumed import change_forms
from longhold.web.editing import change
from longhold.web.files_out import attachment, today
from longhold.web.guard import REPORT_POLICY
from longhold.web.pages import show
from longhold.web.structure_pages import Kept

__all__ = ["router"]

router = APIRouter(include_in_schema=False, prefix="/structures/{number}")


@router.get("/answer")
def answer(request: Request, store: Kept, number: int, version: int = 0) -> Response:
    """The answer for every joint."""
    held = store.at(number, version) if version else store.newest(number)
    asked = _asked(request, held)
    if asked.instead is not None:
        return asked.instead
    kept = [("expecting", str(held.number))]
    changes = change_forms(asked.found.structure, f"/structures/{number}/say", kept)
    body = report_part("structure_body.html.j2", [asked.found], today(), change_assumed=changes, folded=True)
    return show("structure_answer.html.j2", scope=request.scope, held=held, body=body)


@router.post("/say")
def said(
    store: Kept,
    author: Author,
    number: int,
    expecting: Annotated[int, Form()],
    path: Annotated[str, Form()],
    value: Annotated[str, Form()],
) -> Response:
    """A value in place of one that was assumed, and the answer anew."""
    held = store.newest(number)
    note = f"{path} = {value}"[:200]
    store.save(number, change(held.content, path, value), expecting=expecting, note=note, author=author)
    return RedirectResponse(f"/structures/{number}/answer", 303)


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
    return HTMLResponse(report_html([asked.found], today()), headers=headers)


def _asked(request: Request, held: Version) -> Asked[Assessment]:
    back = f"/structures/{held.structure_id}"
    try:
        return ask_for(request, held.content, held.name, back)
    except InputError:
        return Asked(instead=RedirectResponse(back, 303))  # the sheet says what is wrong, cell by cell
