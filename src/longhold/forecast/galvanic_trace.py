"""The calculation of a couple, written down: curves, reach, areas, potential, current, loss."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from longhold.base.marks import Mark, weakest
from longhold.base.trace import Trace
from longhold.metal.electrolyte import electrolyte_mark, oxygen_in_water
from longhold.metal.polarization import Curve, curve_mark, curve_rows, faraday_um_yr

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from longhold.forecast.beside import Beside
    from longhold.forecast.galvanic import ExtraLoss, Solved
    from longhold.metal.laws import TimeLaw

__all__ = ["note_couple", "note_later", "note_several"]

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
    said, other = (one.replace("_", " ") for one in (metal, beside.metal))
    when = ", once its zinc is gone" if beside.later else ""
    with trace.section(f"More loss of {said} beside the {beside.words} ({other}{when})"):
        _water(trace, solved, in_wood)
        met = solved.met
        for name, curve, free_v in ((metal, met.own, met.own_v), (beside.metal, met.other, met.other_v)):
            _curve(trace, name, curve, _one(free_v))
        _reach(trace, solved, in_wood)
        _state(trace, metal, solved, _one(own_um), wet_share, marks, in_wood)
        if np.any(solved.spots_mm2):
            _spots(trace, solved, _one(own_um), marks)


def note_several(trace: Trace, metal: str, own_um: ArrayLike, growths: Sequence[ArrayLike]) -> None:
    """Record what several neighbors add together; nothing for one or none.

    Parameters
    ----------
    own_um : loss of the first year of the metal by itself [um]
    growths : what each adds over that [-]
    """
    if len(growths) < 2:
        return
    trace.add(
        f"more loss of {metal.replace('_', ' ')} beside all of them together, in the first year",
        "r_X",
        "r_X = sum of r_x",
        {},
        _one(own_um) * sum(_one(one) for one in growths),
        "um/yr",
        "own",
        Mark.OWN,
        "Nobler areas in reach add where oxygen limits; joined to all at once it loses that, or less.",
    )


def note_later(
    trace: Trace, metal: str, extras: Sequence[ExtraLoss], before: TimeLaw, after: TimeLaw
) -> None:
    """Record what neighbors add from the age on at which their own zinc is gone; nothing where none does.

    Parameters
    ----------
    before, after : laws of the metal without and with it
    """
    later = [one.beside for one in extras if one.beside.later]
    growths = [one.later_growth for one in extras if one.beside.later]
    if not later:
        return
    ages = {f"t_{i}": f"{_one(one.from_years):.3g} years, the {one.words}" for i, one in enumerate(later, 1)}
    trace.add(
        f"factor on the loss of {metal.replace('_', ' ')} for neighbors whose zinc goes first",
        "k_l",
        "k_l = h / D, where D + sum of g (D - D(t)) = h",
        {
            **ages,
            **{f"g_{i}": f"{_one(one):.3g}" for i, one in enumerate(growths, 1)},
        },
        _one(after.first_year_um) / max(_one(before.first_year_um), 1e-300),
        "-",
        "own",
        Mark.OWN,
        "g is what is added from those ages on, spread back over the whole: the layer ends as early, and as "
        "much metal is lost by the last age, as it would be. Ages are middles of the draws.",
    )


def _water(trace: Trace, solved: Solved, in_wood: bool) -> None:
    water = solved.met.water
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


def _curve(trace: Trace, name: str, curve: Curve, free_v: float) -> None:
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
        free_v,
        "V",
        "own",
        curve_mark(name),
    )


def _reach(trace: Trace, solved: Solved, in_wood: bool) -> None:
    met = solved.met
    water, driving = met.water, _one(met.other_v) - _one(met.own_v)
    mark = electrolyte_mark("wet_wood") if in_wood else electrolyte_mark("rain_film", "sea_film", "oxygen")
    trace.add(
        "reach along the wet path; nobler metal farther off does not count",
        "w",
        "w = sqrt(2 k h dE / L)",
        {
            "k": f"{_one(water.conductivity_s_m):.3g} S/m",
            "h": f"{1e3 * _one(water.height_m):.3g} mm",
            "dE": f"{driving:.3g} V",
            "L": f"{_one(water.oxygen_limit_a_m2):.3g} A/m2",
        },
        _one(met.reach_mm),
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


def _spots(trace: Trace, solved: Solved, own_um: float, mark: Mark) -> None:
    spots = _one(solved.spots_mm2)
    trace.add(
        "more loss while the neighbor has its zinc, by its steel bare at the hole or in spots",
        "r_b",
        "r_b = r i_b / i_0, with q_b = A_b / (A_a + A_c - A_b) in place of q",
        {"r": f"{own_um:.4g} um/yr", "A_b": f"{spots:.3g} mm2"},
        own_um * _one(solved.growth_by_spots),
        "um/yr",
        "own",
        mark,
        "The zinc of both parts feeds that steel. The rim of the hole counts in air and in timber; in the "
        "air by the share of the reach that is left past the head.",
    )


def _one(values: ArrayLike) -> float:
    return float(np.asarray(values, float).flat[0])
