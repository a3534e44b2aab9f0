"""The strength of one part with its draws, and what every way of computing it shares."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import Assumption
from longhold.assessment.rated import Rated
from longhold.base.trace import Section
from longhold.forecast.along import Profile
from longhold.forecast.strength import StrengthDraws, weakest_draws
from longhold.forecast.wood_rate import WoodContact, loss_profile
from longhold.model.parts import Part

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = [
    "MIDDLE_WORDS",
    "Sheet",
    "StrengthRun",
    "life_index",
    "ratio_only_said",
    "shank_profiles",
    "sheet_loss_um",
    "soft_metal_said",
    "weakest_way",
]

Array = NDArray[np.float64]

Sheet = tuple[Part, tuple["FaceRun", ...]]
"""A sheet part with the runs of its faces."""

MIDDLE_WORDS = "With the middle loss put in; the answer gives the middle of all draws."


_RATIO_WORDS = "the ratio to new is computed as for steel, no capacity is claimed"

_DRAWN_STEEL = {"carbon_steel", "weathering_steel", "stainless"}


@dataclass(frozen=True)
class StrengthRun:
    """Strength of one part with its draws, or why there is none.

    Attributes
    ----------
    draws : None where strength is not computed
    calculation : the middle losses at the design life put in; None likewise
    refer : why it is not computed
    assumptions : what was taken on the way
    design : factor from reference to design capacity, and what it is made of; None where there is none
    edges_count : whether what the edges of a sheet lose is in it
    rated : how a load of the part's report counts; None where none is stated
    no_strength : what metal has no strength in the tables, so that no capacity is claimed, as said to people;
        empty where all have one
    reaches_short : whether the point reaches less deep than the equations ask, so that none is claimed
    """

    draws: StrengthDraws | None
    calculation: Section | None = None
    refer: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    design: tuple[float, str] | None = None
    edges_count: bool = False
    rated: Rated | None = None
    no_strength: str = ""
    reaches_short: bool = False


def weakest_way(runs: Sequence[StrengthRun], life_index: int) -> StrengthRun:
    """One run of several for the same fastener, of which it may go any: the least of them in every draw.

    They are compared in newtons. Where one has no capacity, ratios to new are, and no capacity is claimed.
    The calculation shown is that of the way that is weakest in most draws at the design life.

    Parameters
    ----------
    runs : one for each way; all with draws, or the first without them stands for all
    life_index : index of the design life among the ages
    """
    unknown = next((run for run in runs if run.draws is None), None)
    if unknown is not None or len(runs) == 1:
        return unknown or runs[0]
    draws = [run.draws for run in runs if run.draws is not None]
    least = weakest_draws(draws, life_index)
    most = int(np.bincount(least.way[:, life_index], minlength=len(runs)).argmax())
    said = tuple(dict.fromkeys(one for run in runs for one in run.assumptions))
    return replace(
        runs[most],
        draws=least.draws,
        assumptions=said,
        no_strength=next((run.no_strength for run in runs if run.no_strength), ""),
        reaches_short=any(run.reaches_short for run in runs),
    )


def soft_metal_said(runs: Iterable[FaceRun]) -> str:
    """That a fastener, or what it passes, is of no metal with a strength here; empty where all are.

    Parameters
    ----------
    runs : of the faces of the fastener and of the sheets that it passes
    """
    soft = sorted({run.case.protection.base_metal for run in runs} - _DRAWN_STEEL)
    return f"no strength of {' or '.join(soft).replace('_', ' ')} is in the tables" if soft else ""


def ratio_only_said(where: str, why: str) -> Assumption:
    """That only a ratio to new is computed of a part.

    Parameters
    ----------
    where : field that would settle it
    why : no capacity can be claimed
    """
    return Assumption(where, "ratio only", f"{why}: {_RATIO_WORDS}")


def life_index(setting: Setting) -> int:
    """Index of the age nearest the design life."""
    return int(np.argmin(np.abs(setting.ages - setting.structure.design_life)))


def shank_profiles(faces: Sequence[FaceRun], setting: Setting) -> tuple[Profile, Profile]:
    """How the loss of a shank falls from the joint line, and from the outer face."""
    cases = [next(run.case for run in faces if run.case.face.role == role) for role in ("hinge", "bearing")]
    met = [WoodContact(case.place, case.timber, case.face.trapped, case.rain_from, "shank") for case in cases]
    joint_line, outer = (Profile(*loss_profile(one, setting.exposure.wood_runs)) for one in met)
    return joint_line, outer


def sheet_loss_um(sheet: Sheet | None) -> Array | float:
    """Loss of a sheet that a fastener passes, both faces at their worst spots [um]; 0 without one.

    A hole may lie where a coat is scratched or cut, and there the sheet bears and holds the head.
    """
    lost = [run.thinnest_um for run in sheet[1] if run.case.face.role == "sheet"] if sheet else []
    return np.asarray(np.sum(lost, axis=0)) if lost else 0.0
