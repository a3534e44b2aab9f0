"""Axial capacity of fasteners and load on both axes by EN 1995-1-1:2004 section 8 (N, mm, kg/m3)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from longhold.base.errors import InputError, Problem
from longhold.strength.ec5_data import FloatArray, Floats, axial_record

__all__ = [
    "BoltPull",
    "axial_bolt_n",
    "axial_screw_n",
    "axial_smooth_nail_n",
    "axial_threaded_nail_n",
    "combined_use",
    "screw_withdrawal_mpa",
    "smooth_nail_mpa",
]


class BoltPull(NamedTuple):
    """A bolt in tension: what the steel and what the wood under washer or plate holds [N]."""

    steel_n: FloatArray
    wood_n: FloatArray

    @property
    def least_n(self) -> FloatArray:
        """The lesser of the two [N]."""
        return np.minimum(self.steel_n, self.wood_n)


def smooth_nail_mpa(density_kg_m3: Floats) -> tuple[FloatArray, FloatArray]:
    """fax = 20e-6 rho^2 and fhead = 70e-6 rho^2 of a smooth nail (8.25, 8.26) [N/mm2].

    >>> [round(float(f), 3) for f in smooth_nail_mpa(350.0)]
    [2.45, 8.575]
    """
    nail = axial_record("smooth_nail")
    square = np.asarray(density_kg_m3, dtype=np.float64) ** 2
    return np.asarray(nail["withdrawal_factor"] * square), np.asarray(nail["head_factor"] * square)


def axial_smooth_nail_n(
    *,
    diameter_mm: Floats,
    nominal_mm: float,
    point_mm: float,
    head_side_mm: float,
    head_diameter_mm: Floats,
    point_density_kg_m3: float,
    head_density_kg_m3: float,
    drying: bool = False,
) -> FloatArray:
    """Smooth nail, Fax = min(fax d tpen ; fax d t + fhead dh^2) (8.24) [N].

    Parameters
    ----------
    diameter_mm : diameter left along the shank [mm]
    nominal_mm : diameter as new [mm], which sets the least penetration
    point_mm, head_side_mm : penetration on the side of the point, thickness on the side of the head [mm]
    head_diameter_mm : diameter left of the head [mm]; 0 takes no credit for it
    drying : put into wet wood that dries under load: two thirds

    Full from 12 d of penetration, nothing below 8 d. Not for permanent or long-term pull.
    Source: en-1995-1-1 (memory).

    >>> round(float(axial_smooth_nail_n(diameter_mm=3.4, nominal_mm=3.4, point_mm=52.0, head_side_mm=38.0,
    ...     head_diameter_mm=8.0, point_density_kg_m3=350.0, head_density_kg_m3=350.0)), 1)
    433.2
    """
    d, head = np.asarray(diameter_mm, dtype=np.float64), np.asarray(head_diameter_mm, dtype=np.float64)
    point_f = smooth_nail_mpa(point_density_kg_m3)[0] * _penetration_share(
        "smooth_nail", point_mm, nominal_mm
    )
    side_f, head_f = smooth_nail_mpa(head_density_kg_m3)
    least = np.minimum(point_f * d * point_mm, side_f * d * head_side_mm + head_f * head**2)
    return np.asarray(least * (axial_record("drying")["factor"] if drying else 1.0))


def axial_threaded_nail_n(
    *,
    diameter_mm: Floats,
    nominal_mm: float,
    point_mm: float,
    fax_mpa: float,
    fhead_mpa: float,
    head_diameter_mm: Floats,
    drying: bool = False,
) -> FloatArray:
    """Threaded nail, Fax = min(fax d tpen ; fhead dh^2) (8.23), with strengths from tests [N].

    Parameters
    ----------
    point_mm : length of thread on the side of the point [mm]
    fax_mpa, fhead_mpa : declared withdrawal and head strength [N/mm2]

    The others as in ``axial_smooth_nail_n``. Full from 8 d of penetration, nothing below 6 d.
    Source: en-1995-1-1 (memory).
    """
    d, head = np.asarray(diameter_mm, dtype=np.float64), np.asarray(head_diameter_mm, dtype=np.float64)
    held = fax_mpa * _penetration_share("threaded_nail", point_mm, nominal_mm) * d * point_mm
    return np.asarray(
        np.minimum(held, fhead_mpa * head**2) * (axial_record("drying")["factor"] if drying else 1.0)
    )


def screw_withdrawal_mpa(nominal_mm: float, thread_mm: float, density_kg_m3: float) -> float:
    """Withdrawal strength of a screw, fax = 0.52 d^-0.5 lef^-0.1 rho^0.8 (8.39) [N/mm2].

    Parameters
    ----------
    nominal_mm : outer diameter of the thread [mm], 6 to 12
    thread_mm : length of thread in the piece with the point, lef [mm]

    Raises
    ------
    InputError : diameter outside the range: the strength must then come from a test

    >>> round(screw_withdrawal_mpa(6.0, 55.0, 350.0), 2)
    15.42
    """
    screw = axial_record("screw")
    if not screw["least_mm"] <= nominal_mm <= screw["most_mm"]:
        allowed = f"screws are computed from {screw['least_mm']:g} to {screw['most_mm']:g} mm."
        raise InputError(
            Problem("diameter", f"{nominal_mm:g} mm", allowed, "Give the withdrawal strength from a test.")
        )
    return float(
        screw["factor"]
        * nominal_mm ** screw["d_exponent"]
        * thread_mm ** screw["length_exponent"]
        * density_kg_m3 ** screw["density_exponent"]
    )


def axial_screw_n(
    *,
    diameter_mm: Floats,
    nominal_mm: float,
    thread_mm: float,
    fax_mpa: float,
    angle_deg: float = 90.0,
    count: float = 1.0,
    declared: bool = False,
) -> FloatArray:
    """Screw, Fax = nef fax d lef kd / (1.2 cos^2 a + sin^2 a), kd = min(d/8, 1), nef = n^0.9 (8.38) [N].

    In the form of A1:2008; that of 2004 took one diameter off the thread and (pi d lef)^0.8.

    Parameters
    ----------
    diameter_mm : outer diameter left of the thread [mm]
    nominal_mm : the same as new [mm], which sets kd
    thread_mm : lef [mm]
    fax_mpa : withdrawal strength [N/mm2]
    angle_deg : screw to grain, 30 to 90 [degrees]
    count : screws that act together
    declared : whether the strength is declared from tests, (8.40a), which knows no kd

    Source: ec5-worksheet (verified).

    >>> f = screw_withdrawal_mpa(6.0, 55.0, 350.0)
    >>> round(float(axial_screw_n(diameter_mm=6.0, nominal_mm=6.0, thread_mm=55.0, fax_mpa=f)))
    3817
    """
    screw = axial_record("screw")
    sine2 = np.sin(np.radians(angle_deg)) ** 2
    group = count ** screw["group_exponent"]
    kd = 1.0 if declared else min(nominal_mm / screw["kd_mm"], 1.0)
    leant = screw["along"] * (1.0 - sine2) + sine2
    return np.asarray(group * fax_mpa * np.asarray(diameter_mm) * thread_mm * kd / leant)


def axial_bolt_n(
    *,
    fu_mpa: float,
    area_mm2: Floats,
    diameter_mm: float,
    fc90_mpa: float,
    washer_mm: Floats | None = None,
    plate_mm: Floats | None = None,
) -> BoltPull:
    """Bolt in tension: fu As, and 3 fc,90 on the ring under washer or steel plate (8.5.2) [N].

    Parameters
    ----------
    area_mm2 : stress area left [mm2]
    diameter_mm : d as new [mm]; the hole is 1 mm wider
    fc90_mpa : compressive strength of the wood across the grain [N/mm2]
    washer_mm : outer diameter of the washer [mm]
    plate_mm : thickness left of a steel plate [mm]: a circle of min(12 t, 4 d) counts as washer

    Raises
    ------
    InputError : neither washer nor plate

    Source: porteous-kermani-2007 (verified).

    >>> pull = axial_bolt_n(fu_mpa=400.0, area_mm2=84.3, diameter_mm=12.0, fc90_mpa=2.5, plate_mm=12.0)
    >>> round(float(pull.steel_n)), round(float(pull.wood_n))
    (33720, 12576)
    """
    bolt = axial_record("bolt")
    if plate_mm is not None:
        reach = bolt["plate_t"] * np.asarray(plate_mm, dtype=np.float64)
        outer = np.minimum(reach, bolt["plate_d"] * diameter_mm)
    elif washer_mm is not None:
        outer = np.asarray(washer_mm, dtype=np.float64)
    else:
        raise InputError(Problem("washer", None, "a bolt in tension needs a washer or a plate."))
    ring = np.maximum(np.pi / 4.0 * (outer**2 - (diameter_mm + bolt["hole_mm"]) ** 2), 0.0)
    return BoltPull(np.asarray(fu_mpa * np.asarray(area_mm2)), np.asarray(bolt["pressure"] * fc90_mpa * ring))


def combined_use(axial_share: Floats, lateral_share: Floats, *, smooth_nail: bool) -> FloatArray:
    """Use of a fastener pulled and sheared at once [-], to stay at 1 or below (8.27, 8.28).

    Smooth nails: the sum of the two uses; other nails and screws: the sum of their squares.

    Parameters
    ----------
    axial_share, lateral_share : load over capacity on each axis [-]

    Source: en-1995-1-1 (memory).

    >>> float(combined_use(0.6, 0.8, smooth_nail=False))
    1.0
    """
    power = 1 if smooth_nail else 2
    return np.asarray(np.asarray(axial_share) ** power + np.asarray(lateral_share) ** power)


def _penetration_share(kind: str, point_mm: float, nominal_mm: float) -> float:
    rule = axial_record(kind)
    if point_mm >= rule["full_d"] * nominal_mm:
        return 1.0
    if point_mm < rule["none_d"] * nominal_mm:
        return 0.0
    return float(point_mm / (rule["slope_d"] * nominal_mm) - rule["less"])
