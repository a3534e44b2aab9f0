"""The joint as a section to scale: timber with its grain, sheet, shank, head, and where wood is wet."""

from __future__ import annotations

from math import sin
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.lost_faces import lost_faces
from longhold.documents.magnified import Spot, magnified
from longhold.documents.paper import MOST_DOWELS, Paper, fit
from longhold.documents.pins import placed
from longhold.documents.plank_names import draw_names, names_end, past_names, plank_names
from longhold.documents.section import Dowel, Plank, Section, cut, solid_um
from longhold.documents.svg import path, tag, text_lines
from longhold.documents.wood_rows import depth_words
from longhold.model.surroundings import Place, places
from longhold.wood.depth import depth_facts

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.documents.charts import Setting
    from longhold.model.structure import Structure

__all__ = ["joint_drawing", "joint_thumbnail", "wet_words"]

_WIDTH = 360.0
_TALL = 132.0
_LEADERS_APART = 8.0


def joint_drawing(structure: Structure, finding: JointFinding, setting: Setting) -> Markup:
    """The section of a joint with labels, and the governing face magnified below it."""
    joint, section = finding.joint, cut(structure, finding.joint)
    place = places()[joint.place]
    labels = len(section.sheets) + min(len(section.dowels), MOST_DOWELS)
    paper = fit(section, _WIDTH - 36.0, _TALL, 24.0, 12.0 + 14.0 * labels)
    parts = [*_timbers(section, paper, place), *_metal(section, paper)]
    names = plank_names(section, paper, _WIDTH)
    height = names_end(names, paper) + 6.0
    part = next((p for p in finding.parts if p.id == finding.weakest_part), None)
    if part is not None and part.governing is not None:
        described = next(p for p in joint.parts if p.id == part.id)
        solid = solid_um(described)
        spot = _spot(section, paper, part.id, part.governing.face)
        parts.append(
            magnified(
                part,
                part.governing,
                spot,
                setting,
                top=height + 4.0,
                px_per_mm=paper.px,
                solid=solid,
                through=past_names(names, paper, spot.x, _WIDTH),
            )
        )
        height += 206.0
    edges, rows, taken = lost_faces(finding, section, paper, setting, top=height + 8.0)
    parts += [*edges, *rows]
    height += taken + 8.0 if rows else 0.0
    parts += [*draw_names(names, paper), *_pins(section, paper)]  # last, so that no leader runs over a word
    words = f"Section of {joint.name}: " + "; ".join(
        [*(f"{p.name}, {p.words}" for p in section.planks), *(s.words for s in section.sheets)]
        + [d.words for d in section.dowels]
    )
    return tag("svg", *parts, viewBox=f"0 0 360 {height:.0f}", role="img", aria_label=words, class_="drawing")


def joint_thumbnail(structure: Structure, finding: JointFinding) -> Markup:
    """The same section small and without words."""
    section = cut(structure, finding.joint)
    paper = fit(section, 108.0, 64.0, 2.0, 2.0)
    place = places()[finding.joint.place]
    parts = [*_timbers(section, paper, place), *_metal(section, paper)]
    return tag("svg", *parts, viewBox="0 0 112 68", aria_hidden="true", class_="drawing thumb")


def wet_words(place: Place, system: System) -> str:
    """What the hatching on a drawing says, empty where no wood is drawn wet."""
    if place.always_wet:
        return "Hatched: wood that stays wet."
    if place.rain_wets_wood:
        fact = depth_facts()["loss_confined"]
        outer = f"the outer {depth_words(fact.most_mm, system)} that rain wets"
        return f"Hatched: {outer}, where published simulations of decks find the loss."
    return ""


def _timbers(section: Section, paper: Paper, place: Place) -> list[Markup]:
    parts = []
    for number, plank in enumerate(section.planks):
        left, right = paper.x(plank.start_mm), paper.x(plank.end_mm)
        outline = _plank_outline(paper, left, right, plank.cut_off)
        parts.append(tag("path", d=path(outline, close=True), class_="timber"))
        parts += _grain(paper, left, right, number)
        parts += _wet(plank, paper, place)
        parts.append(tag("path", d=path(outline, close=True), class_="timber-edge"))
    return parts


