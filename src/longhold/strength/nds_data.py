"""NDS-2018 data for dowel-type fasteners: bearing strength, bending strength, penetration.

US customary units throughout, because the constants of the standard are in lb, in and psi.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, load_toml, number, optional_number

__all__ = [
    "FloatArray",
    "Floats",
    "Forming",
    "bearing_record",
    "fastener_rules",
    "fe_steel_grade_psi",
    "fe_steel_psi",
    "fe_wood_psi",
    "fyb_psi",
    "fyb_record",
    "hankinson",
    "specific_gravity_range",
]

FloatArray = NDArray[np.float64]
Floats = float | FloatArray
Forming = Literal["hot_rolled", "cold_formed"]

_FOLDER = "strength/nds_2018"


def fe_wood_psi(
    g: Floats, nominal_diameter_in: float, theta_deg: float = 0.0, *, rounded: bool = True
) -> FloatArray:
    """Dowel bearing strength of wood (NDS-2018 12.3.3).

    D < 0.25 in: Fe = 16 600 G^1.84 at any angle to the grain. D >= 0.25 in: Fe_par = 11 200 G,
    Fe_perp = 6 100 G^1.45 / sqrt(D), between them Hankinson's formula.

    Parameters
    ----------
    g : specific gravity, oven dry [-]; the tables run from 0.31 to 0.73
    nominal_diameter_in : nominal diameter D [in], never the root or a corroded diameter
    theta_deg : angle between load and grain [degrees]; 90 also for end grain
    rounded : round to 50 psi, as the design tables do

    Returns
    -------
    bearing strength [psi]

    Source: nds-2018 (memory), confirmed by the cells of Tables 12A to 12P.

    >>> float(fe_wood_psi(0.50, 0.148)), float(fe_wood_psi(0.50, 0.5, 90.0))
    (4650.0, 3150.0)
    """
    density = np.asarray(g, dtype=np.float64)
    record = bearing_record("small")
    if nominal_diameter_in < record["small_below_in"]:
        return _rounded(record["coefficient_psi"] * np.power(density, record["g_exponent"]), rounded)
    across = bearing_record("perpendicular")
    par = _rounded(bearing_record("parallel")["coefficient_psi"] * density, rounded)
    perp = _rounded(
        across["coefficient_psi"] * np.power(density, across["g_exponent"]) / np.sqrt(nominal_diameter_in),
        rounded,
    )
    return hankinson(par, perp, theta_deg)


def hankinson(parallel: Floats, perpendicular: Floats, theta_deg: float) -> FloatArray:
    """Strength at an angle to the grain: par perp / (par sin^2 + perp cos^2).

    Unit of the result is that of the two strengths. Exact at 0 and 90 degrees. Source: mst-5260 (verified).

    >>> float(hankinson(5600.0, 3150.0, 45.0))
    4032.0
    """
    par = np.asarray(parallel, dtype=np.float64)
    perp = np.asarray(perpendicular, dtype=np.float64)
    if theta_deg == 0.0:
        return par + 0.0 * perp
    if theta_deg == 90.0:
        return perp + 0.0 * par
    sine2 = np.sin(np.radians(theta_deg)) ** 2
    return np.asarray(par * perp / (par * sine2 + perp * (1.0 - sine2)))


def fe_steel_psi(fu_psi: float, forming: Forming) -> float:
    """Dowel bearing strength of a steel side plate: 1.5 Fu hot-rolled, 1.375 Fu cold-formed [psi].

    Both contain the load-duration divisor 1.6. Source: mst-5260 (verified), quoting NDS Appendix I.

    >>> fe_steel_psi(58_000.0, "hot_rolled")
    87000.0
    """
    return float(bearing_record("steel", forming)["factor"]) * fu_psi


def fe_steel_grade_psi(grade: str) -> float:
    """Printed bearing strength of a steel grade, "A36" or "A653 Gr 33" [psi].

    The second is printed rounded down from 61 875. Source: nds-2018 (memory).

    >>> fe_steel_grade_psi("A653 Gr 33")
    61850.0
    """
    return float(bearing_record("steel_grade", grade)["bearing_psi"])


def fyb_psi(fastener: str, nominal_diameter_in: float) -> float:
    """Bending yield strength Fyb of a fastener by its nominal diameter (NDS-2018 Table I1) [psi].

    Parameters
    ----------
    fastener : nail, hardened_nail, post_frame_nail, wood_screw, lag_screw, bolt or dowel
    nominal_diameter_in : nominal diameter [in], as new: a corroded thick nail stays a thick nail

    Raises
    ------
    InputError : for another fastener, or a diameter outside the table

    >>> fyb_psi("nail", 0.148), fyb_psi("lag_screw", 0.5)
    (90000.0, 45000.0)
    """
    return float(fyb_record(fastener, nominal_diameter_in)["fyb_psi"])


def fyb_record(fastener: str, nominal_diameter_in: float) -> Row:
    """The row of Table I1 behind ``fyb_psi``, with its source and mark."""
    rows = [row for row in _fyb_rows() if row["fastener"] == fastener]
    for row in rows:
        if row["over_in"] < nominal_diameter_in <= row["upto_in"]:
            return row
    if not rows:
        known = ", ".join(dict.fromkeys(row["fastener"] for row in _fyb_rows()))
        raise InputError(
            Problem("fastener", fastener, f"has no bending yield strength in the table; known are {known}.")
        )
    raise InputError(
        Problem(
            "diameter",
            f"{nominal_diameter_in:.4g} in",
            f"for a {fastener.replace('_', ' ')} the table of bending yield strength runs "
            f"from {rows[0]['over_in']:.3f} to {rows[-1]['upto_in']:.3f} in.",
            "Give the bending yield strength from a test report.",
        )
    )


def specific_gravity_range() -> tuple[float, float]:
    """Lowest and highest specific gravity of the printed tables.

    >>> specific_gravity_range()
    (0.31, 0.73)
    """
    record = bearing_record("specific_gravity")
    return float(record["least"]), float(record["most"])


def fastener_rules(fastener: str) -> Row:
    """Least penetration and tip of a kind of fastener, in diameters, with source and mark.

    Keys: ``least_penetration_d``, ``tip_d`` (None where a table of sizes gives the tip) and ``through``.

    >>> fastener_rules("nail")["least_penetration_d"]
    6.0
    """
    for row in _fastener_rows():
        if row["fastener"] == fastener:
            return row
    known = ", ".join(row["fastener"] for row in _fastener_rows())
    raise InputError(Problem("kind", fastener, f"must be one of {known}."))


def bearing_record(*path: str) -> Mapping[str, Any]:
    """One record of the table of bearing strengths, with its source and mark."""
    record: Mapping[str, Any] = load_toml(f"{_FOLDER}/bearing.toml")
    for name in path:
        record = record[name]
    return record


def _rounded(strength: Any, rounded: bool) -> FloatArray:
    if not rounded:
        return np.asarray(strength, dtype=np.float64)
    step = bearing_record("rounding")["step_psi"]
    return np.asarray(np.floor(strength / step + 0.5) * step, dtype=np.float64)


@once
def _fyb_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {
        "fastener": str,
        "over_in": number,
        "upto_in": number,
        "fyb_psi": number,
        "note": str,
    }
    return load_csv(f"{_FOLDER}/fyb.csv", columns, key=("fastener", "over_in"))


@once
def _fastener_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {
        "fastener": str,
        "least_penetration_d": optional_number,
        "tip_d": optional_number,
        "through": {"yes": True, "no": False}.__getitem__,
        "note": str,
    }
    return load_csv(f"{_FOLDER}/fasteners.csv", columns, key=("fastener",))
