"""Strength of a sheet part: how much of its thickness is left, and what that costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

import numpy as np

from longhold.assessment.findings import Assumption
from longhold.assessment.strength_run import MIDDLE_WORDS, StrengthRun, life_index
from longhold.assessment.strength_standard import strength_standard
from longhold.assessment.ways import steel_of
from longhold.base.marks import Mark
from longhold.base.quantities import show_quantity
from longhold.base.trace import Trace
from longhold.forecast.strength import shaped_sheet_strength, sheet_strength
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.sheet import SheetMode, sheet_strength_ratio
from longhold.strength.sheet_modes import SheetShape, trace_sheet_modes

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["sheet_run"]

_SEATED = ("hanger", "angle", "post_base")


def sheet_run(joint: Joint, part: Part, faces: Sequence[FaceRun], setting: Setting) -> StrengthRun:
    """Strength left of a sheet part by draw: by its shape where that is stated, else by drawn exponents."""
    thickness = part.measures.thickness_mm or 0.0
    both = [run.base_loss_um for run in faces if run.case.face.role == "sheet"]
    life = life_index(setting)
    lost = float(np.median(sum(both)[:, life]))  # type: ignore[index]
    trace = Trace("Strength left of the sheet")
    trace.add(
        f"bare steel left at {setting.ages[life]:g} years",
        "t",
        "t = t_0 - x_1 - x_2",
        {"t_0": f"{thickness:.4g} mm", "x_1 + x_2": f"{lost:.3g} um"},
        max(thickness - lost / 1000.0, 0.0),
        "mm",
        part.measures.source,
        part.measures.mark,
    )
    shape, said = _shape(joint, part, setting)
    causes = setting.exposure.causes
    if shape is not None:
        seated = part.kind in _SEATED
        european = strength_standard(setting.structure) == "en1995"
        trace_sheet_modes(shape, lost, trace, "en" if european else "aisi")
        if seated:
            _trace_modes(trace, thickness, lost, (("seat_bending", 2.0),), "In a third of the draws. ")
        draws = shaped_sheet_strength(
            shape, both, causes, part.rated_load, has_seat=seated, european=european, life_index=life
        )
    else:
        modes = (("net_section", 1.0), ("tilting", 1.5), ("seat_bending", 2.0))
        _trace_modes(trace, thickness, lost, modes, "Each of the three in a third of the draws. ")
        draws = sheet_strength(thickness, both, causes, part.rated_load)
    return StrengthRun(draws, trace.root, (), said)


def _trace_modes(
    trace: Trace, thickness: float, lost: float, modes: Sequence[tuple[str, float]], shares: str
) -> None:
    for mode, n in modes:
        trace.add(
            f"strength left as a share of new, if it gives by {mode.replace('_', ' ')}",
            "R",
            "R = (t / t_0)^n",
            {
                "n": f"{n:g}",
                "t": f"{max(thickness - lost / 1000.0, 0.0):.4g} mm",
                "t_0": f"{thickness:.4g} mm",
            },
            float(sheet_strength_ratio(thickness, lost, cast(SheetMode, mode))),
            "-",
            "own",
            Mark.OWN,
            shares + MIDDLE_WORDS,
        )


def _shape(joint: Joint, part: Part, setting: Setting) -> tuple[SheetShape | None, tuple[Assumption, ...]]:
    """The shape of a sheet part where its width and holes are stated, and what was taken for the rest."""
    fasteners = [one for one in joint.parts if one.is_fastener]
    where = f"joints.{joint.id}.{part.id}"
    bolted = any(one.kind == "bolt" for one in fasteners)
    if bolted and strength_standard(setting.structure) == "en1995":
        because = (
            "bolts in sheet by EN 1993-1-3 are not held: tearing, tilting or bending, a third of draws each"
        )
        return None, (Assumption(f"{where}.width", "not computed by shape", because),)
    if part.width is None or part.hole_diameter is None or not fasteners:
        because = (
            "width and holes are not stated: tearing, tilting nails or a bending seat, a third of draws each"
        )
        return None, (Assumption(f"{where}.width", "not computed by shape", because),)
    thickness = part.measures.thickness_mm or 0.0
    steel, units = steel_of(thickness), setting.structure.units
    said = []
    for name, given in (("tensile_strength", part.tensile_strength), ("yield_strength", part.yield_strength)):
        if given is None:
            taken = show_quantity(
                steel["fu_mpa" if name == "tensile_strength" else "fy_mpa"], "stress_mpa", units
            )
            said.append(Assumption(f"{where}.{name}", taken, steel["because"]))
    thinnest = min(fasteners, key=lambda one: one.measures.diameter_mm or 0.0)
    through = sum(one.count for one in fasteners) / part.count
    half = max(int(through) // 2, 1)
    because = f"half of {through:g} fasteners on each side of a line; the load passes those of one side"
    said.append(Assumption(f"{where}, fasteners", f"{half}", because))
    head = thinnest.measures.head_diameter_mm
    pulled = joint.demand_withdrawal is not None and head is not None
    shape = SheetShape(
        thickness_mm=thickness,
        width_mm=part.width,
        hole_mm=part.hole_diameter,
        holes_across=part.holes_across or 1,
        fu_mpa=part.tensile_strength or steel["fu_mpa"],
        fy_mpa=part.yield_strength or steel["fy_mpa"],
        fasteners=half,
        fastener_mm=thinnest.measures.diameter_mm or 0.0,
        bolted=thinnest.kind == "bolt",
        clear_edge_mm=part.clear_edge,
        head_mm=head if pulled else None,
    )
    return shape, tuple(said)
