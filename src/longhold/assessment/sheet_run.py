"""Strength of a sheet part: how much of its thickness is left, and what that costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

import numpy as np

from longhold.assessment.edges import cut_edge
from longhold.assessment.sheet_shape import shape_of
from longhold.assessment.strength_run import MIDDLE_WORDS, StrengthRun, life_index
from longhold.assessment.strength_standard import strength_standard
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.strength import SheetLoss, shaped_sheet_strength, sheet_strength
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.sheet import (
    SheetMode,
    sheet_strength_exponent,
    sheet_strength_ratio,
    unknown_sheet_modes,
)
from longhold.strength.sheet_modes import SheetShape, trace_sheet_modes

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = ["sheet_run"]

_SEATED = ("hanger", "angle", "post_base")


def sheet_run(joint: Joint, part: Part, faces: Sequence[FaceRun], setting: Setting) -> StrengthRun:
    """Strength left of a sheet part by draw: by its shape where that is stated, else by drawn exponents."""
    thickness = part.measures.thickness_mm or 0.0
    lost = _lost(part, faces, setting)
    life = life_index(setting)
    mean_um, worst_um, edge_um = (float(np.median(um[:, life])) for um in lost)
    trace = Trace("Strength left of the sheet")
    trace.add(
        f"bare steel left at {setting.ages[life]:g} years where it is thinnest",
        "t",
        "t = t_0 - x_1 - x_2, with the worst spot of each face",
        {"t_0": f"{thickness:.4g} mm", "x_1 + x_2": f"{worst_um:.3g} um", "mean": f"{mean_um:.3g} um"},
        max(thickness - worst_um / 1000.0, 0.0),
        "mm",
        part.measures.source,
        part.measures.mark,
    )
    shape, said, metal, refer, no_strength = shape_of(joint, part, faces, setting)
    causes = setting.exposure.causes
    if shape is None or metal is None:
        shares = "Each of the three in a third of the draws. "
        _trace_modes(trace, thickness, worst_um, unknown_sheet_modes(), shares)
        draws = sheet_strength(thickness, lost.worst_um, causes, part.rated_load)
        return StrengthRun(draws, trace.root, refer, said, no_strength=no_strength)
    seated = part.kind in _SEATED
    european = strength_standard(setting.structure) == "en1995"
    trace.add(
        "tensile and yield strength of the sheet",
        "Fu, Fy",
        "as stated or taken; of stainless, as they count",
        {},
        f"{metal.fu_mpa:.4g}, {metal.fy_mpa:.4g}",
        "MPa",
        metal.source,
        metal.mark,
        metal.words,
    )
    _trace_shape(trace, shape, (mean_um, worst_um, edge_um), european=european)
    if seated:
        _trace_modes(trace, thickness, worst_um, ("seat_bending",), "In a third of the draws. ")
    draws = shaped_sheet_strength(
        shape, lost, causes, part.rated_load, has_seat=seated, european=european, life_index=life
    )
    return StrengthRun(draws, trace.root, _turning_words(joint, part), said, edges_count=True)


def _turning_words(joint: Joint, part: Part) -> tuple[str, ...]:
    """Why a single angle under a stated load is left to somebody; nothing where its load is rated."""
    asked = joint.demand is not None or joint.demand_withdrawal is not None
    if part.kind != "angle" or part.count > 1 or part.rated_load is not None or not asked:
        return ()
    return (
        f"a single angle ({part.id}) carries its load beside the line of its fasteners: that it turns on "
        "them and bends at its corner is not computed, only what tears or tilts; state its rated_load, or "
        "ask a specialist",
    )


def _lost(part: Part, faces: Sequence[FaceRun], setting: Setting) -> SheetLoss:
    """What both faces lose, mean and at their worst, and the edges at least as much as the worse face."""
    both = [run for run in faces if run.case.face.role == "sheet"]
    mean, worst = ([getattr(run, name) for run in both] for name in ("base_loss_um", "thinnest_um"))
    rims = [*mean]
    edge = cut_edge(part, faces, setting.exposure)
    if edge is not None:
        rims.append(edge.run.layers.base_loss_um(setting.ages))
    return SheetLoss(
        np.asarray(np.sum(mean, axis=0)), np.asarray(np.sum(worst, axis=0)), np.asarray(np.max(rims, axis=0))
    )


def _trace_shape(
    trace: Trace, shape: SheetShape, lost_um: tuple[float, float, float], *, european: bool
) -> None:
    mean_um, worst_um, edge_um = lost_um
    trace.add(
        "lost from each rim and from the wall of each hole",
        "x_e",
        "x_e = larger of the faces and of the cut edge",
        {},
        edge_um,
        "um",
        "own",
        Mark.OWN,
    )
    standard: Literal["aisi", "en"] = "en" if european else "aisi"
    trace_sheet_modes(shape, mean_um, trace, standard, worst_um_total=worst_um, edge_um=edge_um)


def _trace_modes(
    trace: Trace, thickness: float, lost: float, modes: Sequence[SheetMode], shares: str
) -> None:
    for mode in modes:
        trace.add(
            f"strength left as a share of new, if it gives by {mode.replace('_', ' ')}",
            "R",
            "R = (t / t_0)^n",
            {
                "n": f"{sheet_strength_exponent(mode):g}",
                "t": f"{max(thickness - lost / 1000.0, 0.0):.4g} mm",
                "t_0": f"{thickness:.4g} mm",
            },
            float(sheet_strength_ratio(thickness, lost, mode)),
            "-",
            "own",
            Mark.OWN,
            shares + MIDDLE_WORDS,
        )
