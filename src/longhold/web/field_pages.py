"""The form for a phone: opened once with a signal, then used without, and sent when the signal is back."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from longhold.base.errors import InputError
from longhold.documents.visit_view import StopRow, stop_rows
from longhold.intake.load import structure_of
from longhold.model.reading import HEADS
from longhold.web.accounts_person import person_of
from longhold.web.care_form import MEASURED_CHOICES, spots_of
from longhold.web.pages import asset, asset_url, show
from longhold.web.structure_pages import Kept
from longhold.web.visit_pages import visit_form, visit_question, visit_work

__all__ = ["router"]

router = APIRouter(include_in_schema=False)
_KEPT_FILES = (
    *("report.css", "page.css", "htmx.min.js", "send.js", "page.js", "field.js", "field-zip.js", "mark.svg"),
    *("regular.woff2", "bold.woff2", "italic.woff2"),
)


@router.get("/structures/{number}/field")
def field(request: Request, store: Kept, number: int) -> Response:
    """Joints and what to measure; with costs in the address the plan of the visit, else every joint."""
    held = store.newest(number)
    try:
        structure = structure_of(dict(held.content))
    except InputError:
        return RedirectResponse(f"/structures/{number}", 303)
    stops: list[StopRow] = []
    if "currency" in request.query_params:
        try:
            form = visit_form(store, number, dict(request.query_params))
            asked = visit_work(request, held, visit_question(store, held, form))
        except InputError:
            return RedirectResponse(f"/structures/{number}/care/visit?{request.url.query}", 303)
        if asked.instead is not None:
            return asked.instead
        stops = stop_rows(asked.found.plan)
    return show(
        "field.html.j2",
        scope=request.scope,
        held=held,
        built=structure.build_date,
        joints=structure.joints,
        stops=stops,
        spots=spots_of(structure),
        measured=MEASURED_CHOICES,
        heads=HEADS,
        files=[asset_url(name) for name in _KEPT_FILES],
    )


@router.get("/structures/{number}/field/token")
def token(request: Request) -> Response:
    """What a form of the person must carry now; the page may have been opened days ago."""
    person = person_of(request.scope)
    return JSONResponse({"token": "" if person is None else person.form_token})


@router.get("/field-worker.js")
def worker() -> Response:
    """The service worker; at the root, so that it may stand before the form's address."""
    found = asset("field-worker.js")
    content = b"" if found is None else found[0]
    return Response(content, media_type="text/javascript; charset=utf-8")
