"""Every face of a joint on its section: how deep the metal is gone there, by color, number and words."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.documents.figures import figure, film_units
from longhold.documents.magnified import value_at
from longhold.documents.paper import MOST_DOWELS, Paper
from longhold.documents.section import Dowel, Section, Sheet, solid_um
from longhold.documents.svg import path, tag, wrap
from longhold.documents.words import metal_words
from longhold.forecast.along import hinge_zone_diameters
from longhold.forecast.faces import faces_of
from longhold.model.sizes import PartKind

if TYPE_CHECKING:
    from longhold.assessment.findings import FaceFinding, JointFinding, PartFinding
    from longhold.documents.charts import Setting

__all__ = ["DEPTH_STEPS_UM", "depth_step", "lost_faces"]

DEPTH_STEPS_UM = (1.0, 10.0, 50.0, 200.0, 1000.0)
"""Depths of lost metal at which the color of a face deepens [um]."""

_ROW, _LEFT, _RIGHT = 17.0, 12.0, 348.0

Points = list[tuple[float, float]]


@dataclass(frozen=True)
class _Edge:
    """Where a face is seen on the section, and where its number stands."""

    lines: tuple[Points, ...]
    number_at: tuple[float, float]


def depth_step(lost_um: float) -> int:
    """Which of the six colors a depth takes, palest first.

    >>> depth_step(0.4), depth_step(60.0), depth_step(5000.0)
    (0, 3, 5)
    """
    return bisect_right(DEPTH_STEPS_UM, lost_um)


def lost_faces(
    finding: JointFinding, section: Section, paper: Paper, setting: Setting, *, top: float
) -> tuple[list[Markup], list[Markup], float]:
    """Colored edges for the section, the rows that say what they mean, and the height of these rows.

    Depths are of the middle draw at the design life, zinc and base metal together, never more than there
    is. A part that is not on the section (a fourth fastener) has a row without a number; faces of a part
    that is not computed have a number and no color.

    Parameters
    ----------
    finding : whose faces
    section, paper : what is drawn, and where
    setting : design life and units
    top : where the rows begin
    """
    solids = {part.id: solid_um(part) for part in finding.joint.parts}
    edges: list[Markup] = []
    numbers: list[Markup] = []
    rows: list[Markup] = []
    number = 0
    kinds = {part.id: part.kind for part in finding.joint.parts}
    for part in finding.parts:
        if (kind := kinds.get(part.id)) is None:
            continue
        told = [
            (face.face, face.words, *_lost(part, face, solids.get(part.id), setting)) for face in part.faces
        ]
        # a part that is not computed has its faces too: a number, no color, and that nothing is known
        for name, face_words, depth, words in told or _untold(kind):
            seen = _edge(part, name, section, paper)
            shown = ""
            if seen is not None:
                number += 1
                shown = str(number)
                edges += _drawn(seen, depth)
                numbers.append(_numbered(shown, *seen.number_at))
            at = top + 22.0 + _ROW * len(rows)
            rows.append(_row(shown, f"{part.id}: {face_words}", words, depth, at))
    if not rows:
        return [], [], 0.0
    said = f"Metal gone at {setting.design_life:g} years, middle draw"
    head = tag("text", said, x=_LEFT, y=top + 4.0, class_="label strong")
    return [*edges, *numbers], [head, *rows], 22.0 + _ROW * len(rows) + 4.0


def _untold(kind: PartKind) -> list[tuple[str, str, float | None, str]]:
    return [(face.face, face.words, None, "not computed") for face in faces_of(kind)]


def _lost(part: PartFinding, face: FaceFinding, solid: float | None, setting: Setting) -> tuple[float, str]:
    """Depth gone [um] and the words for it."""
    metal = metal_words(part.protection.base_metal)
    base = face.base_loss_um.p50
    through = solid is not None and base >= solid
    if solid is not None:
        base = min(base, solid)
    zinc_new = face.zinc_left.p50[0] if face.zinc_left is not None else 0.0
    left = value_at(face.zinc_left, setting.design_life)[1] if face.zinc_left is not None else 0.0
    depth = base + max(zinc_new - left, 0.0)
    if zinc_new > 0 and left > 0:
        return depth, f"{_short(zinc_new - left, setting)} zinc"
    gone = f"all {metal}" if through else f"{_short(base, setting)} {metal}"
    return depth, f"zinc, {gone}" if zinc_new > 0 else gone


def _short(depth_um: float, setting: Setting) -> str:
    """A depth in the structure's own unit alone: the table of faces has both."""
    unit, per_um = film_units(setting.system)[0]
    return f"{figure(per_um * depth_um)} {unit}"


