"""The lateral capacity by EN 1995-1-1 with its whole calculation, for a person to follow."""

from __future__ import annotations

import numpy as np

from longhold.base.marks import Mark, weakest
from longhold.base.trace import Trace
from longhold.strength.dowel_ratio import Capacity, ShortPenetration
from longhold.strength.ec5_capacity import (
    Ec5Left,
    ec5_capacity_n,
    ec5_left,
    ec5_modes,
    in_wide_hole,
    rope_cap,
    staple_moment_factor,
)
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member, Ec5Plate, Ec5Prepared, prepare_ec5
from longhold.strength.ec5_data import dowel_record, embedment_record, mode_words
from longhold.strength.ec5_dowel import with_rope

__all__ = ["explain_ec5"]

_EQUATIONS = {
    "a": "F = q1 t1",
    "b": "F = q2 t2",
    "c": "F = q1 t1/(1+B) (sqrt(B + 2B^2 (1 + r + r^2) + B^3 r^2) - B (1+r)) + R, r = t2/t1",
    "d": "F = 1.05 q1 t1/(2+B) (sqrt(2B (1+B) + 4B (2+B) M/(q1 t1^2)) - B) + R",
    "e": "F = 1.05 q1 t2/(1+2B) (sqrt(2B^2 (1+B) + 4B (1+2B) M/(q1 t2^2)) - B) + R",
    "f": "F = 1.15 sqrt(2B/(1+B)) sqrt(2 M q1) + R",
    "g": "F = q1 t1",
    "h": "F = 0.5 q2 t2",
    "thin-a": "F = 0.4 q t",
    "thin-b": "F = 1.15 sqrt(2 M q) + R",
    "thick-c": "F = q t",
    "thick-d": "F = q t (sqrt(2 + 4 M/(q t^2)) - 1) + R",
    "thick-e": "F = 2.3 sqrt(M q) + R",
    "centre-f": "F = q t",
    "centre-g": "F = q t (sqrt(2 + 4 M/(q t^2)) - 1) + R",
    "centre-h": "F = 2.3 sqrt(M q) + R",
    "outer-thin-j": "F = 0.5 q t",
    "outer-thin-k": "F = 1.15 sqrt(2 M q) + R",
    "outer-thick-l": "F = 0.5 q t",
    "outer-thick-m": "F = 2.3 sqrt(M q) + R",
}
_EQUATIONS["j"], _EQUATIONS["k"] = _EQUATIONS["d"], _EQUATIONS["f"]
_SHORT = "below the least penetration: good for a ratio to new, not as a capacity"


def explain_ec5(
    connection: Ec5Connection,
    hinge_loss_um: float,
    bearing_loss_um: float,
    plate_loss_um: float,
    trace: Trace,
    *,
    short_penetration: ShortPenetration = "refuse",
) -> Capacity:
    """The characteristic capacity of one scalar case, with the calculation recorded into a trace.

    Arguments and errors as in ``ec5_capacity_n``. Lengths in mm, strengths in N/mm2, forces in N.

    >>> trace = Trace("nail")
    >>> board = Ec5Member(45.0, 350.0)
    >>> nail = Ec5Connection("nail", 3.4, board, board, length_mm=90.0)
    >>> z = explain_ec5(nail, 100.0, 50.0, 0.0, trace)
    >>> [step.symbol for step in trace.root.steps()][-3:]
    ['F_e', 'F_f', 'F_v,Rk']
    """
    losses = (hinge_loss_um, bearing_loss_um, plate_loss_um)
    result = ec5_capacity_n(connection, *losses, short_penetration=short_penetration)
    prepared = prepare_ec5(connection, accept_short=True)
    left = ec5_left(connection, prepared, *losses)
    with trace.section("Lateral capacity of the fastener (EN 1995-1-1 8.2)") as section:
        _strengths(connection, prepared, trace)
        _metal(connection, prepared, left, (hinge_loss_um, bearing_loss_um), trace)
        if float(result.capacity_n) > 0.0:
            _modes(connection, prepared, left, trace)
        planes = "two planes of shear" if connection.shear == "double" else "one plane of shear"
        trace.add(
            "characteristic lateral capacity",
            "F_v,Rk",
            f"least of the modes, {planes}" + (", two legs" if prepared.legs == 2 else ""),
            {"governing": mode_words(str(result.mode))},
            float(result.capacity_n),
            "N",
            "en-1995-1-1",
            section.mark,
            _SHORT if prepared.is_short else "",
        )
    return result


