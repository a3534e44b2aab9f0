"""The shape of a sheet part as its joint tells it, and what was taken where it does not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from longhold.assessment.findings import Assumption
from longhold.assessment.pulled import load_angle_deg
from longhold.assessment.sheet_metal import (
    SheetMetal,
    metal_of_sheet,
    metal_words,
    no_strength_said,
    ratio_only_words,
)
from longhold.assessment.strength_standard import strength_standard
from longhold.base.quantities import System, show_quantity
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv, number
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.sheet_en import outside_en_layout, outside_en_range
from longhold.strength.sheet_modes import SheetShape

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = ["Shaped", "shape_of"]

_ON_WOOD = {
    "aisi": "AISI S100 knows screws in sheets of steel: nails count as such screws, the wood as a sheet no "
    "thicker than the part, so that they may tilt",
    "en": "EN 1993-1-3 knows self-tapping screws in sheets of steel: nails count as such screws, the wood as "
    "a sheet no thicker than the part, so that they may tilt; a head holds half, as in repeated wind",
    "bolt": "AISI S100 knows bolts in sheets of steel: they count as without washers, wood as such a sheet",
}


class Shaped(NamedTuple):
    """What is known of a sheet part's shape.

    Attributes
    ----------
    shape : None where its width, holes or metal give none
    said : what was taken, or why there is no shape
    metal : its strengths; None likewise
    refer : what lies outside the equations, so that somebody must judge it
    no_strength : what metal has no strength in the tables; empty where it has one, or that is not the reason
    """

    shape: SheetShape | None
    said: tuple[Assumption, ...]
    metal: SheetMetal | None = None
    refer: tuple[str, ...] = ()
    no_strength: str = ""


def shape_of(joint: Joint, part: Part, faces: Sequence[FaceRun], setting: Setting) -> Shaped:
    """The shape of a sheet part where its width and holes are stated, and what was taken for the rest."""
    code = strength_standard(setting.structure)
    european = code == "en1995"
    where = f"joints.{joint.id}.{part.id}"
    group = _largest_kind([one for one in joint.parts if one.is_fastener])
    through = sum(one.count for one in group) / part.count
    if why := _why_not(part, group, through, european=european):
        return Shaped(None, (Assumption(f"{where}.width", "not computed by shape", why),))
    metal = metal_of_sheet(part, faces, code)
    if metal is None:
        return Shaped(None, ratio_only_words(joint, part, faces), no_strength=no_strength_said(faces))
    pull_deg = load_angle_deg(joint)
    heads = [_head_mm(one) for one in group]
    if outside := _outside(joint, part, group, pulled=pull_deg > 0.0, european=european):
        said = f"sheet {part.id} is outside its equations: {'; '.join(outside)}"
        taken = Assumption(f"{where}.width", "not computed by shape", said)
        return Shaped(None, (taken,), refer=() if part.rated_load is not None else (said,))
    thinnest = min(group, key=lambda one: one.measures.diameter_mm or 0.0)
    bolted = thinnest.kind == "bolt"
    shape = SheetShape(
        thickness_mm=part.measures.thickness_mm or 0.0,
        width_mm=part.width or 0.0,
        hole_mm=part.hole_diameter or 0.0,
        holes_across=part.holes_across or 1,
        fu_mpa=metal.fu_mpa,
        fy_mpa=metal.fy_mpa,
        fasteners=_on_one_side(through),
        fastener_mm=thinnest.measures.diameter_mm or 0.0,
        bolted=bolted,
        clear_edge_mm=part.clear_edge,
        head_mm=min(one or 0.0 for one in heads) if pull_deg > 0.0 else None,
        pull_deg=pull_deg,
    )
    units = setting.structure.units
    standard = "bolt" if bolted else ("en" if european else "aisi")
    said_of = (
        *metal_words(where, part, faces, metal, code, units),
        _fastener_words(joint, part, group, through),
        Assumption(f"{where}, on wood", "safe side", _ON_WOOD[standard]),
        *(_head_words(joint, group, units) if pull_deg > 0.0 else ()),
        *(_distance_words(joint, part) if european else ()),
    )
    return Shaped(shape, said_of, metal)


def _outside(
    joint: Joint, part: Part, group: Sequence[Part], *, pulled: bool, european: bool
) -> tuple[str, ...]:
    """What no equation reaches although width and holes are stated."""
    said = [
        f"a load pulls it over {one.kind_words} {one.id}, whose head is not known"
        for one in group
        if pulled and _head_mm(one) is None
    ]
    if not european:
        return tuple(said)
    diameters = [one.measures.diameter_mm or 0.0 for one in group]
    said += outside_en_range(min(diameters), part.measures.thickness_mm if pulled else None)
    said += outside_en_range(max(diameters))
    said += outside_en_layout(
        max(diameters),
        width_mm=part.width or 0.0,
        holes_across=part.holes_across or 1,
        end_mm=None if part.clear_edge is None else part.clear_edge + (part.hole_diameter or 0.0) / 2.0,
        spacing_mm=None if joint.layout is None else joint.layout.row_spacing,
    )
    return tuple(dict.fromkeys(said))


def _head_mm(fastener: Part) -> float | None:
    """Diameter of a head as stated or listed, else the least that its kind has; None where it has none."""
    known = fastener.measures.head_diameter_mm
    if known is not None or fastener.kind not in _least_heads():
        return known
    return _least_heads()[fastener.kind] * (fastener.measures.diameter_mm or 0.0)


def _head_words(joint: Joint, group: Sequence[Part], units: System) -> Iterator[Assumption]:
    because = (
        "not stated, and the sheet may pull over it: a small head of its kind is taken, on the safe side"
    )
    for one in group:
        head = _head_mm(one)
        if one.measures.head_diameter_mm is None and head is not None:
            shown = show_quantity(head, "length_mm", units)
            yield Assumption(f"joints.{joint.id}.{one.id}.head_diameter, in the sheet", shown, because)


def _distance_words(joint: Joint, part: Part) -> Iterator[Assumption]:
    unknown = ["to its sides"]
    if part.clear_edge is None:
        unknown.insert(0, "to its end (clear_edge)")
    if joint.layout is None or joint.layout.row_spacing is None:
        unknown.append("between its fasteners (layout.row_spacing)")
    because = (
        "EN 1993-1-3 counts fasteners no nearer than 3 d to the end, 1.5 d to a side, 3 d to each other; not "
        f"stated: {', '.join(unknown)}"
    )
    yield Assumption(f"joints.{joint.id}.{part.id}, distances", "kept", because)


@once
def _least_heads() -> Mapping[str, float]:
    columns: dict[str, Parser] = {"kind": str, "least_ratio": number}
    rows = load_csv("assessment/sheet_heads.csv", columns, key=("kind",))
    return {row["kind"]: row["least_ratio"] for row in rows}


def _why_not(part: Part, group: Sequence[Part], through: float, *, european: bool) -> str:
    drawn = "a third of draws each"
    if european and any(one.kind == "bolt" for one in group):
        return f"bolts in sheet by EN 1993-1-3 are not held: tearing, tilting or bending, {drawn}"
    if part.width is None or part.hole_diameter is None or not group:
        return f"width and holes are not stated: tearing, tilting nails or a bending seat, {drawn}"
    if through < 1.0:
        return f"fewer fasteners than pieces, no load path is known: tearing, tilting or bending, {drawn}"
    return ""


def _largest_kind(fasteners: Sequence[Part]) -> list[Part]:
    """Fasteners of the one kind that has most steel in all: unlike kinds do not share a load evenly."""
    steel: dict[str, float] = {}
    for one in fasteners:
        diameter = one.measures.diameter_mm or 0.0
        steel[one.kind] = steel.get(one.kind, 0.0) + one.count * diameter**2
    kind = max(steel, key=lambda name: steel[name], default=None)
    return [one for one in fasteners if one.kind == kind]


def _on_one_side(through: float) -> int:
    """Fasteners of one piece that its load passes: those on the side of the line that has fewer."""
    return max(int(through) // 2, 1)


def _fastener_words(joint: Joint, part: Part, group: Sequence[Part], through: float) -> Assumption:
    count = _on_one_side(through)
    if through < 2.0:
        because = (
            "one fastener holds the part: its load passes that one, and what holds the other side is not told"
        )
    else:
        because = f"half of {through:g} fasteners on each side of a line; the load passes those of one side"
    others = [one for one in joint.parts if one.is_fastener and one not in group]
    if others:
        names = ", ".join(one.id for one in others)
        because += f"; {names} not counted, as unlike kinds do not share a load evenly"
    return Assumption(f"joints.{joint.id}.{part.id}, fasteners", f"{count}", because)
