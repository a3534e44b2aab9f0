"""The metal of a sheet part as its strength counts: what is stated of it, else what is taken for its kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from longhold.assessment.findings import Assumption
from longhold.assessment.strength_run import ratio_only_said, soft_metal_said
from longhold.base.marks import Mark
from longhold.base.quantities import System, show_quantity
from longhold.base.recent import once
from longhold.base.tables import load_toml
from longhold.labels.alloys import alloy_named
from longhold.model.parts import Part
from longhold.model.structure import Joint, StrengthStandard

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun

__all__ = [
    "SheetMetal",
    "metal_of_sheet",
    "metal_words",
    "no_strength_said",
    "ratio_only_words",
    "steel_of",
    "stood_in",
]

_STEELS = ("carbon_steel", "weathering_steel")


@dataclass(frozen=True)
class SheetMetal:
    """Strengths of a sheet part.

    Attributes
    ----------
    fu_mpa, fy_mpa : tensile and yield strength that its equations take [MPa]
    source, mark : of what was taken; the label's own where both are stated
    words : how they came about, for people
    stainless : whether they are those of stainless, reduced as EN 1993-1-4 asks
    """

    fu_mpa: float
    fy_mpa: float
    source: str
    mark: Mark
    words: str
    stainless: bool


def metal_of_sheet(part: Part, faces: Sequence[FaceRun], standard: StrengthStandard) -> SheetMetal | None:
    """Strengths of a sheet part by the equations for steel; None where its metal has none of them.

    Carbon and weathering steel take a usual grade for what is not stated, stainless a soft one of its family
    where it is austenitic, and what is stated else. Other metals are outside the equations.
    """
    taken = _taken(part, faces, standard)
    stainless = not _is_of(faces, _STEELS)
    if stainless and not _is_of(faces, ("stainless",)):
        return None
    tensile = part.tensile_strength or (taken["fu_mpa"] if taken else None)
    yields = part.yield_strength or (taken["fy_mpa"] if taken else None)
    if tensile is None or yields is None:
        return None
    source, mark, words = "label-itself", Mark.VERIFIED, "as stated"
    if taken is not None and (part.tensile_strength is None or part.yield_strength is None):
        source, mark, words = taken["source"], Mark(taken["mark"]), taken["because"]
    if stainless:
        counts = _table()["stainless_counts"]
        tensile, yields = _bearing_mpa(tensile, yields), yields / counts["yield_divisor"]
        source, mark = counts["source"], Mark(counts["mark"])
    return SheetMetal(tensile, yields, source, mark, words, stainless)


def metal_words(
    where: str,
    part: Part,
    faces: Sequence[FaceRun],
    metal: SheetMetal,
    standard: StrengthStandard,
    units: System,
) -> tuple[Assumption, ...]:
    """What was taken of a sheet's metal where it is not stated, and how stainless counts."""
    taken = _taken(part, faces, standard)
    said = []
    for name, given, key in (
        ("tensile_strength", part.tensile_strength, "fu_mpa"),
        ("yield_strength", part.yield_strength, "fy_mpa"),
    ):
        if given is None and taken is not None:
            said.append(
                Assumption(
                    f"{where}.{name}", show_quantity(taken[key], "stress_mpa", units), taken["because"]
                )
            )
    if metal.stainless:
        tears, yields = (show_quantity(one, "stress_mpa", units) for one in (metal.fu_mpa, metal.fy_mpa))
        because = (
            "holes in stainless stretch early and its yield is less sure: EN 1993-1-4 lowers the strength by "
            "which holes bear, taken for tearing as well, and divides the yield by 1.1"
        )
        said.append(Assumption(f"{where}, stainless", f"{tears} tensile, {yields} yield count", because))
    return tuple(said)


def no_strength_said(faces: Sequence[FaceRun]) -> str:
    """What metal of a sheet part has no strength in the tables, where ``metal_of_sheet`` finds none."""
    if soft := soft_metal_said(faces):
        return soft
    grade = faces[0].case.protection.grade or "of a grade not stated"
    return (
        f"no strength of stainless {grade} is in the tables, "
        "and tensile and yield strength are not both stated"
    )


def ratio_only_words(joint: Joint, part: Part, faces: Sequence[FaceRun]) -> tuple[Assumption, ...]:
    """Why a sheet part has no strength by its shape, where ``metal_of_sheet`` finds none."""
    where = f"joints.{joint.id}.{part.id}"
    said = ratio_only_said(f"{where}.label", no_strength_said(faces))
    if not soft_metal_said(faces):
        return (said,)
    stated = [name for name in ("tensile_strength", "yield_strength") if getattr(part, name) is not None]
    because = "the equations for a sheet of known shape are those of steel, which other metals do not reach"
    return (said, *(Assumption(f"{where}.{name}", "not used", because) for name in stated))


def steel_of(thickness_mm: float, standard: StrengthStandard = "nds") -> Mapping[str, Any]:
    """The steel that a sheet of a thickness is taken as: fu_mpa, fy_mpa, forming, because."""
    steels: Sequence[Mapping[str, Any]] = _table()[standard]["steel"]
    return next((one for one in steels[:-1] if thickness_mm < one["below_mm"]), steels[-1])


def stood_in(part: Part, faces: Sequence[FaceRun], standard: StrengthStandard) -> Mapping[str, Any]:
    """The metal by which a fastener bears in a sheet: what it is taken as, else steel for a ratio alone."""
    taken = _taken(part, faces, standard)
    if taken is None:
        because = "no strength of its metal is in the tables: that of steel stands in, for the ratio alone"
        return {**steel_of(part.measures.thickness_mm or 0.0, standard), "because": because}
    if "families" in taken:
        return {**taken, "fu_mpa": _bearing_mpa(taken["fu_mpa"], taken["fy_mpa"])}
    return taken


def _bearing_mpa(tensile: float, yields: float) -> float:
    counts = _table()["stainless_counts"]
    return min(tensile, float(counts["yield_share"] * yields + counts["tensile_share"] * tensile))


def _taken(part: Part, faces: Sequence[FaceRun], standard: StrengthStandard) -> Mapping[str, Any] | None:
    if _is_of(faces, _STEELS):
        return steel_of(part.measures.thickness_mm or 0.0, standard)
    families = {_family(one) for one in faces}
    rows: Sequence[Mapping[str, Any]] = _table()[standard]["stainless"]
    return next((row for row in rows if families and families <= set(row["families"])), None)


def _family(face: FaceRun) -> str:
    protection = face.case.protection
    alloy = alloy_named(protection.grade) if protection.base_metal == "stainless" else None
    return alloy.family if alloy is not None else ""


def _is_of(faces: Sequence[FaceRun], metals: Sequence[str]) -> bool:
    return all(one.case.protection.base_metal in metals for one in faces)


@once
def _table() -> Any:
    return load_toml("assessment/steel.toml")
