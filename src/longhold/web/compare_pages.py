"""Held against each other: labels, versions of a structure, its site and another, its code and another."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from longhold.assessment.line import assess
from longhold.assessment.moved import moved
from longhold.assessment.prepare import prepare
from longhold.base.errors import InputError, Problem
from longhold.documents.coat_chart import coat_chart
from longhold.documents.coat_rows import bar_most, coat_bars, coat_heads, coat_notes, coat_table
from longhold.documents.moved_page import moved_part
from longhold.documents.report import report_part
from longhold.intake.load import site_of, structure_of
from longhold.intake.position import read_named_position
from longhold.labels import compare_labels
from longhold.store import Store, Version
from longhold.web.asked import Asked, ask_work
from longhold.web.files_out import today
from longhold.web.joint_form import codes, jurisdiction_of
from longhold.web.pages import show
from longhold.web.structure_pages import Kept
from longhold.web.work import Progress

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment
    from longhold.model.structure import Structure

__all__ = ["router"]

router = APIRouter(include_in_schema=False)
_MOST_LABELS, _MOST_LETTERS = 20, 4000
_EXAMPLE = "G185\nASTM A153 class D\n316 stainless"
_DRAWS = 1000


@router.get("/compare")
def labels(request: Request, labels: str = "") -> Response:
    """Labels side by side: what one face carries, least and expected."""
    texts = [line.strip() for line in labels[:_MOST_LETTERS].splitlines() if line.strip()]
    values: dict[str, Any] = {"labels": labels, "example": _EXAMPLE, "refused": [], "rows": []}
    if len(texts) > _MOST_LABELS:
        values["refused"] = [f"There are {len(texts)} labels; up to {_MOST_LABELS} are compared at a time."]
    elif texts:
        try:
            found = compare_labels(texts)
            bars = coat_bars(found)
            values |= {"rows": coat_table(found), "notes": coat_notes(found)}
            values |= {"bars": bars, "most": bar_most(bars)}
        except InputError as error:
            values["refused"] = [str(one) for one in error.problems]
    return show(
        "compare_labels.html.j2",
        scope=request.scope,
        status=422 if values["refused"] else 200,
        heads=coat_heads,
        **values,
    )


@router.get("/compare.svg")
def chart(labels: str = "") -> Response:
    """The same as a picture."""
    texts = [line.strip() for line in labels[:_MOST_LETTERS].splitlines() if line.strip()]
    return Response(coat_chart(compare_labels(texts[:_MOST_LABELS])), media_type="image/svg+xml")


@router.get("/structures/{number}/compare")
def structures(
    request: Request, store: Kept, number: int, old: int = 0, at: str = "", code: str = ""
) -> Response:
    """The newest version against an earlier one, another site or another code."""
    held = store.newest(number)
    if not (old or at.strip() or code):
        return _page(request, store, held)
    try:
        asked = _asked(request, store, held, old, at.strip(), code)
    except InputError as error:
        return _page(request, store, held, problems=[str(one) for one in error.problems], at=at)
    return asked.instead or _page(request, store, held, body=asked.found, at=at, old=old, code=code)


def _asked(request: Request, store: Store, held: Version, old: int, at: str, code: str) -> Asked[Markup]:
    new, back = structure_of(dict(held.content)), f"/structures/{held.structure_id}/compare"
    if old:
        before = structure_of(dict(store.at(held.structure_id, old).content))
        names = (f"version {old}", f"version {held.number}")
        compute = partial(_moved, before, new, names)
        of = f"moved {names} {before.model_dump_json()} {new.model_dump_json()}"
    elif at:
        other = new.at(_site(at, new))
        compute, of = partial(_elsewhere, new, other), f"sites {new.model_dump_json()} {other.site}"
    else:
        pack, _, edition = code.partition(" ")
        given = dict(held.content)
        site = {**given["site"], "jurisdiction": jurisdiction_of(code)}
        changed = structure_of({**given, "code": {"pack": pack, "edition": edition}, "site": site})
        names = (f"{new.code.pack} {new.code.edition}", code)
        compute = partial(_moved, new, changed, names)
        of = f"moved {names} {new.model_dump_json()} {changed.model_dump_json()}"
    return ask_work(request, of, f"{held.name}: comparing", back, compute)


def _site(at: str, structure: Structure) -> Any:
    (latitude, longitude), name = read_named_position(at, "another site")
    return site_of(
        {
            "name": name or f"{latitude:g}, {longitude:g}",
            "jurisdiction": structure.site.jurisdiction,
            "latitude": latitude,
            "longitude": longitude,
        }
    )


def _moved(old: Structure, new: Structure, names: tuple[str, str], step: Progress) -> Markup:
    for name, one in zip(names, (old, new), strict=True):
        try:
            prepare(one)
        except InputError as error:
            told = (Problem(f"{name}: {one.where}", one.value, one.allowed, one.do) for one in error.problems)
            raise InputError(*told) from None
    found = moved(old, new, draws=_DRAWS, seed=1, progress=step)
    return moved_part(found, names, today())


def _elsewhere(structure: Structure, other: Structure, step: Progress) -> Markup:
    found: list[Assessment] = []
    total = len(structure.joints)
    for number, one in enumerate((structure, other)):
        before = number * total
        found.append(assess(one, progress=lambda done, _, before=before: step(before + done, 2 * total)))  # type: ignore[misc]
    return report_part("sites_part.html.j2", found, today())


def _page(request: Request, store: Store, held: Version, **values: Any) -> Response:
    usual: dict[str, Any] = {"body": None, "problems": [], "at": "", "old": 0, "code": ""}
    return show(
        "compare_structure.html.j2",
        scope=request.scope,
        status=422 if values.get("problems") else 200,
        held=held,
        versions=[one for one in store.history(held.structure_id).items if one.number != held.number],
        codes=codes(),
        **{**usual, **values},
    )
