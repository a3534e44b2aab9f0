"""Strength of a fastener by EN 1995-1-1: capacity when new, what its losses leave, and the design value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.ec5_group import ec5_group
from longhold.assessment.ec5_pulled import ec5_pull, trace_pull
from longhold.assessment.ec5_way import ec5_connection, ec5_taken
from longhold.assessment.findings import Assumption
from longhold.assessment.load_durations import duration_by
from longhold.assessment.rule_facts import service_class
from longhold.assessment.strength_run import (
    MIDDLE_WORDS,
    Sheet,
    StrengthRun,
    life_index,
    ratio_only_said,
    shank_profiles,
    sheet_loss_um,
    soft_metal_said,
    weakest_way,
)
from longhold.assessment.ways import Passed, dropped_words, fault_words, passed_by, several_words
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.base.trace import Trace
from longhold.forecast.along import Passage, losses_along
from longhold.forecast.ec5_strength import Ec5Group, Ec5Lost, ec5_dowel_strength, ec5_pulled_strength
from longhold.forecast.strength import losses_by_role
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.dowel_ratio import ShortPenetration
from longhold.strength.ec5_capacity import ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Prepared, prepare_ec5
from longhold.strength.ec5_explain import explain_ec5
from longhold.strength.ec5_factors import gamma_row, kmod_row

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.shared import Setting

__all__ = ["ec5_run"]

Array = NDArray[np.float64]
_SHORT = "the point reaches less deep than EN 1995-1-1 asks for"


def ec5_run(
    joint: Joint, part: Part, faces: Sequence[FaceRun], sheets: Sequence[Sheet], setting: Setting
) -> StrengthRun:
    """Strength left of a dowel-type fastener by EN 1995-1-1, of several ways the weakest draw by draw.

    Ways that are too short for a capacity count only if there is no other; what does not count is listed.

    Raises
    ------
    InputError : where no way is inside the equations, with the first one's reasons
    """
    runs: list[tuple[Passed, Ec5Prepared, StrengthRun]] = []
    faults: list[tuple[Passed, InputError]] = []
    metal = faces[0].case.protection.base_metal
    for passed in passed_by(joint, part, sheets):
        assumptions: list[Assumption] = []
        connection = ec5_connection(joint, part, passed, setting, metal, assumptions)
        try:
            prepared = prepare_ec5(connection, accept_short=True)
        except InputError as fault:
            faults.append((passed, fault))
            continue
        assumptions += ec5_taken(joint, part, connection, prepared, setting)
        run = _through(joint, part, faces, passed, connection, setting, assumptions)
        runs.append((passed, prepared, run))
    if not runs:
        raise faults[0][1]
    reaching = [one for one in runs if one[2].draws and one[2].draws.capacity_new_n is not None] or runs
    weakest = weakest_way([run for _, _, run in reaching], life_index(setting))
    several = several_words(joint, part, [passed for passed, _, _ in reaching])
    dropped = [(passed, fault_words(fault)) for passed, fault in faults]
    dropped += [(one[0], _short_words(one[1])) for one in runs if not any(one is kept for kept in reaching)]
    return replace(
        weakest, assumptions=(*weakest.assumptions, *several, *dropped_words(joint, part, dropped))
    )


def _short_words(prepared: Ec5Prepared) -> str:
    if not prepared.is_short:
        return "no capacity is known of it, while others have one"
    return (
        f"its point reaches {prepared.penetration_mm:.3g} mm there, EN 1995-1-1 asks for "
        f"{prepared.least_penetration_mm:.3g} mm: no capacity is known of it, while others have one"
    )


def _through(
    joint: Joint,
    part: Part,
    faces: Sequence[FaceRun],
    passed: Passed,
    connection: Ec5Connection,
    setting: Setting,
    assumptions: list[Assumption],
) -> StrengthRun:
    """Strength left by one way through the joint."""
    sheet, held_by = passed
    short = prepare_ec5(connection, accept_short=True).is_short
    if short:
        assumptions.append(ratio_only_said(f"joints.{joint.id}.{part.id}.length", _SHORT))
    group = ec5_group(joint, part, connection, held_by, setting, assumptions)
    if soft := soft_metal_said([*faces, *(sheet[1] if sheet else ())]):
        assumptions.append(ratio_only_said(f"joints.{joint.id}.{part.id}.label", soft))
    design = _design(joint, group, assumptions)
    lost, life = _lost(connection, faces, sheet, setting), life_index(setting)
    ratio_only = short or bool(soft)
    trace = Trace("Strength left of the fastener")
    _explain(connection, lost, group, float(setting.ages[life]), life, design, trace, short=short)
    if joint.demand_withdrawal is None:
        draws = ec5_dowel_strength(
            connection, lost, group, short_penetration=short, ratio_only=ratio_only, life_index=life
        )
    else:
        connection, pull = ec5_pull(joint, part, connection, design[0], setting, assumptions)
        draws = ec5_pulled_strength(connection, lost, group, pull, ratio_only=ratio_only, life_index=life)
        trace_pull(trace, connection, lost, pull, draws, life)
    return StrengthRun(
        draws,
        trace.root,
        assumptions=tuple(assumptions),
        design=design,
        no_strength=soft,
        reaches_short=short,
    )


def _lost(
    connection: Ec5Connection, faces: Sequence[FaceRun], sheet: Sheet | None, setting: Setting
) -> Ec5Lost:
    """Losses where the fastener bends, along where it bears, and of its head."""
    main = connection.main.thickness_mm
    passage = Passage(
        connection.diameter_mm,
        connection.side.thickness_mm if isinstance(connection.side, Ec5Member) else None,
        prepare_ec5(connection, accept_short=True).t2_mm,
        main,
        connection.shear == "double",
    )
    of_role = losses_by_role([(run.case.face, run.base_loss_um) for run in faces])
    line_um, shank_um = of_role["hinge"], of_role["bearing"]
    line, outer = shank_profiles(faces, setting)
    hinge, bearing = losses_along(passage, line, line_um, outer, shank_um)
    head = np.max([run.base_loss_um for run in faces if run.case.face.role != "hinge"], axis=0)
    return Ec5Lost(hinge, bearing, sheet_loss_um(sheet), head, np.maximum(line_um, shank_um))


def _explain(
    connection: Ec5Connection,
    lost: Ec5Lost,
    group: Ec5Group,
    age: float,
    life: int,
    design: tuple[float, str],
    trace: Trace,
    *,
    short: bool,
) -> None:
    """The middle losses put in."""
    accept: ShortPenetration = "accept" if short else "refuse"
    hinge, bearing = (float(np.median(one[:, life])) for one in (lost.hinge_um, lost.bearing_um))
    plate = float(np.median(np.asarray(lost.plate_um)[:, life])) if np.ndim(lost.plate_um) == 2 else 0.0
    trace.add(
        f"metal lost per surface at {age:g} years, where it bends and along where it bears",
        "x_h, x_b",
        "x_h = largest within 2 D of the joint line; x_b = mean along the timber that takes more, "
        "with the peak of each of its faces",
        {"D": f"{connection.diameter_mm:.4g} mm"},
        f"{hinge:.3g}, {bearing:.3g}",
        "um",
        "own",
        Mark.OWN,
    )
    new_n = float(ec5_capacity_n(connection, 0.0, 0.0, short_penetration=accept).capacity_n)
    aged_n = float(explain_ec5(connection, hinge, bearing, plate, trace, short_penetration=accept).capacity_n)
    if group.row_share < 1.0 or group.splitting_n is not None:
        new_n, aged_n = (_grouped(load, group) for load in (new_n, aged_n))
        splits = "not checked" if group.splitting_n is None else f"{group.splitting_n:.4g} N"
        trace.add(
            "characteristic capacity of one fastener among its neighbors",
            "F_v,ef,Rk",
            "F_v,ef,Rk = least of n_ef/n F_v,Rk and its share of what splits the timber",
            {"n_ef/n": f"{group.row_share:.4g}", "F_90,Rk / (n sin a)": splits},
            aged_n,
            "N",
            "en-1995-1-1",
            Mark.MEMORY,
        )
    trace.add(
        "design value",
        "F_v,Rd",
        "F_v,Rd = kmod F_v,Rk / gammaM",
        {"kmod / gammaM": f"{design[0]:.4g}", "F_v,Rk": f"{aged_n:.4g} N"},
        design[0] * aged_n,
        "N",
        "en-1995-1-1",
        Mark.MEMORY,
        design[1],
    )
    trace.add(
        "strength left, as a share of new",
        "R",
        "R = F_v,Rk / F_v,Rk,0",
        {"F_v,Rk": f"{aged_n:.4g} N", "F_v,Rk,0": f"{new_n:.4g} N"},
        aged_n / new_n,
        "-",
        "own",
        Mark.OWN,
        MIDDLE_WORDS,
    )


def _grouped(load_n: float, group: Ec5Group) -> float:
    return min(group.row_share * load_n, np.inf if group.splitting_n is None else group.splitting_n)


def _design(joint: Joint, group: Ec5Group, assumptions: list[Assumption]) -> tuple[float, str]:
    """kmod / gammaM; the load that the joint must carry is a design load."""
    known = service_class(joint.place)
    if known is None:
        raise InputError(Problem(f"joints.{joint.id}.place", joint.place, "has no service class in EN 1995."))
    taken = _table()["duration"]
    duration = taken["value"] if joint.load_duration is None else duration_by(joint.load_duration, "en1995")
    words = duration.replace("_", " ")
    if joint.load_duration is None:
        assumptions.append(Assumption(f"joints.{joint.id}.load_duration", words, taken["because"]))
    elif joint.load_duration != duration:
        words += f", for {joint.load_duration.replace('_', ' ')}"
    kmod, gamma = kmod_row(known, duration)["kmod"], gamma_row("connection")["gamma"]
    said = f"design value: kmod {kmod:g} (service class {known}, {words}) over gammaM {gamma:g}"
    if group.row_share < 1.0:
        said += f", {group.row_share:.3g} of it in a row"
    if group.splitting_n is not None:
        said += ", no more than splits the timber"
    return kmod / gamma, f"{said}; a demand is held against it as a design load"


def _table() -> Any:
    return load_toml("assessment/ec5.toml")
