"""The lateral capacity of one fastener with its whole calculation, for a person to follow."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from longhold.base.marks import Mark, weakest
from longhold.base.quantities import N_PER_LB
from longhold.base.trace import Trace
from longhold.strength.connection import DowelConnection, SteelSide, WoodMember
from longhold.strength.dowel_ratio import Capacity, Left, ShortPenetration, capacity_n, left_in
from longhold.strength.nds_data import bearing_record, fastener_rules, fyb_record
from longhold.strength.nds_dowel import MODES, reduction_record, reduction_terms, yield_loads_by_mode_lb
from longhold.strength.nds_sizes import lag_screw, wood_screw
from longhold.strength.prepared import Prepared, prepare

__all__ = ["explain"]

_EQUATIONS = {
    "Im": "Z = qm lm / Rd",
    "Is": "Z = qs ls / Rd",
    "II": "Z = P / Rd, (1/(4 qs) + 1/(4 qm)) P^2 + (ls + lm)/2 P = qs ls^2/4 + qm lm^2/4",
    "IIIm": "Z = P / Rd, (1/(2 qs) + 1/(4 qm)) P^2 + lm/2 P = M + qm lm^2/4",
    "IIIs": "Z = P / Rd, (1/(4 qs) + 1/(2 qm)) P^2 + ls/2 P = M + qs ls^2/4",
    "IV": "Z = P / Rd, (1/(2 qs) + 1/(2 qm)) P^2 = 2 M",
}
_SHORT = "below the least penetration: good for a ratio to new, not as a capacity"


class _Origin(NamedTuple):
    source: str
    mark: Mark
    note: str = ""


_OWN = _Origin("own", Mark.OWN)


def explain(
    connection: DowelConnection,
    hinge_loss_um: float,
    bearing_loss_um: float,
    side_plate_loss_um: float,
    trace: Trace,
    *,
    short_penetration: ShortPenetration = "refuse",
) -> Capacity:
    """The capacity of one scalar case, with the whole calculation recorded into a trace.

    Arguments and errors as in ``capacity_n``. Records lengths, strengths, diameters left, the value of every
    mode with its reduction term, and the one that governs; lengths in inches and strengths in psi, as in
    the standard, the result in N.

    >>> trace = Trace("nail")
    >>> board = WoodMember(38.1, 0.55)
    >>> nail = DowelConnection("nail", 3.7592, board, board, length_mm=76.2)
    >>> z = explain(nail, 100.0, 50.0, 0.0, trace)
    >>> [step.symbol for step in trace.root.steps()][-3:]
    ['Z_IIIs', 'Z_IV', 'Z']
    """
    result = capacity_n(
        connection, hinge_loss_um, bearing_loss_um, side_plate_loss_um, short_penetration=short_penetration
    )
    prepared = prepare(connection, accept_short=True)
    left = left_in(connection, prepared, hinge_loss_um, bearing_loss_um, side_plate_loss_um)
    with trace.section("Lateral capacity of the fastener (NDS-2018 12.3)") as section:
        _geometry(connection, prepared, left, trace)
        _strengths(connection, prepared, trace)
        _diameters(connection, prepared, left, {"hinge": hinge_loss_um, "bearing": bearing_loss_um}, trace)
        if float(result.capacity_n) > 0.0:
            _modes(connection, prepared, left, trace)
        trace.add(
            "reference lateral capacity, normal load duration, no adjustment factor",
            "Z",
            "least of the modes" if prepared.legs == 1 else "least of the modes, times two legs",
            {"governing mode": str(result.mode)},
            float(result.capacity_n) / N_PER_LB,
            "lb",
            "nds-2018",
            section.mark,
            _SHORT if prepared.is_short else "",
        )
    return result


def _geometry(connection: DowelConnection, prepared: Prepared, left: Left, trace: Trace) -> None:
    rules = fastener_rules(connection.kind)
    inputs = {"D": f"{prepared.nominal_in:.4g} in"}
    if prepared.penetration_in is not None and prepared.least_penetration_in is not None:
        inputs["p"] = f"{prepared.penetration_in:.4g} in"
        inputs["least p"] = f"{prepared.least_penetration_in:.4g} in"
    trace.add(
        "bearing length in the main member",
        "lm",
        "reach less half the tip, at most the member",
        inputs,
        prepared.main_bearing_in,
        "in",
        *_Origin(rules["source"], rules["mark"], rules["note"]),
    )
    trace.add(
        "bearing length left in the side member",
        "ls",
        "as new, less the loss of a steel plate",
        {"ls as new": f"{prepared.side_bearing_in:.4g} in"},
        float(left.side_bearing_in),
        "in",
        *_OWN,
    )


def _strengths(connection: DowelConnection, prepared: Prepared, trace: Trace) -> None:
    _wood_strength("main", connection.main, prepared, prepared.fem_psi, trace)
    if isinstance(connection.side, SteelSide):
        steel = bearing_record("steel", connection.side.forming)
        trace.add(
            "dowel bearing strength of the side plate",
            "Fes",
            f"Fe = {steel['factor']:g} Fu",
            {"Fu": f"{connection.side.fu_mpa:g} MPa"},
            prepared.fes_psi,
            "psi",
            *_Origin(steel["source"], Mark(steel["mark"])),
        )
    else:
        _wood_strength("side", connection.side, prepared, prepared.fes_psi, trace)
    trace.add(
        "bending yield strength of the fastener as new",
        "Fyb",
        "by kind and nominal diameter",
        {"D": f"{prepared.nominal_in:.4g} in"},
        prepared.fyb_psi,
        "psi",
        *_fyb_origin(connection, prepared),
    )


def _wood_strength(
    which: str, member: WoodMember, prepared: Prepared, strength_psi: float, trace: Trace
) -> None:
    small, across = bearing_record("small"), bearing_record("perpendicular")
    along = bearing_record("parallel")
    if prepared.nominal_in < small["small_below_in"]:
        equation = f"Fe = {small['coefficient_psi']:g} G^{small['g_exponent']:g}"
    else:
        equation = (
            f"{along['coefficient_psi']:g} G along the grain; "
            f"{across['coefficient_psi']:g} G^{across['g_exponent']:g} / sqrt(D) across it; "
            "between them by the law of Hankinson"
        )
    trace.add(
        f"dowel bearing strength of the {which} member",
        "Fem" if which == "main" else "Fes",
        equation,
        {"G": f"{member.g:g}", "D": f"{prepared.nominal_in:.4g} in", "angle": f"{member.angle_deg:g} deg"},
        strength_psi,
        "psi",
        *_Origin(small["source"], Mark(small["mark"]), "rounded to 50 psi as in the tables"),
    )


def _diameters(
    connection: DowelConnection,
    prepared: Prepared,
    left: Left,
    loss_um: dict[str, float],
    trace: Trace,
) -> None:
    trace.add(
        "diameter as new that counts: the shank, or the root of a thread",
        "d0",
        "by kind and size",
        {"D": f"{prepared.nominal_in:.4g} in"},
        prepared.effective_in,
        "in",
        *_size_origin(connection, prepared),
    )
    d0 = f"{prepared.effective_in:.4g} in"
    rows = (
        ("bends", "d_hinge", loss_um["hinge"], left.hinge_diameter_in),
        ("bears", "d_bearing", loss_um["bearing"], left.bearing_diameter_in),
    )
    for word, symbol, loss, diameter in rows:
        trace.add(
            f"diameter left where the fastener {word}",
            symbol,
            "d0 - 2 x, not below zero",
            {"d0": d0, "x": f"{loss:.4g} um"},
            float(diameter),
            "in",
            *_Origin("own", Mark.OWN, "no credit for rust; the wood is taken as sound"),
        )


def _modes(connection: DowelConnection, prepared: Prepared, left: Left, trace: Trace) -> None:
    theta = max(prepared.theta_main_deg, prepared.theta_side_deg)
    by_mode = yield_loads_by_mode_lb(
        nominal_diameter_in=prepared.nominal_in,
        effective_diameter_in=prepared.effective_in,
        main_bearing_length_in=prepared.main_bearing_in,
        side_bearing_length_in=left.side_bearing_in,
        fem_psi=prepared.fem_psi,
        fes_psi=prepared.fes_psi,
        fyb_psi=prepared.fyb_psi,
        bearing_diameter_in=left.bearing_diameter_in,
        hinge_diameter_in=left.hinge_diameter_in,
        theta_deg=theta,
        shear=connection.shear,
    )
    common = {
        "qm": f"{prepared.fem_psi * float(left.bearing_diameter_in):.4g} lb/in",
        "qs": f"{prepared.fes_psi * float(left.bearing_diameter_in):.4g} lb/in",
        "M": f"{prepared.fyb_psi * float(left.hinge_diameter_in) ** 3 / 6.0:.4g} lb in",
    }
    terms = reduction_terms(prepared.nominal_in, prepared.effective_in, theta)
    mark = weakest([Mark(reduction_record("large")["mark"]), Mark.MEMORY])
    is_large = prepared.effective_in >= reduction_record("large")["from_in"]
    record = reduction_record("large" if is_large else "small")
    trace.add(
        "reduction terms of the modes, by the diameter as new and the greatest angle of load to grain",
        "Rd",
        "by mode",
        {
            **{f"Rd of {mode}": f"{float(term):.4g}" for mode, term in zip(MODES, terms, strict=True)},
            "angle": f"{theta:g} deg",
        },
        f"{float(min(terms)):.4g} to {float(max(terms)):.4g}",
        "",
        *_Origin(record["source"], Mark(record["mark"])),
    )
    for mode, term, value in zip(MODES, terms, by_mode, strict=True):
        if np.isfinite(value):
            doubled = connection.shear == "double" and mode != "Im"
            trace.add(
                f"yield mode {mode}",
                f"Z_{mode}",
                _EQUATIONS[mode] + (", in two planes" if doubled else ""),
                {**common, "Rd": f"{float(term):.4g}"},
                float(value),
                "lb",
                *_Origin("awc-tr12", mark),
            )
        else:
            trace.add(
                f"yield mode {mode}",
                f"Z_{mode}",
                "",
                {},
                "not possible in double shear",
                "",
                *_Origin("awc-tr12", mark),
            )


def _fyb_origin(connection: DowelConnection, prepared: Prepared) -> _Origin:
    if connection.fyb_mpa is not None:
        return _Origin("own", Mark.OWN, "given with the connection")
    row = fyb_record(connection.kind, prepared.nominal_in)
    return _Origin(row["source"], row["mark"], row["note"])


def _size_origin(connection: DowelConnection, prepared: Prepared) -> _Origin:
    if connection.root_diameter_mm is not None:
        return _Origin("own", Mark.OWN, "root diameter given with the connection")
    if connection.kind == "lag_screw":
        size = lag_screw(prepared.nominal_in)
        return _Origin(size.source, size.mark)
    if connection.kind == "wood_screw":
        size = wood_screw(prepared.nominal_in)
        return _Origin(size.source, size.mark)
    return _Origin("own", Mark.OWN, "the shank as given with the connection")
