"""Strength of one part: what is left of it, and when it ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.capacity import capacity_of, is_ledger, shared_capacity
from longhold.assessment.dowel_run import dowel_run
from longhold.assessment.findings import Assumption, StrengthFinding
from longhold.assessment.sheet_run import sheet_run
from longhold.assessment.strength_run import Sheet, StrengthRun, life_index
from longhold.base.errors import InputError
from longhold.forecast.strength import years_until_below
from longhold.forecast.summary import band_of, curve_of
from longhold.model.parts import Part
from longhold.model.structure import Joint

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["run_strength", "strength_finding"]

Array = NDArray[np.float64]


def run_strength(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheet: Sheet | None, setting: Setting
) -> StrengthRun:
    """Strength left of a part by draw."""
    if not faces or part.kind == "washer":
        return StrengthRun(None)
    if part.kind == "nail_plate":
        return StrengthRun(None, refer=("strength of a punched metal plate is not computed",))
    if not part.is_fastener:
        return sheet_run(part, faces, setting)
    try:
        return dowel_run(joint, part, faces, sheet, setting)
    except InputError as error:
        reasons = tuple(f"strength is not computed: {problem}" for problem in error.problems)
        return StrengthRun(None, refer=reasons)


def strength_finding(
    joint: Joint,
    part: Part,
    run: StrengthRun,
    setting: Setting,
    *,
    together: Mapping[str, float | None],
    first_loss_years: Array | float,
) -> tuple[StrengthFinding, Array, tuple[Assumption, ...]] | None:
    """When strength ends, with what chance it lasts, the draws of that age; None where not computed.

    Parameters
    ----------
    together : capacity when new of every fastener kind of the joint by part id [N]; None where not computed
    first_loss_years : age at which the part first loses metal: its strength cannot end before
    """
    draws = run.draws
    if draws is None or run.calculation is None:
        return None
    structure, ages = setting.structure, setting.ages
    capacity, assumptions = capacity_of(joint, part, draws, structure.units)
    shared, said = shared_capacity(joint, part, capacity, setting, together)
    assumptions = (*assumptions, *said)
    limit, words = structure.strength_fraction, f"{100 * structure.strength_fraction:.0f} % of new"
    if joint.demand is not None and shared and not is_ledger(joint, setting):
        limit, words = joint.demand / shared, "the demand"
    years = years_until_below(draws.ratio, ages, limit) if limit <= 1.0 else np.zeros(len(draws.ratio))
    years = np.where((years > 0.0) & (years < first_loss_years), first_loss_years, years)
    at_life = draws.ratio[:, life_index(setting)]
    finding = StrengthFinding(
        ratio=band_of(at_life),
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
    )
    return finding, years, assumptions
