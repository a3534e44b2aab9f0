"""Strength of a part, computed once for joints that differ in nothing that it hangs on."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from longhold.assessment.strength import run_strength
from longhold.assessment.strength_run import Sheet, StrengthRun
from longhold.model.parts import Part
from longhold.model.structure import Joint

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = ["run_strength_once"]

_NO_MATTER = {"id", "name", "quantity", "access"}


def run_strength_once(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet], setting: Setting
) -> StrengthRun:
    """Strength left of a part by draw, as ``run_strength`` gives it; alike parts of other joints share it."""
    there, run = setting.strength_runs.get(
        _key(joint, part, faces, sheets),
        lambda: (joint.id, run_strength(joint, part, faces, sheets, setting)),
    )
    return run if there == joint.id else _moved(run, f"joints.{there}.", f"joints.{joint.id}.")


def _key(joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet]) -> Hashable:
    """Everything stated but names, number and reach, and a load that only counts against the strength."""
    across_alone = joint.demand_withdrawal is None
    left_out = _NO_MATTER | ({"demand"} if across_alone else set())
    facts = joint.model_dump_json(exclude=left_out, exclude_unset=True)
    held = tuple((sheet.id, tuple(run.case.identity for run in runs)) for sheet, runs in sheets)
    return facts, part.model_dump_json(exclude_unset=True), tuple(run.case.identity for run in faces), held


def _moved(run: StrengthRun, there: str, here: str) -> StrengthRun:
    assumptions = tuple(replace(one, where=one.where.replace(there, here, 1)) for one in run.assumptions)
    return replace(run, assumptions=assumptions, refer=tuple(line.replace(there, here) for line in run.refer))