def _strengths(connection: Ec5Connection, prepared: Ec5Prepared, trace: Trace) -> None:
    members = (("1", connection.side, prepared.t1_mm), ("2", connection.main, prepared.t2_mm))
    for index, member, bearing in members:
        if isinstance(member, Ec5Plate):
            continue
        fh = prepared.fh1_mpa if index == "1" else prepared.fh2_mpa
        trace.add(
            f"bearing length in the {'side' if index == '1' else 'main'} member",
            f"t{index}",
            "thickness, or reach of the point",
            {"thickness": f"{member.thickness_mm:.4g} mm"},
            bearing,
            "mm",
            "en-1995-1-1",
            Mark.MEMORY,
        )
        trace.add(
            f"embedment strength of the {'side' if index == '1' else 'main'} member, for the diameter as new",
            f"fh{index}",
            _embedment_words(connection, member),
            {
                "rho": f"{member.density_kg_m3:.4g} kg/m3",
                "d": f"{prepared.effective_mm:.4g} mm",
                "angle": f"{member.angle_deg:g} deg",
            },
            fh,
            "N/mm2",
            "en-1995-1-1",
            Mark(embedment_record("drilled")["mark"]),
        )


def _embedment_words(connection: Ec5Connection, member: Ec5Member) -> str:
    if member.material in ("plywood", "osb"):
        return "by kind of panel and diameter"
    thin = connection.diameter_mm <= embedment_record("nail")["upto_mm"]
    if connection.is_screw:
        thin = connection.diameter_mm <= embedment_record("screw")["thick_over_mm"]
    if not thin or connection.runs_through:
        return "fh = 0.082 (1 - 0.01 d) rho / (k90 sin^2 a + cos^2 a)"
    return "fh = 0.082 (1 - 0.01 d) rho" if connection.predrilled else "fh = 0.082 rho d^-0.3"


def _metal(
    connection: Ec5Connection,
    prepared: Ec5Prepared,
    left: Ec5Left,
    loss_um: tuple[float, float],
    trace: Trace,
) -> None:
    new = f"{prepared.effective_mm:.4g} mm"
    rows = (
        ("bends", "d_hinge", loss_um[0], left.hinge_mm),
        ("bears", "d_bearing", loss_um[1], left.bearing_mm),
    )
    for word, symbol, loss, diameter in rows:
        trace.add(
            f"diameter left where the fastener {word}",
            symbol,
            "d0 - 2 x, not below zero",
            {"d0": new, "x": f"{loss:.4g} um"},
            float(diameter),
            "mm",
            "own",
            Mark.OWN,
            "no credit for rust; the wood is taken as sound",
        )
    if any(isinstance(member, Ec5Plate) for member in (connection.side, connection.main)):
        steel = dowel_record("wood_to_steel")
        trace.add(
            "steel left of the plate, thin whatever its thickness as its hole is wide"
            if in_wide_hole(connection)
            else "steel left of the plate: thin up to half a diameter, thick from a whole one",
            "tp",
            "as new, less both faces",
            {"d": f"{connection.diameter_mm:.4g} mm"},
            float(left.plate_mm),
            "mm",
            steel["source"],
            Mark.OWN,
        )
    moment = dowel_record("moment")
    factor = moment["square_factor" if connection.square else "round_factor"]
    legs = connection.kind == "staple"
    trace.add(
        "yield moment left",
        "M",
        f"M = {staple_moment_factor(prepared.fu_mpa):g} d_hinge^2.6"
        if legs
        else f"M = {factor:g} fu d_hinge^2.6",
        {"fu": f"{prepared.fu_mpa:g} N/mm2", "d_hinge": f"{float(left.hinge_mm):.4g} mm"},
        float(left.moment_nmm),
        "N mm",
        moment["source"],
        weakest([Mark(moment["mark"]), Mark.MEMORY]),
        "tensile strength of the fastener as new",
    )
    cap = rope_cap(connection)
    if cap > 0.0 and float(left.axial_n) > 0.0:
        trace.add(
            "rope effect",
            "R",
            f"R = F_ax/4, up to {100 * cap:g} % of the yield part",
            {"F_ax": f"{float(left.axial_n):.4g} N"},
            float(dowel_record("rope")["share"]) * float(left.axial_n),
            "N",
            "en-1995-1-1",
            Mark.MEMORY,
        )


def _modes(connection: Ec5Connection, prepared: Ec5Prepared, left: Ec5Left, trace: Trace) -> None:
    q1, q2 = (fh * float(left.bearing_mm) for fh in (prepared.fh1_mpa, prepared.fh2_mpa))
    common = {"M": f"{float(left.moment_nmm):.4g} N mm"}
    if q1 > 0.0 and q2 > 0.0:
        common = {"q1": f"{q1:.4g} N/mm", "q2": f"{q2:.4g} N/mm", "B = q2/q1": f"{q2 / q1:.4g}", **common}
    else:
        common = {"q": f"{max(q1, q2):.4g} N/mm", **common}
    for modes in ec5_modes(connection, prepared, left):
        loads = with_rope(modes, left.axial_n, rope_cap(connection))
        for name, load in zip(modes.names, loads, strict=True):
            if np.isfinite(load):
                trace.add(
                    mode_words(name),
                    f"F_{name.split('-')[-1]}",
                    _EQUATIONS[name],
                    common,
                    float(load),
                    "N",
                    "en-1995-1-1" if len(name) == 1 else "porteous-kermani-2007",
                    Mark.MEMORY,
                    "for one plane of shear",
                )
