"""Chloride in the air from the distance to salt water: one fitted law with its wide band."""

from __future__ import annotations

from math import exp, log
from typing import Any, Literal, get_args

from longhold.air.metals import not_negative
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Estimate

__all__ = ["Shore", "chloride_from_distance", "shore_factor"]

Shore = Literal["surf", "sheltered", "not_told"]
_TABLE = "air/own/salt.toml"


def chloride_from_distance(
    distance_m: float, shore: Shore = "not_told", trace: Trace | None = None
) -> Estimate:
    """Yearly mean chloride deposition [mg/(m2 d)] at a distance from salt water, with its band.

    ln Cl = 3.348 - 0.3526 ln(km), standard deviation 0.92: least squares over 132 published stations.
    Distance alone leaves a factor of 2.5 either way at one standard deviation; a measured value is
    far better. Nearer than 10 m and farther than 900 km the value at that end is held; within 30 m the
    few stations stand above the line, which ``how`` says. ``shore`` moves
    the median by a factor of our own and is off unless told; the band is not narrowed for it.

    Parameters
    ----------
    distance_m : to the nearest salt water [m], not negative
    shore : surf, sheltered (bay, estuary, behind land) or not_told
    trace : records the step

    Source open-chloride-stations, mark own (the fit).

    Raises
    ------
    InputError : for a negative distance or another shore

    >>> round(chloride_from_distance(100.0).median), round(chloride_from_distance(10_000.0).median)
    (64, 13)
    """
    asked_m = float(not_negative("distance_to_salt_water", distance_m))
    table = load_toml(_TABLE)
    law, ends = table["law"], table["ends"]
    held_m = min(max(asked_m, ends["nearest_m"]), ends["farthest_m"])
    factor = shore_factor(held_m, shore)
    median = exp(law["ln_at_1_km"] + law["per_ln_km"] * log(held_m / 1000.0)) * factor
    how = _words(asked_m, held_m, shore, factor)
    note(
        trace,
        "chloride deposition",
        "Cl",
        "ln Cl = a + n ln(x / 1 km) + ln(s)",
        {
            "a": f"{law['ln_at_1_km']:g}",
            "n": f"{law['per_ln_km']:g}",
            "x": f"{held_m / 1000.0:.4g} km",
            "s": f"{factor:.4g}",
        },
        median,
        "mg/(m2 d)",
        law["source"],
        Mark(law["mark"]),
        f"{how}; standard deviation of ln {law['sd_ln']:g}",
    )
    return Estimate(median, law["sd_ln"], how, law["source"], Mark(law["mark"]))


def shore_factor(distance_m: float, shore: Shore) -> float:
    """Factor on chloride for the kind of shore [-]: full within 1 km, fading with ln(distance) to 1 at 10 km.

    >>> shore_factor(50.0, "surf"), shore_factor(50.0, "not_told"), shore_factor(20_000.0, "surf")
    (2.0, 1.0, 1.0)
    """
    if shore not in get_args(Shore):
        raise InputError(Problem("shore", shore, f"must be one of {', '.join(get_args(Shore))}."))
    if shore == "not_told":
        return 1.0
    table: dict[str, Any] = load_toml(_TABLE)["shore"]
    full, none = table["full_within_m"], table["none_beyond_m"]
    weight = log(none / min(max(distance_m, full), none)) / log(none / full)
    return float(table[f"{shore}_factor"] ** weight)


def _words(asked_m: float, held_m: float, shore: Shore, factor: float) -> str:
    parts = [f"estimated from {_metres(asked_m)} to salt water"]
    near = load_toml(_TABLE)["near"]
    if asked_m < near["within_m"]:
        parts.append(f"where a few stations stand {near['times_above_line']:g} times above the line")
    if held_m > asked_m:
        parts.append(f"held at the value for {_metres(held_m)}; spray can bring far more")
    elif held_m < asked_m:
        parts.append(f"held at the value for {_metres(held_m)}")
    if factor != 1.0:
        parts.append(
            f"times {factor:.2g} for a {'surf' if shore == 'surf' else 'sheltered'} shore, our own factor"
        )
    elif shore == "not_told" and asked_m < load_toml(_TABLE)["shore"]["none_beyond_m"]:
        parts.append("kind of shore not told")
    return ", ".join(parts)


def _metres(distance_m: float) -> str:
    if distance_m < 1000.0:
        return f"{distance_m:.3g} m"
    km = distance_m / 1000.0
    return f"{km:.3g} km" if km < 1000.0 else f"{km:,.0f} km"
