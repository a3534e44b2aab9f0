"""The shape of a sheet part as its joint tells it, and what was taken where it does not."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from longhold.assessment.findings import Assumption
from longhold.assessment.sheet_metal import SheetMetal, metal_of_sheet, metal_words, ratio_only_words
from longhold.assessment.strength_standard import strength_standard
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.sheet_modes import SheetShape

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

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
    """

    shape: SheetShape | None
    said: tuple[Assumption, ...]
    metal: SheetMetal | None = None


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
        return Shaped(None, ratio_only_words(joint, part, faces))
    thinnest = min(group, key=lambda one: one.measures.diameter_mm or 0.0)
    head = thinnest.measures.head_diameter_mm
    pulled = joint.demand_withdrawal is not None and head is not None
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
        head_mm=head if pulled else None,
    )
    standard = "bolt" if bolted else ("en" if european else "aisi")
    said = (
        *metal_words(where, part, faces, metal, code, setting.structure.units),
        _fastener_words(joint, part, group, through),
        Assumption(f"{where}, on wood", "safe side", _ON_WOOD[standard]),
    )
    return Shaped(shape, said, metal)


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
