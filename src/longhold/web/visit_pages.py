"""What to do with each joint of a kept structure, and what the next visit should read."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from importlib.util import find_spec
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from longhold.assessment.line import assess
from longhold.base.errors import InputError, Problem
from longhold.base.quantities import parse_quantity
from longhold.care.lessons import lesson_of
from longhold.care.site import kept_readings
from longhold.documents.decide_view import assumed_rows, decide_lede, decision_rows, next_words
from longhold.documents.field_sheets import field_sheets_pdf
from longhold.documents.thresholds_view import turns_on_part
from longhold.documents.visit_calendar import visits_ics
from longhold.documents.visit_view import plan_lede, planned_caption, planned_rows, stop_rows
from longhold.inspect.decide import Asked as Question
from longhold.inspect.decide import Decisions, Turned, age_on, decide, turned
from longhold.inspect.plan import InspectionPlan, plan_readings
from longhold.inspect.thresholds import threshold
from longhold.intake.load import structure_of
from longhold.model.costs import Costs
from longhold.model.reading import Reading
from longhold.model.structure import Structure
from longhold.store import Store, Version
from longhold.web.asked import Asked, ask_work
from longhold.web.beside import beside_fields
from longhold.web.cost_form import CostForm
from longhold.web.files_out import attachment, today
from longhold.web.pages import show
from longhold.web.purchase_question import last_asked
from longhold.web.structure_pages import Kept
from longhold.web.work import Progress

__all__ = ["VisitFound", "router", "visit_form", "visit_question", "visit_work"]

router = APIRouter(include_in_schema=False, prefix="/structures/{number}/care/visit")
_LONG = "Every reading that may be taken is drawn as it may come: that takes up to a minute or two."
_OWN = ("on", "next", "limit")


@dataclass(frozen=True)
class VisitForm:
    """Costs and dates as typed."""

    costs: CostForm
    own: Mapping[str, str]
    problems: Mapping[str, list[str]]

    @property
    def query(self) -> str:
        """The same as the query of an address."""
        told = {**self.costs.texts, **self.own}
        return urlencode({name: text for name, text in told.items() if text})


@dataclass(frozen=True)
class VisitAsked:
    """The question, read."""

    structure: Structure
    costs: Costs
    asked: Question
    readings: tuple[Reading, ...]
    stated_next: bool


@dataclass(frozen=True)
class VisitFound:
    """Decisions, what readings turn of them, the plan, and what is taken along; None where not installed."""

    decisions: Decisions
    turns: tuple[Turned, ...] | None
    plan: InspectionPlan
    sheets: bytes | None
    calendar: bytes | None


@router.get("")
def visit(request: Request, store: Kept, number: int) -> Response:
    """The form, and under it the answer once costs are typed."""
    held = store.newest(number)
    given = dict(request.query_params)
    form = visit_form(store, number, given)
    try:
        structure_of(dict(held.content))
    except InputError:
        return RedirectResponse(f"/structures/{number}", 303)
    if "currency" not in given:
        return _shown(request, held, form)
    try:
        question = visit_question(store, held, form)
        asked = visit_work(request, held, question)
    except InputError as error:
        return _shown(request, held, _refused(form, error))
    if asked.instead is not None:
        return asked.instead
    return _shown(request, held, form, asked.found, question)


@router.get("/field sheets.pdf")
def sheets(request: Request, store: Kept, number: int) -> Response:
    """Field sheets of the visit."""
    return _file(request, store, number, "field sheets.pdf", "application/pdf")


@router.get("/visits.ics")
def calendar(request: Request, store: Kept, number: int) -> Response:
    """The visits as a calendar."""
    return _file(request, store, number, "visits.ics", "text/calendar")


def visit_question(store: Store, held: Version, form: VisitForm) -> VisitAsked:
    """The question of a form.

    Raises
    ------
    InputError : everything that cannot be used, under the name of its field
    """
    structure = structure_of(dict(held.content))
    judged = form.costs.judged()
    problems = [Problem(name, None, said) for name, lines in judged.problems.items() for said in lines]
    values: dict[str, object] = {}
    for name, read in (("on", _date), ("next", _years), ("limit", _chance)):
        try:
            values[name] = read(form.own[name])
        except ValueError as error:
            problems.append(Problem(name, form.own[name], f"{str(error).rstrip('.')}."))
    if isinstance(on := values.get("on"), datetime.date):
        try:
            age_on(structure, Question(on, threshold("next_visit_years")))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(*problems)
    costs = form.costs.costs()
    stated, limit = values["next"], values["limit"]
    years = stated if isinstance(stated, float) else costs.visit_every_years or threshold("next_visit_years")
    asked = Question(
        on if isinstance(on, datetime.date) else today(), years, limit if isinstance(limit, float) else None
    )
    readings = tuple(one.reading for one in kept_readings(store, held.structure_id))
    if late := [one.date for one in readings if one.date > asked.on]:
        raise InputError(Problem("on", str(asked.on), f"lies before a reading of {max(late)}."))
    return VisitAsked(
        structure, costs, asked, readings, isinstance(stated, float) or costs.visit_every_years > 0.0
    )


def visit_work(request: Request, held: Version, question: VisitAsked) -> Asked[VisitFound]:
    """Decisions and plan, computed once for all who ask for the same."""
    back = f"/structures/{held.structure_id}/care/visit"
    return ask_work(
        request,
        f"visit {question!r}",
        f"The next visit to {held.name}",
        back,
        partial(_found, question),
        _LONG,
    )


def _found(question: VisitAsked, step: Progress) -> VisitFound:
    what = (question.structure, question.costs, question.asked)
    step(0, 4)
    learned = lesson_of(question.structure, question.readings).learned if question.readings else None
    step(1, 4)
    decisions = decide(*what, learned=learned)
    turns = None if learned is None else turned(decide(*what), decisions)
    step(2, 4)
    plan = plan_readings(*what, learned=learned)
    step(3, 4)
    sheets = calendar = None
    if find_spec("typst") is not None:
        sheets = field_sheets_pdf(plan, assess(question.structure, learned=learned), today())
    if find_spec("icalendar") is not None:
        calendar = visits_ics(plan, today())
    return VisitFound(decisions, turns, plan, sheets, calendar)


def _file(request: Request, store: Store, number: int, name: str, media: str) -> Response:
    held = store.newest(number)
    there = f"/structures/{number}/care/visit?{request.url.query}"
    try:
        question = visit_question(store, held, visit_form(store, number, dict(request.query_params)))
        asked = visit_work(request, held, question)
    except InputError:
        return RedirectResponse(there, 303)  # the form says what is wrong
    if asked.instead is not None:
        return RedirectResponse(there, 303)
    content = asked.found.sheets if media == "application/pdf" else asked.found.calendar
    if content is None:
        return RedirectResponse(there, 303)
    return Response(content, media_type=media, headers=attachment(f"{held.name} {name}"))


def visit_form(store: Store, number: int, given: Mapping[str, str]) -> VisitForm:
    """The form as it was sent; before anything is, with the costs of the last choice."""
    before = None if "currency" in given else last_asked(store, number)
    texts = given if before is None else {**before.costs, **given}
    currency = [texts["currency"].strip().upper()] if texts.get("currency") else []
    return VisitForm(
        CostForm.of(texts, currency), {name: given.get(name, "").strip()[:100] for name in _OWN}, {}
    )


def _refused(form: VisitForm, error: InputError) -> VisitForm:
    def field_of(one: Problem) -> str:
        return one.where if one.where in _OWN or one.where in form.costs.texts else ""

    return replace(form, problems=beside_fields(error.problems, field_of))


def _shown(
    request: Request,
    held: Version,
    form: VisitForm,
    found: VisitFound | None = None,
    question: VisitAsked | None = None,
) -> Response:
    values: dict[str, Any] = {"found": found}
    if found is not None and question is not None:
        values |= {
            "asked": question.asked,
            "today": today(),
            "next": next_words(question.asked),
            "lede": decide_lede(found.decisions, found.turns),
            "rows": decision_rows(found.decisions, found.turns or ()),
            "assumed": assumed_rows(found.decisions, stated_next=question.stated_next),
            "plan_lede": plan_lede(found.plan),
            "planned": planned_rows(found.plan),
            "planned_caption": planned_caption(found.plan),
            "stops": stop_rows(found.plan),
            "turns_on": turns_on_part("plan", invented=found.plan.costs.invented),
        }
    return show(
        "care_visit.html.j2",
        scope=request.scope,
        status=422 if form.problems else 200,
        held=held,
        form=form,
        costs=form.costs,
        problems=form.problems,
        query=form.query,
        **values,
    )


def _date(text: str) -> datetime.date:
    if not text:
        return today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise ValueError("must be a date such as 2031-05-14") from None


def _years(text: str) -> float | None:
    if not text:
        return None
    years = parse_quantity(text if not text.replace(".", "").isdecimal() else f"{text} years", "time_years")
    if not 0.0 < years <= 100.0:
        raise ValueError("must be more than 0 and at most 100 years")
    return years


def _chance(text: str) -> float | None:
    if not text:
        return None
    try:
        value = float(text.removesuffix("%")) / (100.0 if text.endswith("%") else 1.0)
    except ValueError:
        raise ValueError("must be a chance such as 0.05 or 5 %") from None
    if not 0.0 < value < 1.0:
        raise ValueError("must be more than 0 and less than 1, such as 0.05 or 5 %")
    return value
