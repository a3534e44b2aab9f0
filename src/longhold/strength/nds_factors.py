"""Adjustment factors of connections (NDS-2018 chapter 11), for allowable stress design.

Z' = Z CD CM Ct Cg Ceg Cdi Ctn and W' = W CD CM Ct Ceg Ctn (awc-manual-p87, verified).
"""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt
from typing import Any, Literal

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, load_toml, number
from longhold.strength.nds_geometry import is_thin

__all__ = [
    "Action",
    "diaphragm_factor",
    "end_grain_factor",
    "factor_record",
    "group_action_factor",
    "load_duration_factor",
    "temperature_factor",
    "toe_nail_factor",
    "wet_service_factor_lateral",
    "wet_service_factor_withdrawal",
]

Action = Literal["lateral", "withdrawal"]

_TEMPERATURE_STEPS_F = (100.0, 125.0, 150.0)


def load_duration_factor(duration: str) -> float:
    """Load-duration factor CD [-].

    Parameters
    ----------
    duration : permanent, ten_years, two_months (snow), seven_days, ten_minutes (wind, earthquake) or impact

    Raises
    ------
    InputError : for another duration; and for impact, which is not used for connections

    >>> load_duration_factor("ten_minutes")
    1.6
    """
    if duration == "impact":
        raise InputError(
            Problem("duration", duration, "the factor for impact does not apply to connections.")
        )
    return _value("CD", duration)


def wet_service_factor_lateral(
    *, wet_when_made: bool, wet_in_service: bool, diameter_in: float, unrestrained: bool = False
) -> float:
    """Wet-service factor CM for lateral load (Table 11.3.3) [-].

    Parameters
    ----------
    wet_when_made, wet_in_service : whether the wood holds more than 19 % moisture
    diameter_in : nominal diameter [in]; below 1/4 in drying costs nothing
    unrestrained : one fastener, one row along the grain, or a splice plate of its own for each row

    A deck in the weather is wet in service: 0.7 for every fastener. Source: nds-2018 (memory).

    >>> wet_service_factor_lateral(wet_when_made=False, wet_in_service=True, diameter_in=0.5)
    0.7
    """
    if wet_in_service:
        return _value("CM_lateral", "wet")
    if not wet_when_made:
        return _value("CM_lateral", "dry")
    return _value("CM_lateral", "dries_free" if is_thin(diameter_in) or unrestrained else "dries")


def wet_service_factor_withdrawal(fastener: str, *, wet_when_made: bool, wet_in_service: bool) -> float:
    """Wet-service factor CM for withdrawal (Table 11.3.3) [-].

    Parameters
    ----------
    fastener : lag_screw, wood_screw, nail, stainless_nail (both smooth) or ring_shank_nail
    wet_when_made, wet_in_service : whether the wood holds more than 19 % moisture

    A smooth nail in wood that changes between wet and dry keeps a quarter. Source: nds-2018 (memory).

    >>> wet_service_factor_withdrawal("nail", wet_when_made=True, wet_in_service=False)
    0.25
    """
    if fastener in ("lag_screw", "wood_screw"):
        return _value("CM_withdrawal_screw", "wet" if wet_in_service else "dry")
    if fastener in ("nail", "stainless_nail"):
        return _value("CM_withdrawal_nail", "steady" if wet_when_made == wet_in_service else "changes")
    if fastener == "ring_shank_nail":
        return _value("CM_withdrawal_ring_shank_nail", "any")
    raise InputError(
        Problem(
            "fastener",
            fastener,
            "must be lag_screw, wood_screw, nail, stainless_nail or ring_shank_nail.",
        )
    )


def temperature_factor(temperature_f: float, *, wet: bool) -> float:
    """Temperature factor Ct of connections that stay warm [-].

    Steps end at 100, 125 and 150 F; above that InputError. Source: nds-2018 (memory).

    >>> temperature_factor(110.0, wet=True)
    0.7
    """
    for limit in _TEMPERATURE_STEPS_F:
        if temperature_f <= limit:
            return _value("Ct_wet" if wet else "Ct_dry", f"to_{limit:.0f}_f")
    raise InputError(
        Problem(
            "temperature", f"{temperature_f:g} F", "the factors end at 150 F; wood loses strength for good."
        )
    )