def _plank_outline(paper: Paper, left: float, right: float, cut_off: bool) -> list[tuple[float, float]]:
    """A board broken off above and below, and at its inner side where more of it follows."""
    wide = right - left
    above = [(left + wide * i / 12, paper.top + 2.2 * sin(2.3 * i)) for i in range(13)]
    below = [(right - wide * i / 12, paper.bottom + 2.2 * sin(1.9 * i)) for i in range(13)]
    inner = [(right - 2 + 2.5 * sin(1.7 * i), paper.top + paper.tall * i / 10) for i in range(1, 10)]
    return [*above, *(inner if cut_off else []), *below]


def _grain(paper: Paper, left: float, right: float, number: int) -> list[Markup]:
    lines, step = [], max(4.5, paper.tall / 18)
    count = int((right - left) / step)
    for line in range(1, count + 1):
        x = left + (right - left) * line / (count + 1) + 1.2 * sin(3.1 * line + number)
        points = [
            (x + 0.7 * sin(0.8 * i + 1.7 * number), paper.top + 3 + (paper.tall - 6) * i / 9)
            for i in range(10)
        ]
        lines.append(tag("path", d=path(points), class_="grain"))
    return lines


def _wet(plank: Plank, paper: Paper, place: Place) -> list[Markup]:
    if place.always_wet:
        return [_hatch(paper, paper.x(plank.start_mm), paper.x(plank.end_mm), "url(#wet)")]
    if not place.rain_wets_wood:
        return []
    facts, zones = depth_facts(), []
    for reach, fill in (
        (facts["loss_confined"].most_mm, "url(#damp)"),
        (facts["worst_depth"].most_mm, "url(#wet)"),
    ):
        within = min(reach, plank.end_mm - plank.start_mm)
        zones.append(_hatch(paper, paper.x(plank.start_mm), paper.x(plank.start_mm + within), fill))
        if not plank.cut_off:
            zones.append(_hatch(paper, paper.x(plank.end_mm - within), paper.x(plank.end_mm), fill))
    return zones


def _hatch(paper: Paper, left: float, right: float, fill: str) -> Markup:
    return tag("rect", x=left, y=paper.top + 2, width=right - left, height=paper.tall - 4, fill=fill)


def _metal(section: Section, paper: Paper) -> list[Markup]:
    parts = [
        tag(
            "rect",
            x=paper.x(sheet.start_mm),
            y=upper,
            width=max((sheet.end_mm - sheet.start_mm) * paper.px, 1.6),
            height=lower - upper,
            class_="metal",
        )
        for sheet in section.sheets
        for upper, lower in [paper.sheet_span(section, sheet)]
    ]
    for number, dowel in enumerate(section.dowels[:MOST_DOWELS]):
        parts += _dowel(dowel, paper, paper.height(section, number))
    return parts


def _dowel(dowel: Dowel, paper: Paper, y: float) -> list[Markup]:
    half, root = dowel.diameter_mm * paper.px / 2, dowel.root_mm * paper.px / 2
    start, end = paper.x(dowel.start_mm), paper.x(dowel.end_mm)
    parts = [tag("path", d=path(_shank(dowel, start, end, y, half, root), close=True), class_="metal")]
    if dowel.kind == "staple":
        parts.append(
            tag(
                "path",
                d=path(_shank(dowel, start, end, y + 6 * half, half, root), close=True),
                class_="metal",
            )
        )
    if dowel.head_high_mm:
        high, wide = dowel.head_high_mm * paper.px, dowel.head_mm * paper.px / 2
        if dowel.kind == "staple":
            parts.append(tag("rect", x=start - high, y=y - half, width=high, height=8 * half, class_="metal"))
        else:
            parts.append(
                tag("rect", x=start - high, y=y - wide, width=high, height=2 * wide, rx=0.6, class_="metal")
            )
    if dowel.has_nut:
        high, wide = 0.8 * dowel.diameter_mm * paper.px, 0.8 * dowel.diameter_mm * paper.px
        parts.append(tag("rect", x=end - 1.3 * high, y=y - wide, width=high, height=2 * wide, class_="metal"))
    if not dowel.length_told:
        parts.append(tag("line", x1=end, x2=end + 14, y1=y, y2=y, class_="limit"))
    return parts


