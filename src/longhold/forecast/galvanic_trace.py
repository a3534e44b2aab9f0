"""The calculation of a couple, written down: curves, reach, areas, potential, current, loss."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from longhold.base.marks import Mark, weakest
from longhold.base.trace import Trace
from longhold.metal.electrolyte import electrolyte_mark, oxygen_in_water
from longhold.metal.mixed_potential import free_potential_v
from longhold.metal.polarization import Curve, curve_mark, curve_rows, faraday_um_yr

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from longhold.forecast.beside import Beside
    from longhold.forecast.galvanic import Solved

__all__ = ["note_couple"]

_EXTRAPOLATED = (
    "Extrapolated: in wood no currents, slopes or oxygen supply of joined metals were found in print; "
    "the figures are our own, with a band of a factor of 3."
)


def note_couple(
    trace: Trace,
    metal: str,
    beside: Beside,
    solved: Solved,
    own_um: ArrayLike,
    wet_share: float,
    *,
    in_wood: bool,
) -> None:
    """Record the couple of the middle values, step by step, in a section of its own.

    Parameters
    ----------
    own_um : loss of the first year of the metal by itself [um]
    wet_share : share of the year in which the face is wet [-]
    """
    marks = weakest([curve_mark(metal), curve_mark(beside.metal), Mark.OWN])
    said = metal.replace("_", " ")
    with trace.section(f"More loss of {said} beside the {beside.words} ({beside.metal.replace('_', ' ')})"):
        _water(trace, solved, in_wood)
        for name, curve in ((metal, solved.own), (beside.metal, solved.other)):
            _curve(trace, name, curve, _one(solved.water.oxygen_limit_a_m2))
        _reach(trace, solved, in_wood)
        _state(trace, metal, solved, _one(own_um), wet_share, marks, in_wood)


def _water(trace: Trace, solved: Solved, in_wood: bool) -> None:
    water = solved.water
    h, limit = _one(water.height_m), _one(water.oxygen_limit_a_m2)
    diffusion, concentration = oxygen_in_water()
    names = ("wet_wood",) if in_wood else ("rain_film", "sea_film", "oxygen")
    trace.add(
        f"oxygen that {water.words} brings to bare metal, as a current",
        "L",
        "L = L_w" if in_wood else "L = 4 F D C / h",
        {}
        if in_wood
        else {
            "D": f"{1e6 * diffusion:.3g} mm2/s",
            "C": f"{concentration:.3g} mol/m3",
            "h": f"{1e6 * h:.3g} um",
        },
        limit,
        "A/m2",
        "own" if in_wood else "galvanic-textbook",
        electrolyte_mark(*names),
        _EXTRAPOLATED if in_wood else "Both metals are taken to stand as they do in sea water.",
    )


def _curve(trace: Trace, name: str, curve: Curve, limit: float) -> None:
    place = curve_rows()[name]["anodic_v"]
    said = name.replace("_", " ")
    trace.add(
        f"potential at which the line of {said} is placed, volts against calomel",
        "E_a",
        "",
        {},
        f"{place['value']:.4g} V",
        "",
        place["source"],
        place["mark"],
        place["meaning"],
    )
    given = {
        "E_a": f"{_one(curve.anodic_v):.4g} V",
        "i_a": f"{_one(curve.anodic_a_m2):.3g} A/m2",
        "b_a": f"{_one(curve.anodic_slope_v):.3g} V a decade",
        "i_p": f"{_one(curve.passive_a_m2):.3g} A/m2",
        "E_c": f"{_one(curve.cathodic_v):.3g} V",
        "b_c": f"{_one(curve.cathodic_slope_v):.3g} V a decade",
        "s": f"{_one(curve.oxygen_share):.3g}",
    }
    trace.add(
        f"{said} by itself: dissolves as fast as it takes up oxygen",
        "E_0",
        "i_p + i_a 10^((E_0 - E_a) / b_a) = 1 / (1 / (s L) + 100 / 10^((E_c - E_0) / b_c))",
        given,
        float(free_potential_v(curve, limit).flat[0]),
        "V",
        "own",
        curve_mark(name),
    )


def _reach(trace: Trace, solved: Solved, in_wood: bool) -> None:
    water, share = solved.water, _one(solved.other.oxygen_share)
    driving = _one(free_potential_v(solved.other, water.oxygen_limit_a_m2)) - _one(
        free_potential_v(solved.own, water.oxygen_limit_a_m2)
    )
    mark = electrolyte_mark("wet_wood") if in_wood else electrolyte_mark("rain_film", "sea_film", "oxygen")
    trace.add(
        "reach along the wet path; nobler metal farther off does not count",
        "w",
        "w = sqrt(2 k h dE / (s L))",
        {
            "k": f"{_one(water.conductivity_s_m):.3g} S/m",
            "h": f"{1e3 * _one(water.height_m):.3g} mm",
            "dE": f"{driving:.3g} V",
            "s": f"{share:.3g}",
            "L": f"{_one(water.oxygen_limit_a_m2):.3g} A/m2",
        },
        _one(solved.reach_mm),
        "mm",
        "own",
        mark,
    )
    trace.add(
        "nobler metal within reach over this metal within reach",
        "q",
        "q = A_c / A_a",
        {"A_c": f"{_one(solved.other_mm2):.3g} mm2", "A_a": f"{_one(solved.own_mm2):.3g} mm2"},
        _one(solved.other_mm2) / max(_one(solved.own_mm2), 1e-12),
        "-",
        "own",
        Mark.OWN,
    )


def _state(
    trace: Trace, metal: str, solved: Solved, own_um: float, wet: float, mark: Mark, in_wood: bool
) -> None:
    state = solved.state
    free, extra = _one(state.free_a_m2), _one(state.extra_a_m2)
    trace.add(
        "potential at which both meet: what leaves this metal enters the other",
        "E",
        "a_a(E) - c_a(E) = q (c_c(E) - a_c(E))",
        {},
        _one(state.anode_v),
        "V",
        "own",
        mark,
    )
    trace.add(
        "current from this metal",
        "i",
        "i = a_a(E) - c_a(E)",
        {},
        _one(state.current_a_m2),
        "A/m2",
        "own",
        mark,
    )
    trace.add(
        "dissolution that the couple adds",
        "i_x",
        "i_x = a_a(E) - i_0",
        {"i_0": f"{free:.3g} A/m2"},
        extra,
        "A/m2",
        "own",
        mark,
    )
    full = _one(faraday_um_yr(free, metal))
    active = own_um / (full * wet) if full * wet > 0.0 else 0.0
    trace.add(
        "share of its wet time in which the metal works at that rate, from its own loss",
        "u",
        "u = r / (k_F i_0 t_w)",
        {"r": f"{own_um:.4g} um/yr", "k_F i_0": f"{full:.4g} um/yr", "t_w": f"{wet:.2g} of the year"},
        active,
        "-",
        "own",
        Mark.OWN,
        "What is wet by the measure of the site or of the wood is not all at work: products block, salt "
        "comes and goes. The same share is taken for the couple, so that the wet time drops out.",
    )
    trace.add(
        "more loss in the first year",
        "r_x",
        "r_x = k_F i_x t_w u",
        {
            "k_F i_x": f"{_one(faraday_um_yr(extra, metal)):.4g} um/yr",
            "t_w": f"{wet:.2g}",
            "u": f"{active:.3g}",
        },
        own_um * _one(solved.growth),
        "um/yr",
        "own",
        mark,
        _EXTRAPOLATED if in_wood else "",
    )


def _one(values: ArrayLike) -> float:
    return float(np.asarray(values, float).flat[0])