def end_grain_factor(fastener: str, action: Action) -> float:
    """End-grain factor Ceg [-]: 0.67 lateral, 0.75 withdrawal of lag screws.

    Raises
    ------
    InputError : for withdrawal of nails or wood screws from end grain, which is not allowed

    Source: lateral wood-connections-page, withdrawal nds-11-2-archive (both verified).

    >>> end_grain_factor("lag_screw", "withdrawal")
    0.75
    """
    if action == "lateral":
        return _value("Ceg", "lateral")
    if fastener != "lag_screw":
        raise InputError(
            Problem(
                "fastener", fastener, "may not be loaded in withdrawal from end grain.", "Use side grain."
            )
        )
    return _value("Ceg", "withdrawal_lag_screw")


def diaphragm_factor() -> float:
    """Diaphragm factor Cdi for nails of a diaphragm, lateral load [-]. Source: nds-2018 (memory)."""
    return _value("Cdi", "nailed_diaphragm")


def toe_nail_factor(action: Action) -> float:
    """Toe-nail factor Ctn [-]: 0.83 lateral, 0.67 withdrawal. Source: nds-2018 (memory).

    >>> toe_nail_factor("lateral")
    0.83
    """
    return _value("Ctn", action)


def group_action_factor(
    *,
    count: int,
    diameter_in: float,
    spacing_in: float,
    main_stiffness_lb: float,
    side_stiffness_lb: float,
    metal_side: bool,
) -> float:
    """Group action factor Cg of dowels in one row (NDS-2018 equation 11.3-1) [-].

    gamma = 180 000 D^1.5 (wood sides) or 270 000 D^1.5 (metal sides) [lb/in];
    u = 1 + gamma (s/2) (1/(Em Am) + 1/(Es As)); m = u - sqrt(u^2 - 1);
    R = the smaller of EsAs/EmAm and its inverse;
    Cg = m (1 - m^2n) / (n [(1 + R m^n)(1 + m) - 1 + m^2n]) (1 + R)/(1 - m).

    Parameters
    ----------
    count : fasteners n in the row, 1 or more
    diameter_in : D [in]
    spacing_in : center to center s along the row [in]
    main_stiffness_lb, side_stiffness_lb : E A of the main member, and of the side members together [lb]
    metal_side : whether the side members are metal

    Source: nds-2018 (memory); reproduces four printed cells.

    >>> group_action_factor(count=4, diameter_in=1.0, spacing_in=4.0, main_stiffness_lb=16.8e6,
    ...     side_stiffness_lb=16.8e6, metal_side=False)
    0.96
    """
    modulus = load_toml("strength/nds_2018/group_action.toml")["modulus"]
    gamma = modulus["wood_to_metal" if metal_side else "wood_to_wood"] * diameter_in ** modulus["d_exponent"]
    u = 1.0 + gamma * spacing_in / 2.0 * (1.0 / main_stiffness_lb + 1.0 / side_stiffness_lb)
    m = u - sqrt(u * u - 1.0)
    r = min(side_stiffness_lb / main_stiffness_lb, main_stiffness_lb / side_stiffness_lb)
    n = count
    share = m * (1.0 - m ** (2 * n)) / (n * ((1.0 + r * m**n) * (1.0 + m) - 1.0 + m ** (2 * n)))
    return float(share * (1.0 + r) / (1.0 - m))


def factor_record(factor: str, condition: str) -> Row:
    """One row of the table of factors, with its note, source and mark."""
    for row in _rows():
        if (row["factor"], row["condition"]) == (factor, condition):
            return row
    known = ", ".join(row["condition"] for row in _rows() if row["factor"] == factor)
    raise InputError(Problem(factor, condition, f"must be one of {known}."))


def _value(factor: str, condition: str) -> float:
    return float(factor_record(factor, condition)["value"])


@once
def _rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {"factor": str, "condition": str, "value": number, "note": str}
    return load_csv("strength/nds_2018/factors.csv", columns, key=("factor", "condition"))
