"""A fastener that its load also pulls out, by EN 1995-1-1: what holds it, what was taken, what is refused."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt
from typing import TYPE_CHECKING, Any

import numpy as np

from longhold.assessment.findings import Assumption
from longhold.assessment.load_durations import duration_by
from longhold.assessment.pulled import load_angle_deg
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import show_quantity
from longhold.base.tables import load_toml
from longhold.base.trace import Trace
from longhold.forecast.ec5_strength import Ec5Lost, Ec5Pull, ec5_pulled_loads
from longhold.forecast.strength import StrengthDraws
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.strength.ec5_axial import screw_withdrawal_mpa, smooth_nail_mpa
from longhold.strength.ec5_capacity import axial_n
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, prepare_ec5
from longhold.strength.ec5_data import across_grain_mpa, axial_record, dowel_record, stress_area_mm2
from longhold.strength.ec5_factors import gamma_row, screws_pulled

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = ["ec5_pull", "trace_pull"]

_ASK = 'Ask for strength_standard = "nds", or a specialist.'
_WASHERS = (
    "not asked: the least that EN 1995-1-1 asks under head and nut; a wider one presses on more timber, "
    "a narrower one on less"
)
_HEAD = (
    "EN 1995-1-1 has a screw's head strength declared: that of a smooth nail's head in wood of no more "
    "than C24 is taken, our own choice on the safe side"
)


def ec5_pull(
    joint: Joint,
    part: Part,
    connection: Ec5Connection,
    design: float,
    setting: Setting,
    assumptions: list[Assumption],
) -> tuple[Ec5Connection, Ec5Pull]:
    """The connection with what holds it along its axis, and how it is pulled; what was taken is listed.

    Parameters
    ----------
    design : kmod/gammaM, by which the characteristic load is multiplied for a design value

    Raises
    ------
    InputError : where EN 1995-1-1 has no value, or one has to be declared and is not safely replaced
    """
    where = f"joints.{joint.id}.demand_withdrawal"
    _possible(joint, part, connection, where)
    prepared = prepare_ec5(connection)
    smooth = part.kind == "nail"
    if part.kind == "bolt":
        made, root = _bolt(joint, part, connection, setting, assumptions)
    elif smooth:
        made, root = connection, connection.diameter_mm
        if part.shank is None:
            said = "the shank of the nail is not stated"
            assumptions.append(Assumption(f"joints.{joint.id}.{part.id}.shank", "smooth", said))
    else:
        made, root = _screw(joint, part, connection, assumptions)
    if float(axial_n(made, prepared, 0.0, 0.0, 0.0)) <= 0.0:
        said = (
            f"a {part.kind_words} that reaches {prepared.penetration_mm or 0.0:.3g} mm holds nothing there."
        )
        raise InputError(Problem(where, None, said, "Use a longer one."))
    share = _share_of_screws(joint, part) if connection.is_screw else 1.0
    torn_share = min(1.0, 1.0 / (gamma_row("steel")["gamma"] * design))
    return made, Ec5Pull(load_angle_deg(joint), smooth, share, root, prepared.fu_mpa, torn_share)


def trace_pull(
    trace: Trace, connection: Ec5Connection, lost: Ec5Lost, pull: Ec5Pull, draws: StrengthDraws, life: int
) -> None:
    """Load along the fastener and both together, at the middle of the draws."""
    new, aged = ec5_pulled_loads(connection, lost, pull)
    middle = int(np.argsort(aged.load_n[:, life])[len(aged.load_n) // 2])
    steel = {"torn steel counts": f"{pull.torn_share:.4g}, for its gammaM2"} if pull.torn_share < 1.0 else {}
    trace.add(
        "characteristic load along one fastener, at the middle of the draws",
        "F_ax,Rk",
        "F_ax,Rk = least of what wood and head hold, and its shank",
        {
            "when new": f"{float(new.load_n[0, 0]):.4g} N by {new.word((0, 0))}",
            "governs then": aged.word((middle, life)),
            "n_ef/n": f"{pull.group_share:.4g}",
            **steel,
        },
        float(np.median(aged.load_n[:, life])),
        "N",
        "en-1995-1-1",
        Mark.MEMORY,
    )
    trace.add(
        "strength left under shear and pull together, as a share of new",
        "R_a",
        "(F sin a/F_ax)^n + (F cos a/F_v)^n = 1, n = 1 for smooth nails, else 2",
        {"a": f"{pull.angle_deg:.3g} deg"},
        float(np.median(draws.ratio[:, life])),
        "-",
        "en-1995-1-1",
        Mark.MEMORY,
        "The middle of the draws; without the rope effect.",
    )


def _possible(joint: Joint, part: Part, connection: Ec5Connection, where: str) -> None:
    if part.kind == "bolt" and joint.demand is not None:
        said = "a bolt pulled and sheared at once is not computed: EN 1995-1-1 has no rule for both."
        raise InputError(Problem(where, None, said, "State the pull alone, or ask a specialist."))
    if part.kind not in ("nail", "wood_screw", "lag_screw", "bolt"):
        said = f"a {part.kind_words} pulled along its axis is not computed by EN 1995-1-1 here."
        raise InputError(Problem(where, None, said, _ASK))
    if joint.double_shear:
        raise InputError(Problem(where, None, "is not computed for a fastener in double shear.", _ASK))
    if not isinstance(connection.side, Ec5Member):
        said = "a head pulled through a sheet is not computed by EN 1995-1-1 here."
        raise InputError(Problem(where, None, said, _ASK))
    duration = duration_by(joint.load_duration or _table()["duration"]["value"], "en1995")
    if part.kind == "nail" and part.shank != "ring" and duration in _table()["pull"]["not_smooth"]:
        said = f"smooth nails carry no {duration.replace('_', ' ')} pull in EN 1995-1-1."
        raise InputError(Problem(where, None, said, "Use a threaded nail, a screw or a bolt."))


def _screw(
    joint: Joint, part: Part, connection: Ec5Connection, assumptions: list[Assumption]
) -> tuple[Ec5Connection, float]:
    where, d = f"joints.{joint.id}.{part.id}", connection.diameter_mm
    rule, side = axial_record("screw_root"), connection.side
    missing = [name for name in ("thread_length", "head_diameter") if not _given(part, name)]
    if missing:
        said = "is needed where a screw is pulled, by EN 1995-1-1."
        raise InputError(*(Problem(f"{where}.{name}", None, said, "Give it.") for name in missing))
    reach = prepare_ec5(connection).penetration_mm or 0.0
    thread = min(part.thread_length or 0.0, reach)
    least = float(_table()["pull"]["least_thread_d"]) * d
    if thread < least:
        said = f"EN 1995-1-1 asks for {least:.3g} mm of it in the timber that holds the point."
        raise InputError(Problem(f"{where}.thread_length", f"{thread:.3g} mm", said, "Use a longer one."))
    root = part.root_diameter or float(dowel_record("screw")["root_share"]) * d
    if not rule["least"] <= root / d <= rule["most"]:
        said = f"must be {rule['least']:g} to {rule['most']:g} of the diameter for its pull."
        raise InputError(Problem(f"{where}.root_diameter", f"{root:.3g} mm", said, _ASK))
    density = connection.main.density_kg_m3 if isinstance(connection.main, Ec5Member) else 0.0
    screw_withdrawal_mpa(d, thread, density)  # refuses what its equation does not reach
    head_density = side.density_kg_m3 if isinstance(side, Ec5Member) else density
    fhead = float(smooth_nail_mpa(min(head_density, axial_record("screw_head")["most_kg_m3"]))[1])
    assumptions.append(Assumption(f"{where}, head strength", f"{fhead:.3g} N/mm2", _HEAD))
    return replace(connection, thread_mm=thread, fhead_mpa=fhead), root


def _bolt(
    joint: Joint, part: Part, connection: Ec5Connection, setting: Setting, assumptions: list[Assumption]
) -> tuple[Ec5Connection, float]:
    """The bolt with a washer at each end, on the weaker timber; and the diameter of its stress area [mm]."""
    at_ends = {name for name in (joint.main, joint.side) if name is not None}
    crushed = min(_across_grain(name, setting) for name in at_ends)
    least_d = float(axial_record("bolt_washer")["least_d"])
    washer = least_d * connection.diameter_mm
    shown = show_quantity(washer, "length_mm", setting.structure.units)
    assumptions.append(Assumption(f"joints.{joint.id}.{part.id}, washers", f"{shown} wide", _WASHERS))
    root = sqrt(4.0 / pi * stress_area_mm2(connection.diameter_mm))
    return replace(connection, fc90_mpa=crushed, washer_mm=washer), root


def _across_grain(timber: str, setting: Setting) -> float:
    where, name = f"timbers.{timber}.strength_class", setting.structure.timbers[timber].strength_class
    if name is None:
        said = "is needed where a bolt is pulled: the timber under its washers counts."
        raise InputError(Problem(where, None, said, "Give it, such as C24."))
    return across_grain_mpa(name, where=where)


def _share_of_screws(joint: Joint, part: Part) -> float:
    """n_ef/n over all screws of the kind, which share the pull, in however many parts they are listed."""
    count = sum(one.count for one in joint.parts if one.kind == part.kind)
    return screws_pulled(count) / count


def _given(part: Part, name: str) -> bool:
    return (part.measures.head_diameter_mm if name == "head_diameter" else part.thread_length) is not None


def _table() -> Any:
    return load_toml("assessment/ec5.toml")
