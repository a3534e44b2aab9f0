"""Looking after a kept structure: readings typed or sent, what they change, and the life file."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from importlib.util import find_spec
from typing import Annotated, Any

from fastapi import APIRouter, File, Form, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from longhold.base.errors import InputError
from longhold.care.handed_in import table_and_photographs
from longhold.care.lessons import lesson_of
from longhold.care.site import TableKept, all_readings, keep_table, kept_readings, life_of, taken_back_words
from longhold.documents.life_file import life_bytes
from longhold.documents.life_summary import life_summary
from longhold.documents.papers.pdf import record_pdf
from longhold.documents.readings_page import readings_html
from longhold.documents.readings_table import readings_table
from longhold.documents.readings_view import (
    MEASURED_WORDS,
    cause_rows,
    joint_rows,
    reading_rows,
    readings_lede,
)
from longhold.documents.thresholds_view import turns_on_part
from longhold.documents.words import plural, upper_first
from longhold.inspect.learn import Updated, update
from longhold.inspect.observed import ONLY_KEPT
from longhold.intake.load import structure_of
from longhold.model.reading import Reading
from longhold.model.structure import Structure
from longhold.store import WHY_AT_MOST, GivenReading, Keeping, Store, Version, every
from longhold.web.accounts_person import Author, author_of
from longhold.web.asked import Asked, ask_work
from longhold.web.care_form import MEASURED_CHOICES, ReadingForm, spots_of
from longhold.web.files_out import attachment, today
from longhold.web.guard import REPORT_POLICY
from longhold.web.pages import show
from longhold.web.structure_pages import Kept
from longhold.web.work import Progress

__all__ = ["router"]

router = APIRouter(include_in_schema=False, prefix="/structures/{number}/care")
_SAID = {
    "kept": "The reading is kept.",
    "had": "This reading was kept already: nothing is kept twice.",
    "had-back": "This reading was kept already and taken back: let it count again below, if it is right.",
    "back": "The reading is taken back: it stays kept, and counts no longer.",
    "again": "The reading counts again.",
    **{
        f"only-{measured}": f"The reading is kept. It does not correct the forecast: {because}."
        for measured, because in ONLY_KEPT.items()
    },
}
_TWICE = "The forecast is computed twice, without the readings and with them."


@router.get("")
def care(request: Request, store: Kept, number: int, said: str = "") -> Response:
    """Where readings are typed and sent, and the ways on."""
    return _care(request, store, number, _blank_form(), _SAID.get(said, ""))


@router.post("/reading")
async def typed(request: Request, store: Kept, number: int) -> Response:
    """One reading as it was typed."""
    sent = await request.form()
    texts = {name: value for name, value in sent.items() if isinstance(value, str)}
    return await run_in_threadpool(_typed, request, store, number, ReadingForm.of(texts))


@router.post("/reading/{entry}")
def turn(
    store: Kept,
    author: Author,
    number: int,
    entry: str,
    counts: Annotated[bool, Form()],
    why: Annotated[str, Form()] = "",
) -> Response:
    """A reading taken back, or let count again."""
    store.turn_reading(number, entry, counts=counts, why=why.strip()[:WHY_AT_MOST], author=author)
    return RedirectResponse(f"/structures/{number}/care?said={'again' if counts else 'back'}#kept", 303)


@router.post("/table")
def table(
    request: Request,
    store: Kept,
    author: Author,
    number: int,
    file: Annotated[list[UploadFile] | None, File()] = None,
) -> Response:
    """A table of readings with its photographs, kept whole or not at all."""
    form = _blank_form()
    files = [(one.filename, one.file.read()) for one in file or () if one.filename]
    if not files:
        return _care(request, store, number, form, wrong=["No file was chosen: choose one first."])
    try:
        sent = table_and_photographs(files)
        done = keep_table(store, number, sent.name, sent.table, photographs=sent.photographs, author=author)
    except InputError as error:
        return _care(request, store, number, form, wrong=[str(one) for one in error.problems])
    return _care(request, store, number, form, _table_words(done))


@router.get("/readings.csv")
def kept_table(store: Kept, number: int) -> Response:
    """Every reading that is kept, as a table that ``longhold readings`` takes."""
    held = store.newest(number)
    text = readings_table(one.reading for one in kept_readings(store, number))
    return Response(text, media_type="text/csv", headers=attachment(f"{held.name} readings.csv"))


@router.get("/forecast")
def forecast(request: Request, store: Kept, number: int) -> Response:
    """Before the readings and after: what moved, and the new dates."""
    held = store.newest(number)
    if not kept_readings(store, number):
        return _care(request, store, number, _blank_form(), none_yet=True)
    try:
        asked = _updated(request, store, held)
    except InputError as error:
        return _undone(request, store, number, error, "What the readings change cannot be told")
    if asked.instead is not None:
        return asked.instead
    found = asked.found
    return show(
        "care_forecast.html.j2",
        scope=request.scope,
        held=held,
        life=f"{found.after.structure.design_life:g}",
        lede=readings_lede(found),
        joints=joint_rows(found),
        readings=reading_rows(found),
        causes=cause_rows(found),
        turns_on=turns_on_part("readings"),
    )


@router.get("/forecast/report")
def report(request: Request, store: Kept, number: int) -> Response:
    """The same as one file."""
    if not kept_readings(store, number):
        return RedirectResponse(f"/structures/{number}/care/forecast", 303)
    asked = _updated(request, store, store.newest(number))
    if asked.instead is not None:
        return RedirectResponse(f"/structures/{number}/care/forecast", 303)
    page = readings_html(asked.found, "the store", (), today())
    return HTMLResponse(page, headers={"content-security-policy": REPORT_POLICY})


@router.get("/life")
def life(request: Request, store: Kept, number: int) -> Response:
    """The life file, ready to be taken."""
    held = store.newest(number)
    try:
        asked = _life(request, store, held)
    except InputError as error:
        return _undone(request, store, number, error, "The life file cannot be made")
    if asked.instead is not None:
        return asked.instead
    content, missing = asked.found
    return show(
        "care_life.html.j2", scope=request.scope, held=held, size=f"{len(content):,}", missing=missing
    )


@router.get("/life.zip")
def life_file(request: Request, store: Kept, number: int) -> Response:
    """The life file."""
    held = store.newest(number)
    asked = _life(request, store, held)
    if asked.instead is not None:
        return RedirectResponse(f"/structures/{number}/care/life", 303)
    headers = attachment(f"{held.name} life file.zip")
    return Response(asked.found[0], media_type="application/zip", headers=headers)


def _blank_form() -> ReadingForm:
    return ReadingForm.of({"date": today().isoformat()})


def _typed(request: Request, store: Store, number: int, form: ReadingForm) -> Response:
    try:
        reading = form.read(structure_of(dict(store.newest(number).content)))
        given = [GivenReading(reading=reading)]
        done = store.keep_readings(number, given, source="the page", author=author_of(request.scope))
    except InputError as error:
        return _care(request, store, number, form.refused(error))
    return RedirectResponse(f"/structures/{number}/care?said={_came_of(done[0])}", 303)


def _came_of(done: Keeping) -> str:
    if not done.is_new:
        return "had" if done.kept.counts else "had-back"
    measured = done.kept.reading.measured
    return f"only-{measured}" if measured in ONLY_KEPT else "kept"


def _care(
    request: Request,
    store: Store,
    number: int,
    form: ReadingForm,
    said: str = "",
    wrong: Sequence[str] = (),
    undone: str = "",
    *,
    none_yet: bool = False,
) -> Response:
    held = store.newest(number)
    try:
        structure = structure_of(dict(held.content))
    except InputError:
        return RedirectResponse(f"/structures/{number}", 303)  # the sheet says what is wrong, cell by cell
    newest = sorted(all_readings(store, number), key=lambda one: one.kept_at, reverse=True)
    return show(
        "care.html.j2",
        scope=request.scope,
        status=422 if form.problems or wrong else 200,
        held=held,
        built=structure.build_date,
        spots=spots_of(structure),
        measured=MEASURED_CHOICES,
        words=MEASURED_WORDS,
        form=form,
        problems=form.problems,
        said=said,
        wrong=wrong,
        undone=undone,
        none_yet=none_yet,
        kept=newest[:20],
        total=len(newest),
        counting=sum(one.counts for one in newest),
        taken_back={one.entry: upper_first(taken_back_words(one)) for one in newest[:20]},
        why_at_most=WHY_AT_MOST,
        deliveries=list(every(store.deliveries, number))[:10],
    )


def _undone(request: Request, store: Store, number: int, error: InputError, undone: str) -> Response:
    wrong = [str(one) for one in error.problems]
    return _care(request, store, number, _blank_form(), wrong=wrong, undone=undone)


def _table_words(done: TableKept) -> str:
    said = [f"{done.new:,} {'reading is' if done.new == 1 else 'readings are'} kept."] if done.new else []
    if done.already:
        said.append(f"{done.already:,} {'was' if done.already == 1 else 'were'} kept already.")
    if done.missing:
        said.append(f"Named and not sent: {', '.join(done.missing[:10])}. Send the table again with them.")
    said += [f"{upper_first(one)}." for one in done.repeated[:5]]
    return " ".join(said)


def _updated(request: Request, store: Store, held: Version) -> Asked[Updated]:
    structure = structure_of(dict(held.content))
    readings = [one.reading for one in kept_readings(store, held.structure_id)]
    told = [one.model_dump_json() for one in readings]
    return ask_work(
        request,
        f"readings {structure.model_dump_json()} {told}",
        f"{held.name} with {plural(len(readings), 'reading')}",
        f"/structures/{held.structure_id}/care",
        partial(_learned, structure, readings),
        _TWICE,
    )


def _learned(structure: Structure, readings: Sequence[Reading], step: Progress) -> Updated:
    return update(structure, readings, progress=step, lesson=lesson_of(structure, readings))


def _life(request: Request, store: Store, held: Version) -> Asked[tuple[bytes, Sequence[str]]]:
    day = today()
    number = held.structure_id
    kept = [one.entry for one in kept_readings(store, number)]
    kept += [one.entry for one in every(store.deliveries, number)]
    kept += [f"{one.name} {one.sha256}" for one in every(store.attachments, number)]
    return ask_work(
        request,
        f"life {number} {held.sha256} {day} {kept}",
        f"Life file of {held.name}",
        f"/structures/{number}/care",
        partial(_life_bytes, store, held, day),
        "",
    )


def _life_bytes(store: Store, held: Version, day: Any, step: Progress) -> tuple[bytes, Sequence[str]]:
    found = life_of(store, held, day, progress=step)
    summary = None if find_spec("typst") is None else record_pdf(life_summary(found))
    return life_bytes(found, summary), found.missing
