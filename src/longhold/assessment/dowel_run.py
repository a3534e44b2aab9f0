"""Strength of a dowel-type fastener: the connections that a joint makes of it, and what loss leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.adjustments import Adjustments, adjustments, drilled_words, wet_made_words
from longhold.assessment.findings import Assumption
from longhold.assessment.pulled import axial_through, axial_words, load_angle_deg
from longhold.assessment.strength_run import (
    MIDDLE_WORDS,
    Sheet,
    StrengthRun,
    life_index,
    ratio_only_said,
    shank_profiles,
    sheet_loss_um,
    soft_metal_said,
)
from longhold.assessment.ways import Way, several_words, ways_through
from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.along import Passage, Profile, losses_along
from longhold.forecast.modes import Governed
from longhold.forecast.strength import (
    DowelWay,
    StrengthDraws,
    dowel_strength,
    lateral_loads,
    losses_by_role,
    pulled_strength,
)
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.connection import WoodMember
from longhold.strength.dowel_explain import explain
from longhold.strength.dowel_ratio import ShortPenetration, capacity_n
from longhold.strength.prepared import MM_PER_IN, below_minimum_penetration, prepare

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = ["dowel_run"]

Array = NDArray[np.float64]
_SHORT = "the point reaches less deep than the yield equations ask for"


def dowel_run(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet], setting: Setting
) -> StrengthRun:
    """Strength left of a fastener by draw.

    Raises
    ------
    InputError : where the equations have no answer for the connection
    """
    ways, dropped = ways_through(joint, part, sheets, setting)
    short = any(below_minimum_penetration(way.connection) for way in ways)
    where = f"joints.{joint.id}.{part.id}"
    assumptions = tuple(dict.fromkeys(one for way in ways for one in way.assumptions))
    assumptions = (
        *assumptions,
        *several_words(joint, part, [way.passed for way in ways]),
        *dropped,
        *drilled_words(joint, part),
        *_stainless_words(joint, part, faces),
        *wet_made_words(joint, part, setting.structure),
    )
    if short:
        assumptions = (*assumptions, ratio_only_said(f"{where}.length", _SHORT))
    passed = [run for way in ways if way.sheet for run in way.sheet[1]]
    if soft := soft_metal_said([*faces, *passed]):
        assumptions = (*assumptions, ratio_only_said(f"{where}.label", soft))
    factors = adjustments(joint, part, setting.structure)
    line, outer = shank_profiles(faces, setting)
    losses = losses_by_role([(run.case.face, run.base_loss_um) for run in faces])
    lost = [_along(way, losses["hinge"], losses["bearing"], line, outer) for way in ways]
    life = life_index(setting)
    if joint.demand_withdrawal is None:
        draws = dowel_strength(lost, short_penetration=short, life_index=life)
        axial = None
    else:
        axial = axial_through(joint, part, ways, faces, line, factors, [one.plate_um for one in lost])
        draws = pulled_strength(
            lateral_loads(lost, short_penetration=short),
            axial,
            fastener=part.kind,
            lateral_factor=factors.lateral,
            angle_deg=load_angle_deg(joint),
            life_index=life,
        )
        assumptions = (*assumptions, *axial_words(joint, part))
    calculation = _calculation(lost, draws, axial, factors, setting, short=short)
    if soft or short:
        draws = replace(draws, capacity_new_n=None)
    return StrengthRun(
        draws,
        calculation.root,
        assumptions=assumptions,
        design=factors.design,
        no_strength=soft,
        reaches_short=short,
    )


def _stainless_words(joint: Joint, part: Part, faces: Sequence[FaceRun]) -> tuple[Assumption, ...]:
    if faces[0].case.protection.base_metal != "stainless":
        return ()
    because = {
        "nail": "not stated; nails of stainless bend about as those of carbon steel do",
        "wood_screw": "not stated; stainless screws are not hardened and may bend sooner",
    }.get(part.kind, "not stated")
    where = f"joints.{joint.id}.{part.id}, bending yield strength"
    return (Assumption(where, "as carbon steel", because),)


def _along(way: Way, line_um: Array, shank_um: Array, line: Profile, outer: Profile) -> DowelWay:
    """Losses of one way: near the joint line where it bends, along each timber where it bears."""
    connection = way.connection
    passage = Passage(
        connection.diameter_mm,
        connection.side.thickness_mm if isinstance(connection.side, WoodMember) else None,
        prepare(connection, accept_short=True).main_bearing_in * MM_PER_IN,
        connection.main.thickness_mm,
        connection.shear == "double",
    )
    hinge, bearing = losses_along(passage, line, line_um, outer, shank_um)
    return DowelWay(connection, hinge, bearing, sheet_loss_um(way.sheet))


def _calculation(
    lost: Sequence[DowelWay],
    draws: StrengthDraws,
    axial: tuple[Governed, Governed] | None,
    factors: Adjustments,
    setting: Setting,
    *,
    short: bool,
) -> Trace:
    """The middle losses put into the way that is weakest with them."""
    life = life_index(setting)
    accept: ShortPenetration = "accept" if short else "refuse"
    put_in = [_middle(way, life) for way in lost]
    aged_n = [
        float(capacity_n(way.connection, *um, short_penetration=accept).capacity_n)
        for way, um in zip(lost, put_in, strict=True)
    ]
    at = int(np.argmin(aged_n))
    way, (hinge, bearing, plate) = lost[at], put_in[at]
    trace = Trace("Strength left of the fastener")
    trace.add(
        f"metal lost per surface at {setting.ages[life]:g} years, where it bends and along where it bears",
        "x_h, x_b",
        "x_h = largest within 2 D of the joint line; x_b = mean along the timber that takes more, "
        "with the peak of each of its faces",
        {"D": f"{way.connection.diameter_mm:.4g} mm"},
        f"{hinge:.3g}, {bearing:.3g}",
        "um",
        "own",
        Mark.OWN,
    )
    new_n = float(capacity_n(way.connection, 0.0, 0.0, short_penetration=accept).capacity_n)
    aged = explain(way.connection, hinge, bearing, plate, trace, short_penetration=accept)
    trace.add(
        "strength left across the fastener, as a share of new",
        "R",
        "R = Z / Z_0",
        {"Z": f"{float(aged.capacity_n):.4g} N", "Z_0": f"{new_n:.4g} N"},
        float(aged.capacity_n) / new_n,
        "-",
        "own",
        Mark.OWN,
        MIDDLE_WORDS,
    )
    if axial is not None:
        _trace_axial(trace, axial, draws, factors, life)
    return trace


def _middle(way: DowelWay, life: int) -> tuple[float, float, float]:
    plate = float(np.median(np.asarray(way.plate_um)[:, life])) if np.ndim(way.plate_um) == 2 else 0.0
    return float(np.median(way.hinge_um[:, life])), float(np.median(way.bearing_um[:, life])), plate


def _trace_axial(
    trace: Trace, axial: tuple[Governed, Governed], draws: StrengthDraws, factors: Adjustments, life: int
) -> None:
    new, aged = axial
    middle = int(np.argsort(aged.load_n[:, life])[len(aged.load_n) // 2])
    trace.add(
        "load along one fastener, factors in it, at the middle of the draws",
        "W'",
        "W' = least of withdrawal from the wood, head, sheet under it, shank",
        {
            "when new": f"{float(new.load_n[0, 0]):.4g} N by {new.word((0, 0))}",
            "governs then": aged.word((middle, life)),
            "factors": f"{factors.withdrawal:.3g} in the wood, {factors.head:.3g} at its head",
        },
        float(np.median(aged.load_n[:, life])),
        "N",
        "nds-2018",
        Mark.OWN,
    )
    trace.add(
        "strength left under shear and pull together, as a share of new",
        "R_a",
        "Z'_a = W' Z' / (W' cos^n a + Z' sin^n a), n = 2 for screws, else 1",
        {"Z' = Z times": f"{factors.lateral:.3g}", "when new": f"{draws.capacity_new_n or 0.0:.4g} N"},
        float(np.median(draws.ratio[:, life])),
        "-",
        "nds-2018",
        Mark.OWN,
        "Middle of all draws.",
    )
