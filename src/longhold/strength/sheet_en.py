"""Sheet steel, screws and pins in it by EN 1993-1-1 and EN 1993-1-3 Tables 8.2 to 8.4, as new or thinned.

Design values with the partial factors gamma_M0 = 1.0 and gamma_M2 = 1.25 in them; N, mm and MPa. Thickness is
that of the core, without zinc. Every thickness may be an array.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from longhold.base.tables import load_toml
from longhold.strength.nds_data import FloatArray, Floats

__all__ = [
    "en_gross_yield_n",
    "en_net_section_n",
    "en_pin_bearing_n",
    "en_pull_out_n",
    "en_pull_through_n",
    "en_record",
    "en_screw_bearing_n",
    "outside_en_layout",
    "outside_en_range",
]

_NOTHING_MM = 1e-9
_ROUNDING = 1e-9


def en_screw_bearing_n(t_mm: Floats, t1_mm: Floats, diameter_mm: float, fu_mpa: float) -> FloatArray:
    """Bearing and tilting of a self-tapping screw through two sheets, F_b,Rd = alpha fu d t / gamma_M2 [N].

    alpha = 3.2 sqrt(t/d), at most 2.1, where the sheets are alike; 2.1 where the other is 2.5 times as thick
    and t is 1 mm or more; a straight line between.

    Parameters
    ----------
    t_mm, t1_mm : the thinner sheet, and the thicker [mm]
    diameter_mm : nominal diameter of the screw [mm]
    fu_mpa : tensile strength of the thinner sheet [MPa]

    Source: en-1993-1-3 (memory).

    >>> float(en_screw_bearing_n(1.0, 2.5, 4.8, 360.0).round(2))
    2903.04
    """
    record = en_record("screw_bearing")
    t, t1 = np.asarray(t_mm, dtype=np.float64), np.asarray(t1_mm, dtype=np.float64)
    alike = np.minimum(record["slenderness"] * np.sqrt(np.maximum(t, 0.0) / diameter_mm), record["most"])
    thick = np.where(t >= record["thick_from_mm"], record["most"], alike)
    share = np.clip((t1 / np.maximum(t, _NOTHING_MM) - 1.0) / (record["thick_ratio"] - 1.0), 0.0, 1.0)
    alpha = (1.0 - share) * alike + share * thick
    return np.asarray(alpha * fu_mpa * diameter_mm * t / _factor())


def en_gross_yield_n(gross_area_mm2: Floats, fy_mpa: Floats) -> FloatArray:
    """Yielding of the gross section, N_pl,Rd = A fy / gamma_M0 [N]. Source: en-1993-1-1-tension (verified).

    EN 1993-1-3 asks the same of the whole section with its average yield strength, the basic one taken here.

    >>> round(float(en_gross_yield_n(260.0 * 12.0, 275.0)))
    858000
    """
    return np.asarray(
        np.asarray(gross_area_mm2, dtype=np.float64) * fy_mpa / en_record("partial_factor_gross")["value"]
    )


def en_net_section_n(net_area_mm2: Floats, fu_mpa: Floats) -> FloatArray:
    """Rupture of the net section, F_n,Rd = A_net fu / gamma_M2 [N]. Source: en-1993-1-3 (memory).

    >>> float(en_net_section_n(40.0, 360.0))
    11520.0
    """
    return np.asarray(np.asarray(net_area_mm2, dtype=np.float64) * fu_mpa / _factor())


def en_pull_through_n(
    t_mm: Floats, washer_mm: float, fu_mpa: float, *, repeated_wind: bool = False
) -> FloatArray:
    """Sheet pulled over a head or washer, F_p,Rd = d_w t fu / gamma_M2 [N]; half of it in repeated wind.

    Source: en-1993-1-3 (memory), the half verified.

    >>> float(en_pull_through_n(1.0, 14.0, 360.0))
    4032.0
    >>> float(en_pull_through_n(1.0, 14.0, 360.0, repeated_wind=True))
    2016.0
    """
    share = (
        en_record("pull_through_wind")["repeated"] if repeated_wind else en_record("pull_through")["static"]
    )
    return np.asarray(share * washer_mm * np.asarray(t_mm, dtype=np.float64) * fu_mpa / _factor())


def en_pull_out_n(t_sup_mm: Floats, diameter_mm: float, fu_mpa: float, *, pitch_mm: float) -> FloatArray:
    """Pull-out of a screw from the sheet that holds it, F_o,Rd [N].

    0.45 d t_sup fu / gamma_M2 where the sheet is thinner than the pitch of the thread, 0.65 else.
    Source: en-1993-1-3 (0.45 from memory, 0.65 verified).

    >>> float(en_pull_out_n(1.5, 4.8, 360.0, pitch_mm=1.4).round(2))
    1347.84
    """
    t = np.asarray(t_sup_mm, dtype=np.float64)
    coefficient = np.where(
        t < pitch_mm, en_record("pull_out_fine")["coefficient"], en_record("pull_out")["coefficient"]
    )
    return np.asarray(coefficient * diameter_mm * t * fu_mpa / _factor())


def en_pin_bearing_n(t_mm: Floats, diameter_mm: float, fu_mpa: float) -> FloatArray:
    """Bearing of a cartridge-fired pin, F_b,Rd = 3.2 fu d t / gamma_M2 [N].

    Source: en-1993-1-3-fasteners (verified).

    >>> float(en_pin_bearing_n(1.0, 4.0, 360.0).round(1))
    3686.4
    """
    coefficient = en_record("pin_bearing")["coefficient"]
    return np.asarray(coefficient * fu_mpa * diameter_mm * np.asarray(t_mm, dtype=np.float64) / _factor())


def outside_en_range(diameter_mm: float, t_mm: float | None = None) -> tuple[str, ...]:
    """What lies outside the range in which the tables hold, for people; empty where nothing does.

    >>> outside_en_range(4.8, 1.0), outside_en_range(2.0)
    ((), ('diameter 2 mm, tables hold from 3 to 8 mm',))
    """
    record = en_record("range")
    said = []
    if not record["least_d_mm"] <= diameter_mm <= record["most_d_mm"]:
        said.append(
            f"diameter {diameter_mm:g} mm, tables hold from {record['least_d_mm']:g} to "
            f"{record['most_d_mm']:g} mm"
        )
    if t_mm is not None and not record["least_t_mm"] <= t_mm <= record["most_t_mm"]:
        said.append(
            f"sheet {t_mm:g} mm, tables hold in tension from {record['least_t_mm']:g} to "
            f"{record['most_t_mm']:g} mm"
        )
    return tuple(said)


def outside_en_layout(
    diameter_mm: float,
    *,
    width_mm: float,
    holes_across: int,
    end_mm: float | None = None,
    spacing_mm: float | None = None,
) -> tuple[str, ...]:
    """Which distances of fasteners are less than the tables hold for, for people; empty where none is.

    Parameters
    ----------
    width_mm, holes_across : of the sheet across its load; the holes need room beside and between them
    end_mm : from the center of a fastener to the end along the load [mm]; None leaves it out
    spacing_mm : between fasteners along the load [mm]; None leaves it out

    Source: en-1993-1-3 (memory).

    >>> outside_en_layout(4.0, width_mm=60.0, holes_across=1, end_mm=3.1)
    ('end distance 3.1 mm, tables hold from 12 mm',)
    """
    record = en_record("layout")
    across = 2.0 * record["side_d"] + (holes_across - 1) * record["spacing_d"]
    checked = (
        ("end distance", end_mm, record["end_d"] * diameter_mm),
        ("spacing", spacing_mm, record["spacing_d"] * diameter_mm),
        ("width", width_mm, across * diameter_mm),
    )
    return tuple(
        f"{name} {given:g} mm, tables hold from {least:g} mm"
        for name, given, least in checked
        if given is not None and given < least * (1.0 - _ROUNDING)
    )


def en_record(name: str) -> Mapping[str, Any]:
    """Coefficients of one resistance, with source and mark."""
    record: Mapping[str, Any] = load_toml("strength/en1993_1_3/limits.toml")[name]
    return record


def _factor() -> float:
    return float(en_record("partial_factor")["value"])
