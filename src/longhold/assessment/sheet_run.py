"""Strength of a sheet part: how much of its thickness is left, and what that costs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast

import numpy as np

from longhold.assessment.strength_run import MIDDLE_WORDS, StrengthRun, life_index
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.strength import sheet_strength
from longhold.model.parts import Part
from longhold.strength.sheet import SheetMode, sheet_strength_ratio

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["sheet_run"]


def sheet_run(part: Part, faces: Sequence[FaceRun], setting: Setting) -> StrengthRun:
    """Strength left of a sheet part by draw."""
    thickness = part.measures.thickness_mm or 0.0
    both = [run.base_loss_um for run in faces if run.case.face.role == "sheet"]
    draws = sheet_strength(thickness, both, setting.exposure.causes, part.rated_load)
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
    for mode, n in (("net_section", 1.0), ("tilting", 1.5), ("seat_bending", 2.0)):
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
            "Each of the three in a third of the draws. " + MIDDLE_WORDS,
        )
    return StrengthRun(draws, trace.root)
