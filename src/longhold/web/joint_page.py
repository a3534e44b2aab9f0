"""One joint in a minute: where it is, what it is made of, and the answer."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Literal, get_args
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError
from longhold.documents.report import report_part
from longhold.documents.words import upper_first
from longhold.documents.world_map import HEIGHT, SMALL, WIDE, WIDTH, MapView, map_svg
from longhold.intake.position import read_named_position
from longhold.model.sizes import PartKind
from longhold.model.structure import Application
from longhold.model.surroundings import places
from longhold.web.asked import ask_for
from longhold.web.assumed import NotTaken, change_forms, field_words, why_not
from longhold.web.inland import inland
from longhold.web.joint_form import SETTINGS, SHORES, JointForm, codes, field_of, label_of
from longhold.web.open_sea import on_open_sea
from longhold.web.pages import show
from longhold.web.spoken import said_of, spoken
from longhold.wood.preservatives import preservative_table
from longhold.wood.species import species_table

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment

__all__ = ["router"]

router = APIRouter(include_in_schema=False)
Degrees = Annotated[float, Query(allow_inf_nan=False)]
_OF_CHANGE = ("path", "value", "change")
_FINGER_PX = 8.0
"""How far a press may be from what was meant."""
_BESIDE_LAND = "That is just off the shore. The map came closer; the point is not set yet: press on land."
_USE_CATEGORIES = ("UC1", "UC2", "UC3A", "UC3B", "UC4A", "UC4B", "UC4C")


@router.get("/map.svg")
def world_map(
    latitude: Degrees = 20.0,
    longitude: Degrees = 0.0,
    span: Degrees = 360.0,
    at: str = "",
    wide: bool = False,
    small: bool = False,
    units: Literal["us", "si"] = "us",
) -> Response:
    """A part of the world as a picture; a small one is without a grid."""
    times = SMALL if small else WIDE if wide else 1
    view = MapView(max(-85.0, min(85.0, latitude)), longitude, max(0.1, min(360.0, span)), times)
    content = map_svg(view, _position(at), units, bare=small)
    return Response(content, media_type="image/svg+xml", headers={"cache-control": "private, max-age=3600"})


@router.get("/joint")
def joint(request: Request) -> Response:
    """The form, and the answer where it can be given."""
    query = request.query_params
    if "path" in query and "value" in query:
        return _changed(request)
    form = JointForm.of(query)
    view = _view(query)
    for name, times in (("map", 1), ("wide", WIDE)):
        if f"{name}.x" not in query or f"{name}.y" not in query:
            continue
        pressed = replace(view, times=times)
        x, y = (_number(query[f"{name}.{axis}"]) for axis in "xy")
        return _pressed(request, form, pressed, *pressed.at(x, y))
    if "wider" in query:
        return _form(request, form, _with_typed(view, form).farther(), {})
    if not form.sent or "change" in query:
        return _form(request, form, view, {})
    try:
        asked = ask_for(request, form.given(), "One joint", _form_at(request))
    except InputError as error:
        return _form(request, form, view, _beside(form, error))
    return asked.instead or _answer(request, form, asked.found)


def _pressed(request: Request, form: JointForm, view: MapView, latitude: float, longitude: float) -> Response:
    """The form after a press on its map: it comes closer on land, where the point is set, and beside land."""
    at_sea = on_open_sea(latitude, longitude, "si" if form.texts["units"] == "si" else "us")
    if at_sea is None:
        form.texts["at"] = f"{latitude:.4f} {longitude:.4f}"  # type: ignore[index]
        return _form(request, form, view.closer(latitude, longitude), {})
    if at_sea.distance_m <= _FINGER_PX * view.meters_a_pixel:
        return _form(request, form, view.closer(latitude, longitude), {}, _BESIDE_LAND)
    return _form(request, form, view.about(latitude, longitude), {}, at_sea.said)


def _with_typed(view: MapView, form: JointForm) -> MapView:
    """The view moved to a position that was typed, where it does not show that."""
    here = _position(form.texts["at"])
    return view if here is None or view.shows(*here) else view.about(*here)


def _changed(request: Request) -> Response:
    """The answer with one more thing said; the same answer, and why, where that cannot be used."""
    query = request.query_params
    form = JointForm.of(query)
    try:
        not_taken = why_not(form.given(), query["path"], query["value"])
        asked = None if not_taken is None else ask_for(request, form.given(), "One joint", _form_at(request))
    except InputError as error:
        return _form(request, form, _view(query), _beside(form, error))
    if asked is None:
        return RedirectResponse(_with_change(request), 303)
    return asked.instead or _answer(request, form, asked.found, not_taken)


def _form_at(request: Request) -> str:
    return _address(request, "/joint", change="1")


def _answer(
    request: Request, form: JointForm, found: Assessment, not_taken: NotTaken | None = None
) -> Response:
    kept = [pair for pair in request.query_params.multi_items() if pair[0] not in _OF_CHANGE]
    changes = change_forms(found.structure, "/joint", kept, method="get", not_taken=not_taken)
    return show(
        "joint_answer.html.j2",
        scope=request.scope,
        status=200 if not_taken is None else 422,
        not_taken=not_taken,
        form=form,
        finding=found.findings[0],
        structure=found.structure,
        body=report_part(
            "joint_body.html.j2",
            [found],
            datetime.date.today(),
            change_assumed=changes,
            field_words=field_words(found.structure),
            folded=True,
        ),
        change=_form_at(request),
        allowed=_address(request, "/joint/allowed"),
    )


def _form(
    request: Request, form: JointForm, view: MapView, problems: Mapping[str, list[str]], at_sea: str = ""
) -> Response:
    return show(
        "joint.html.j2",
        scope=request.scope,
        status=422 if problems else 200,
        form=form,
        problems=problems,
        label_of=label_of,
        view=view,
        inland=inland(view, "si" if form.texts["units"] == "si" else "us"),
        at_sea=at_sea,
        maps=(("map", WIDTH, HEIGHT), ("wide", WIDTH * WIDE, HEIGHT * WIDE)),
        places=[(one.name, one.words) for one in places().values()],
        kinds=get_args(PartKind),
        species=sorted(species_table()),
        preservatives=sorted(preservative_table()),
        use_categories=[("", "not stated"), *((one, one) for one in _USE_CATEGORIES)],
        applications=[(one, one.replace("_", " ")) for one in get_args(Application)],
        codes=codes(),
        shores=SHORES,
        settings=SETTINGS,
    )


def _beside(form: JointForm, error: InputError) -> dict[str, list[str]]:
    """Everything that is wrong, by form field; that of no field stands under the blank name."""
    given, problems = form.problems()
    found: dict[str, list[str]] = {}
    for one in problems or error.problems:
        name, said = field_of(one.where, form.filled), said_of(given, one)
        said = upper_first(said) if name else f"{spoken(given, one.where)}: {said}"
        if said not in found.setdefault(name, []):
            found[name].append(said)
    return found


def _view(query: Mapping[str, str]) -> MapView:
    if "view" in query:
        parts = [_number(part) for part in query["view"].split(",")]
        if len(parts) == 3 and 0.0 < parts[2] <= 360.0:
            return MapView(max(-85.0, min(85.0, parts[0])), parts[1], parts[2])
    here = _position(query.get("at", ""))
    return MapView() if here is None else MapView(*here, 5.0)


def _position(text: str) -> tuple[float, float] | None:
    try:
        return read_named_position(text, "at")[0] if text.strip() else None
    except InputError:
        return None


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        return 0.0
    return value if abs(value) <= 10_000.0 else 0.0


def _with_change(request: Request) -> str:
    """The address of the same form with one more thing said of it."""
    query = request.query_params
    path = query["path"]
    kept = [
        (name, text)
        for name, text in query.multi_items()
        if name not in _OF_CHANGE and not (name == "also" and text.startswith(f"{path}="))
    ]
    also = ("also", f"{path}={query['value']}")
    return f"/joint?{urlencode([*kept, also])}"


def _address(request: Request, path: str, **more: str) -> str:
    kept = [pair for pair in request.query_params.multi_items() if pair[0] not in _OF_CHANGE]
    return f"{path}?{urlencode([*kept, *more.items()])}"