def _shank(
    dowel: Dowel, start: float, end: float, y: float, half: float, root: float
) -> list[tuple[float, float]]:
    point = 0.0 if dowel.has_nut or dowel.kind == "dowel" else min(3.2 * half, 0.2 * (end - start))
    body = end - point
    if dowel.kind not in {"wood_screw", "lag_screw"}:
        return [(start, y - half), (body, y - half), (end, y), (body, y + half), (start, y + half)]
    thread = start + 0.4 * (body - start)
    turns = max(4, int((body - thread) / max(1.3 * half, 2.2)))
    pitch = (body - thread) / turns
    above = [
        point
        for turn in range(turns)
        for point in ((thread + pitch * turn, y - root), (thread + pitch * (turn + 0.5), y - half))
    ]
    below = [(x, 2 * y - height) for x, height in reversed(above)]
    return [
        (start, y - half),
        (thread, y - half),
        *above,
        (body, y - root),
        (end, y),
        (body, y + root),
        *below,
        (thread, y + half),
        (start, y + half),
    ]


def _pins(section: Section, paper: Paper) -> list[Markup]:
    parts = []
    pins = [
        (paper.x((s.start_mm + s.end_mm) / 2), paper.sheet_span(section, s)[0], s.words)
        for s in section.sheets
    ]
    for number, dowel in enumerate(section.dowels[:MOST_DOWELS]):
        along = dowel.start_mm + (0.3 + 0.15 * number) * (dowel.end_mm - dowel.start_mm)
        y = paper.height(section, number) - dowel.root_mm * paper.px / 2
        pins.append((paper.x(along), y, dowel.words))
    for pin in placed(_apart(pins), _WIDTH):
        level = paper.top - 10.0 - 14.0 * (len(pins) - 1 - pin.row)
        parts.append(tag("line", x1=pin.x, x2=pin.x, y1=level - 9, y2=pin.y, class_="leader"))
        at, anchor = (pin.x - 4, "label end") if pin.leftward else (pin.x + 4, "label")
        parts.append(text_lines([pin.words], at, level, class_=anchor))
    return parts


def _apart(pins: list[tuple[float, float, str]]) -> list[tuple[float, float, str]]:
    """The same with leaders far enough apart to be told from each other."""
    found: list[tuple[float, float, str]] = []
    for x, y, words in sorted(pins):
        least = found[-1][0] + _LEADERS_APART if found else x
        found.append((max(x, least), y, words))
    return found


def _spot(section: Section, paper: Paper, part: str, face: str) -> Spot:
    for sheet in section.sheets:
        if sheet.id == part:
            x = paper.x(sheet.start_mm if face == "outer" else sheet.end_mm)
            upper, lower = paper.sheet_span(section, sheet)
            return Spot(x, lower - (lower - upper) / 7.0)
    for number, dowel in enumerate(section.dowels[:MOST_DOWELS]):
        if dowel.id == part:
            y = paper.height(section, number)
            return _dowel_spot(section, paper, dowel, face, y)
    return Spot(paper.x(0.0), paper.top + paper.tall / 2)


def _dowel_spot(section: Section, paper: Paper, dowel: Dowel, face: str, y: float) -> Spot:
    if face == "head":
        return Spot(paper.x(dowel.start_mm - dowel.head_high_mm), y)
    if face == "joint_line":
        at = section.planks[-1].start_mm if len(section.planks) > 1 else max(dowel.start_mm, 0.0)
        return Spot(paper.x(at) + 2, y + dowel.diameter_mm * paper.px / 2)
    at = dowel.start_mm + 0.6 * (dowel.end_mm - dowel.start_mm)
    return Spot(paper.x(at), y + dowel.root_mm * paper.px / 2)
