"""Strength of one part: what is left of it, and when it ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.capacity import (
    Together,
    capacity_of,
    demand_of,
    is_ledger,
    shared_words,
)
from longhold.assessment.dowel_run import dowel_run
from longhold.assessment.ec5_strength import ec5_run
from longhold.assessment.findings import Assumption, ModeShare, StrengthFinding
from longhold.assessment.rated import rated_of
from longhold.assessment.sheet_run import sheet_run
from longhold.assessment.strength_run import Sheet, StrengthRun, life_index
from longhold.assessment.strength_standard import strength_standard
from longhold.base.errors import InputError, Problem
from longhold.forecast.modes import shares_by_age
from longhold.forecast.strength import years_until_below
from longhold.forecast.summary import band_of, curve_of
from longhold.model.field_words import field_words
from longhold.model.parts import Part
from longhold.model.structure import Joint

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = ["Ending", "run_strength", "strength_finding"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Ending:
    """When the strength of one part ends, by draw.

    Attributes
    ----------
    finding : for people
    years : age at which it ends, (draws,)
    margin : strength left over what is asked, (draws, ages); it ends below 1
    assumptions : what was taken
    shares : which fasteners carry the demand; None where it carries it by itself
    counted : whether the joint's strength rests on it
    """

    finding: StrengthFinding
    years: Array
    margin: Array
    assumptions: tuple[Assumption, ...]
    shares: Together | None = None
    counted: bool = True


def run_strength(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet], setting: Setting
) -> StrengthRun:
    """Strength left of a part by draw."""
    run = _run(joint, part, faces, sheets, setting)
    return run if part.rated_load is None else replace(run, rated=rated_of(joint, part, setting))


def _run(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet], setting: Setting
) -> StrengthRun:
    if not faces or part.kind == "washer":
        return StrengthRun(None)
    if part.kind == "nail_plate":
        return StrengthRun(None, refer=("strength of a punched metal plate is not computed",))
    if not part.is_fastener:
        return sheet_run(joint, part, faces, setting)
    faces = [run.for_strength for run in faces]
    try:
        if strength_standard(setting.structure) == "en1995":
            return _by_en1995(joint, part, faces, sheets, setting)
        return dowel_run(joint, part, faces, sheets, setting)
    except InputError as error:
        return StrengthRun(None, refer=tuple(map(_not_computed, error.problems)))


def _not_computed(problem: Problem) -> str:
    """Why strength is not computed, with a field of the joint by its name."""
    named = problem.where.startswith("joints.")
    told = replace(problem, where=field_words(problem.where)) if named else problem
    return f"strength is not computed: {told}"


def _by_en1995(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet], setting: Setting
) -> StrengthRun:
    """By EN 1995-1-1."""
    if joint.main_end_grain:
        where = f"joints.{joint.id}.main_end_grain"
        said = "metal in end grain is not computed by EN 1995-1-1 here."
        raise InputError(Problem(where, True, said, 'Ask for strength_standard = "nds", or a specialist.'))
    return ec5_run(joint, part, faces, sheets, setting)


def strength_finding(
    joint: Joint,
    part: Part,
    run: StrengthRun,
    setting: Setting,
    *,
    together: Together | None,
    first_loss_years: Array | float,
) -> Ending | None:
    """When strength ends and with what chance it lasts; None where not computed.

    Parameters
    ----------
    together : fasteners of the joint that share its demand; None where none do
    first_loss_years : age at which the part first loses metal: its strength cannot end before
    """
    draws = run.draws
    if draws is None or run.calculation is None:
        return None
    structure, ages = setting.structure, setting.ages
    capacity, assumptions = capacity_of(joint, part, run, structure.units)
    shares = together if together is not None and part.is_fastener else None
    ratio, carries, counted = draws.ratio, capacity, True
    if shares is not None:
        counted = part.id in shares.counted or is_ledger(joint, setting)
        if counted:
            ratio, carries = shares.ratio, shares.capacity_n
        european = strength_standard(structure) == "en1995"
        if part.id == shares.counted[0]:
            assumptions = (*assumptions, shared_words(joint, shares, structure.units, european=european))
    limit, words = structure.strength_fraction, f"{100 * structure.strength_fraction:.0f} % of new"
    demand = demand_of(joint)
    if demand is not None and carries and counted and not is_ledger(joint, setting):
        limit, words = demand / carries, "the demand"
    else:
        ratio, shares = draws.ratio, None
    years = years_until_below(ratio, ages, limit) if limit <= 1.0 else np.zeros(len(ratio))
    years = np.where((years > 0.0) & (years < first_loss_years), first_loss_years, years)
    life = life_index(setting)
    at_life = ratio[:, life]
    finding = StrengthFinding(
        ratio=band_of(draws.ratio[:, life]),
        curve=curve_of(ages, draws.ratio),
        mode_new=draws.mode_new,
        mode_aged=draws.mode_aged,
        capacity_new_n=capacity,
        years=band_of(years),
        ends_at=float(limit),
        ends_words=words,
        chance=0.0 if limit > 1.0 else float(np.mean(at_life >= limit)),
        below_when_new=bool(limit > 1.0),
        calculation=run.calculation,
        modes=tuple(ModeShare(mode, share) for mode, share in shares_by_age(*draws.governs).items()),
        counted=counted,
    )
    return Ending(finding, years, np.asarray(ratio / limit), assumptions, shares, counted)