def _edge(part: PartFinding, face: str, section: Section, paper: Paper) -> _Edge | None:
    for sheet in section.sheets:
        if sheet.id == part.id:
            return _sheet_edge(sheet, face, section, paper)
    for number, dowel in enumerate(section.dowels[:MOST_DOWELS]):
        if dowel.id == part.id:
            return _dowel_edge(dowel, face, section, paper, paper.height(section, number))
    return None


def _sheet_edge(sheet: Sheet, face: str, section: Section, paper: Paper) -> _Edge:
    outer = face == "outer"
    x = paper.x(sheet.start_mm) - 1.6 if outer else paper.x(sheet.end_mm) + 1.6
    upper, lower = paper.sheet_span(section, sheet)
    beside = x - 9.0 if outer else x + 9.0
    at = upper + (0.07 if outer else 0.98) * (lower - upper)
    return _Edge(([(x, upper), (x, lower)],), (beside, at))


def _dowel_edge(dowel: Dowel, face: str, section: Section, paper: Paper, y: float) -> _Edge:
    half = dowel.diameter_mm * paper.px / 2
    if face == "head":
        x, wide = paper.head_edge(dowel) - 1.6, max(dowel.head_mm * paper.px / 2, half)
        return _Edge(([(x, y - wide), (x, y + wide)],), (x - 9.0, y))
    start, end = paper.x(max(dowel.start_mm, 0.0)), paper.x(dowel.end_mm)
    plane = paper.x(section.planks[-1].start_mm if len(section.planks) > 1 else 0.0)
    reach = hinge_zone_diameters() * dowel.diameter_mm * paper.px
    near = max(plane - reach, start), min(plane + reach, end)
    point = 0.0 if dowel.has_nut or dowel.kind == "dowel" else min(3.2 * half, 0.2 * (end - start))
    if face == "joint_line":
        return _Edge(_both_sides([near], y, half), (near[1] - 2.0, y + half + 10.0))
    runs = [run for run in ((start, near[0]), (near[1], end - point)) if run[1] - run[0] > 1.0]
    longest = max(runs, key=lambda run: run[1] - run[0], default=near)
    return _Edge(_both_sides(runs, y, half), (longest[0] + 0.7 * (longest[1] - longest[0]), y + half + 10.0))


def _both_sides(runs: list[tuple[float, float]], y: float, half: float) -> tuple[Points, ...]:
    return tuple([(a, side), (b, side)] for a, b in runs for side in (y - half - 1.0, y + half + 1.0))


def _drawn(edge: _Edge, depth: float | None) -> Iterator[Markup]:
    for line in edge.lines:
        yield tag("path", d=path(line), class_="face-case")
        yield tag("path", d=path(line), class_=_color(depth))


def _color(depth: float | None) -> str:
    return "face face-none" if depth is None else f"face face-{depth_step(depth)}"


def _numbered(number: str, x: float, y: float) -> Markup:
    circle = tag("circle", cx=x, cy=y, r=6.5, class_="face-number")
    return circle + tag("text", number, x=x, y=y + 3.6, class_="face-digit mid")


def _row(number: str, name: str, words: str, depth: float | None, y: float) -> Markup:
    sample = path([(_LEFT + 18, y), (_LEFT + 36, y)])
    parts = [
        tag("path", d=sample, class_="face-case"),
        tag("path", d=sample, class_=_color(depth)),
        tag("text", *wrap(name, 33, 1), x=_LEFT + 42, y=y + 4, class_="label"),
        tag("text", words, x=_RIGHT, y=y + 4, class_="label end"),
    ]
    return Markup("").join([_numbered(number, _LEFT + 7, y)] * bool(number) + parts)
