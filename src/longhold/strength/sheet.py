"""Sheet steel that has lost thickness (AISI S100, allowable stress design).

All formulas are homogeneous, so mm and MPa give N (and in and psi would give lb). Thickness is bare
steel: zinc carries nothing. Strengths are nominal; divide by ``omega`` for the allowable value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from longhold.base.recent import once
from longhold.base.tables import load_csv, load_toml, number
from longhold.strength.nds_data import FloatArray, Floats

__all__ = [
    "SheetMode",
    "SheetStrengthLeft",
    "bolt_bearing_n",
    "delivered_loss_limit_um",
    "edge_tear_out_n",
    "gross_yield_n",
    "limit_record",
    "net_section_n",
    "omega",
    "pull_out_n",
    "pull_over_n",
    "screw_shear_n",
    "sheet_strength_exponent",
    "sheet_strength_left",
    "sheet_strength_ratio",
    "thickness_left_mm",
    "unknown_sheet_modes",
]

SheetMode = Literal[
    "gross_yield",
    "net_section",
    "bearing",
    "pull_over",
    "pull_out",
    "edge_tear_out",
    "tilting",
    "seat_bending",
    "plate_buckling",
]

_NOTHING_MM = 1e-9


@dataclass(frozen=True)
class SheetStrengthLeft:
    """Strength left of a sheet part whose governing mode nobody knows, as a share of new.

    Attributes
    ----------
    expected : net section governs (t^1)
    cautious : tilting of the fasteners governs (t^1.5)
    lowest : bending of a seat governs (t^2)
    """

    expected: FloatArray
    cautious: FloatArray
    lowest: FloatArray


def thickness_left_mm(t0_mm: Floats, loss_side1_um: Floats, loss_side2_um: Floats = 0.0) -> FloatArray:
    """Thickness of bare steel left after loss from both faces, never below zero [mm].

    Parameters
    ----------
    t0_mm : thickness of bare steel as new, without zinc [mm]
    loss_side1_um, loss_side2_um : steel lost from each face [um], mean loss; perforation needs pit depth

    >>> float(thickness_left_mm(1.44, 60.0, 40.0))
    1.34
    """
    left = np.asarray(t0_mm, dtype=np.float64) - (np.asarray(loss_side1_um) + loss_side2_um) / 1000.0
    return np.maximum(left, 0.0)


def sheet_strength_ratio(t0_mm: Floats, loss_um_total: Floats, mode: SheetMode = "net_section") -> FloatArray:
    """Strength left of a sheet part as a share of new: (t / t0)^n for the governing mode [-].

    n is 1 for tension, net section, bearing, pull-over and pull-out, 1.5 for tilting, 2 for bending of a
    seat, 3 for buckling. Bolts have no single n, since their coefficient falls as d/t rises (local n from
    1 to 2.2): compare ``bolt_bearing_n`` before and after.

    Parameters
    ----------
    t0_mm : thickness of bare steel as new [mm]
    loss_um_total : steel lost from both faces together [um]
    mode : what governs; if nobody knows, use ``sheet_strength_left``

    Source: own (derived from the formulas of this module).

    >>> float(sheet_strength_ratio(1.44, 144.0)), float(sheet_strength_ratio(1.44, 144.0, "seat_bending"))
    (0.9, 0.81)
    """
    share = thickness_left_mm(t0_mm, loss_um_total) / np.asarray(t0_mm, dtype=np.float64)
    whole, half = divmod(_exponents()[mode], 2)
    power = np.sqrt(share) if half else np.ones_like(share)
    for _ in range(whole):
        power = power * share
    return np.asarray(power)


def sheet_strength_exponent(mode: SheetMode) -> float:
    """The power n of thickness by which a mode falls [-], from ``strength/section_loss/exponents.csv``.

    >>> sheet_strength_exponent("tilting")
    1.5
    """
    return _exponents()[mode] / 2.0


def unknown_sheet_modes() -> tuple[SheetMode, ...]:
    """The modes between which a connector of unknown mode is drawn: expected, cautious, lowest.

    >>> unknown_sheet_modes()
    ('net_section', 'tilting', 'seat_bending')
    """
    modes = load_toml("strength/section_loss/unknown_mode.toml")
    return tuple(modes[level]["mode"] for level in ("expected", "cautious", "lowest"))


def sheet_strength_left(t0_mm: Floats, loss_um_total: Floats) -> SheetStrengthLeft:
    """Strength left of a connector whose governing mode is not known, with its cautious bounds.

    A folded connector may fail in its net section, where the fasteners tilt in the sheet, or where its
    seat bends; which of these governs is in the maker's tests, not in its shape. The expected share is
    the net section's; the others bound it from below. Elastic buckling (t^3) is worse still, but a
    connector that buckles first would not have been rated by its tension. Source: own.

    >>> left = sheet_strength_left(1.44, 144.0)
    >>> float(left.expected), float(left.cautious), float(left.lowest)
    (0.9, 0.853, 0.81)
    """
    return SheetStrengthLeft(
        *(sheet_strength_ratio(t0_mm, loss_um_total, mode) for mode in unknown_sheet_modes())
    )


def delivered_loss_limit_um(t0_mm: Floats) -> FloatArray:
    """Total loss that brings a sheet of design thickness below the least delivered one [um].

    Bare steel must be delivered with at least 95 % of its design thickness, so a part that has lost
    more than 5 % would have been rejected when new: a limit for inspection, not for strength.
    Source: aisi-s100 (memory) for 95 %, own for its use.

    >>> float(delivered_loss_limit_um(1.44))
    72.0
    """
    return np.asarray((1.0 - limit_record("delivery")["least_share"]) * np.asarray(t0_mm) * 1000.0)


def gross_yield_n(gross_area_mm2: Floats, fy_mpa: Floats) -> FloatArray:
    """Yielding of the gross section in tension, Ag Fy [N]."""
    return np.asarray(gross_area_mm2, dtype=np.float64) * fy_mpa


def net_section_n(net_area_mm2: Floats, fu_mpa: Floats) -> FloatArray:
    """Rupture of the net section in tension, An Fu, without shear lag [N]."""
    return np.asarray(net_area_mm2, dtype=np.float64) * fu_mpa


def screw_shear_n(
    t1_mm: Floats, t2_mm: Floats, diameter_mm: float, fu1_mpa: float, fu2_mpa: float
) -> FloatArray:
    """Shear of a screw through two sheets: tilting and bearing (AISI S100) [N].

    t2/t1 <= 1: least of 4.2 sqrt(t2^3 d) Fu2, 2.7 t1 d Fu1, 2.7 t2 d Fu2; t2/t1 >= 2.5: the two
    bearing terms; between them a straight line.

    Parameters
    ----------
    t1_mm, t2_mm : sheet under the head, and the other [mm]
    diameter_mm : nominal diameter of the screw [mm], 2 to 6.4
    fu1_mpa, fu2_mpa : tensile strengths [MPa]

    Source: aisi-s100 (memory); reproduces four recalled table values.

    >>> float(screw_shear_n(1.0, 1.0, 4.8, 360.0, 360.0))
    3312.6
    """
    record = limit_record("screw_shear")
    t1, t2 = np.asarray(t1_mm, dtype=np.float64), np.asarray(t2_mm, dtype=np.float64)
    tilting = record["tilting"] * np.sqrt(t2 * t2 * t2 * diameter_mm) * fu2_mpa
    bearing = record["bearing"] * diameter_mm * np.minimum(t1 * fu1_mpa, t2 * fu2_mpa)
    low, high = record["tilting_to_ratio"], record["no_tilting_from_ratio"]
    ratio = t2 / np.maximum(t1, _NOTHING_MM)
    share = np.clip((ratio - low) / (high - low), 0.0, 1.0)
    return np.asarray((1.0 - share) * np.minimum(tilting, bearing) + share * bearing)


def pull_out_n(depth_mm: Floats, diameter_mm: float, fu2_mpa: float) -> FloatArray:
    """Pull-out of a screw from the sheet that holds its thread, 0.85 tc d Fu2 [N].

    ``depth_mm`` is the lesser of thread depth and sheet thickness. A review of 335 tests found that this
    needs a further factor (not applied here). Source: aisi-s100 (memory); reproduces three recalled values.

    >>> float(pull_out_n(1.0, 4.8, 360.0))
    1468.8
    """
    coefficient = float(limit_record("pull_out")["coefficient"])
    return coefficient * np.asarray(depth_mm, dtype=np.float64) * diameter_mm * fu2_mpa


def pull_over_n(t1_mm: Floats, washer_mm: Floats, fu1_mpa: float) -> FloatArray:
    """Sheet pulled over a head or washer, 1.5 t1 dw Fu1, dw counted up to 3/4 in [N].

    Source: aisi-s100 (memory).

    >>> float(pull_over_n(1.0, 10.0, 360.0))
    5400.0
    """
    record = limit_record("pull_over")
    per_mpa = record["coefficient"] * np.minimum(washer_mm, record["widest_washer_mm"])
    return np.asarray(per_mpa * np.asarray(t1_mm, dtype=np.float64) * fu1_mpa)


def bolt_bearing_n(t_mm: Floats, diameter_mm: float, fu_mpa: float, *, washers: bool = True) -> FloatArray:
    """Bearing of a bolt in thin sheet, C mf d t Fu [N].

    C = 3 below d/t = 10, 4 - 0.1 d/t up to 22, 1.8 above; mf 1 with washers under head and nut, else 0.75.
    Thinning raises d/t, so C can fall as well. Source: aisi-s100 (memory).

    >>> float(bolt_bearing_n(1.0, 12.0, 360.0))
    12096.0
    """
    record = limit_record("bolt_bearing")
    t = np.asarray(t_mm, dtype=np.float64)
    slenderness = diameter_mm / np.maximum(t, _NOTHING_MM)
    middle = record["intercept"] - record["slope"] * slenderness
    c = np.where(slenderness < record["thick_below"], record["thick"], np.maximum(middle, record["thin"]))
    mf = record["with_washers"] if washers else record["without_washers"]
    return np.asarray(c * mf * diameter_mm * t * fu_mpa)


def edge_tear_out_n(t_mm: Floats, clear_edge_mm: Floats, fu_mpa: float) -> FloatArray:
    """Tear-out to the edge along two planes, 0.6 Fu t e 2 [N].

    ``clear_edge_mm`` is the clear distance from hole to edge along the load. Source: aisi-s100 (memory).

    >>> float(edge_tear_out_n(1.0, 10.0, 360.0))
    4320.0
    """
    record = limit_record("edge_tear_out")
    return np.asarray(
        record["coefficient"] * record["paths"] * fu_mpa * np.asarray(t_mm, dtype=np.float64) * clear_edge_mm
    )


def omega(limit_state: str) -> float:
    """Safety factor that turns a nominal strength into an allowable one (ASD) [-].

    >>> omega("screw_shear")
    3.0
    """
    return float(limit_record(limit_state)["omega"])


def limit_record(name: str) -> Mapping[str, Any]:
    """Coefficients of one limit state, with source and mark."""
    record: Mapping[str, Any] = load_toml("strength/aisi_s100_2016/limits.toml")[name]
    return record


def _halves(text: str) -> int:
    # Counted in halves, so that a power is products and one root: the same digits for a scalar and an array.
    halves = 2.0 * number(text)
    if halves != int(halves) or halves < 0:
        raise ValueError("must be a multiple of one half")
    return int(halves)


@once
def _exponents() -> Mapping[str, int]:
    columns: dict[str, Callable[[str], Any]] = {"mode": str, "exponent": _halves, "note": str}
    rows = load_csv("strength/section_loss/exponents.csv", columns, key=("mode",))
    return {row["mode"]: row["exponent"] for row in rows}
