"""Held against each other: labels, versions of a structure, its site and another, its code and another."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from longhold.assessment.line import assess
from longhold.assessment.moved import moved
from longhold.base.errors import InputError, Problem
from longhold.documents.coat_chart import coat_chart
from longhold.documents.coat_rows import bar_most, coat_bars, coat_heads, coat_notes, coat_table
from longhold.documents.moved_page import moved_part
from longhold.documents.report import report_part
from longhold.intake.load import site_of, structure_of
from longhold.intake.position import read_named_position
from longhold.labels import compare_labels
from longhold.store import NotInStore, Store, Version
from longhold.web.asked import Asked, ask_work
from longhold.web.assumed import field_words
from longhold.web.beside import beside_fields
from longhold.web.files_out import today
from longhold.web.joint_form import SETTINGS, SHORES, codes, jurisdiction_of
from longhold.web.judging import judge
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
_SITE = "another site"
_OLD = "an earlier version"


@router.get("/compare")
def labels(request: Request, labels: str | None = None) -> Response:
    """Labels side by side: what one face carries, least and expected."""
    texts = [line.strip() for line in (labels or "").splitlines() if line.strip()]
    values: dict[str, Any] = {"labels": labels or "", "example": _EXAMPLE, "refused": [], "rows": []}
    if (letters := len(labels or "")) > _MOST_LETTERS:
        said = f"They have {letters:,} letters; up to {_MOST_LETTERS:,} are read. Leave some labels out."
        values["refused"] = [said]
    elif len(texts) > _MOST_LABELS:
        values["refused"] = [f"There are {len(texts)} labels; up to {_MOST_LABELS} are compared at a time."]
    elif texts:
        try:
            found = compare_labels(texts)
            bars = coat_bars(found)
            values |= {"rows": coat_table(found), "notes": coat_notes(found)}
            values |= {"bars": bars, "most": bar_most(bars)}
        except InputError as error:
            values["refused"] = [str(one) for one in error.problems]
    elif labels is not None:
        values["refused"] = ["Nothing was typed. Type the words of two labels or more, one on each line."]
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
    request: Request,
    store: Kept,
    number: int,
    old: str = "",
    at: str | None = None,
    code: str = "",
    shore: str = "",
    setting: str = "",
) -> Response:
    """The newest version against an earlier one, another site or another code."""
    held, typed = store.newest(number), (at or "").strip()
    shown = {"at": typed, "old": old, "code": code, "shore": shore, "setting": setting}
    if not (old or code) and at is None:
        return _page(request, store, held)
    try:
        if old:
            asked = _with_version(request, held, _earlier(store, held, old))
        elif at is not None:
            asked = _with_site(request, held, typed, shore, setting)
        else:
            asked = _with_code(request, held, code)
    except InputError as error:
        field = "old" if old else "code" if at is None else "at"
        named = beside_fields(error.problems, lambda one: field if one.where in (_OLD, _SITE) else "")
        problems = {field: [*named.get(field, ()), *named.get("", ())]}
        return _page(request, store, held, problems=problems, **shown)
    return asked.instead or _page(request, store, held, body=asked.found, **shown)


def _earlier(store: Store, held: Version, typed: str) -> Version:
    """The version that is named by its number."""
    number = int(typed) if typed.isdecimal() and len(typed) <= len(str(held.number)) else 0
    try:
        return store.at(held.structure_id, number)
    except NotInStore:
        allowed = f"must be the number of a version that is kept, 1 to {held.number}, and is {typed[:20]!r}."
        raise InputError(Problem(_OLD, typed, allowed, "Choose one of the list.")) from None


def _with_version(request: Request, held: Version, old: Version) -> Asked[Markup]:
    names = (f"version {old.number}", f"version {held.number}")
    before, new = (_structure(one.content, name) for one, name in zip((old, held), names, strict=True))
    of = f"moved {names} {before.model_dump_json()} {new.model_dump_json()}"
    return _computed(request, held, of, partial(_moved, before, new, names))


def _with_site(request: Request, held: Version, at: str, shore: str, setting: str) -> Asked[Markup]:
    if not at:
        do = "Type latitude and longitude, and a name if you like, such as 44.98 -93.27 Minneapolis."
        raise InputError(Problem(_SITE, None, "nothing was typed.", do))
    new = _structure(held.content, f"version {held.number}")
    (latitude, longitude), name = read_named_position(at, _SITE)
    told: dict[str, Any] = {
        "name": name or f"{latitude:g}, {longitude:g}",
        "jurisdiction": new.site.jurisdiction,
        "latitude": latitude,
        "longitude": longitude,
    }
    told |= {"shore": shore} if shore else {}
    told |= {"air": {"setting": setting}} if setting else {}
    other = new.at(site_of(told))
    of = f"sites {new.model_dump_json()} {other.site.model_dump_json(exclude_unset=True)}"
    return _computed(request, held, of, partial(_elsewhere, new, other))


def _with_code(request: Request, held: Version, code: str) -> Asked[Markup]:
    new = _structure(held.content, f"version {held.number}")
    pack, _, edition = code.partition(" ")
    site = {**held.content["site"], "jurisdiction": jurisdiction_of(code)}
    given = {**held.content, "code": {"pack": pack, "edition": edition}, "site": site}
    changed, words = _structure(given, code), dict(codes())
    before = f"{new.code.pack} {new.code.edition}"
    names = (words.get(before, before), words.get(code, code))
    of = f"moved {names} {new.model_dump_json()} {changed.model_dump_json()}"
    return _computed(request, held, of, partial(_moved, new, changed, names))


def _computed(
    request: Request, held: Version, of: str, compute: Callable[[Progress], Markup]
) -> Asked[Markup]:
    back = f"/structures/{held.structure_id}/compare"
    return ask_work(request, of, f"{held.name}: comparing", back, compute)


def _structure(given: Mapping[str, Any], name: str) -> Structure:
    """A structure that can be assessed; what is wrong is told by joint and part, with the version's name."""
    told = judge(given).told
    if told:
        raise InputError(*(Problem(f"{name}, {one.name}", None, one.said) for one in told))
    return structure_of(dict(given))


def _moved(old: Structure, new: Structure, names: tuple[str, str], step: Progress) -> Markup:
    return moved_part(moved(old, new, draws=_DRAWS, seed=1, progress=step), names, today())


def _elsewhere(structure: Structure, other: Structure, step: Progress) -> Markup:
    found: list[Assessment] = []
    total = len(structure.joints)
    for number, one in enumerate((structure, other)):
        before = number * total
        found.append(assess(one, progress=lambda done, _, before=before: step(before + done, 2 * total)))  # type: ignore[misc]
    return report_part("sites_part.html.j2", found, today(), field_words=field_words(other), folded=True)


def _page(request: Request, store: Store, held: Version, **values: Any) -> Response:
    usual: dict[str, Any] = {
        "body": None,
        "problems": {},
        "at": "",
        "old": "",
        "code": "",
        "shore": "",
        "setting": "",
    }
    return show(
        "compare_structure.html.j2",
        scope=request.scope,
        status=422 if values.get("problems") else 200,
        held=held,
        versions=[one for one in store.history(held.structure_id).items if one.number != held.number],
        codes=codes(),
        shores=SHORES,
        settings=SETTINGS,
        **{**usual, **values},
    )
