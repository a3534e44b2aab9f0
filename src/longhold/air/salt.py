"""Chloride in the air from the distance to salt water: fitted laws, each with its wide band."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, hypot, log
from typing import Any, Literal, get_args

from longhold.air.metals import not_negative
from longhold.base.distances import distance_words
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Estimate

__all__ = ["Shore", "chloride_from_distance", "onshore_factor", "shore_factor"]

Shore = Literal["surf", "sheltered", "not_told"]
_TABLE = "air/own/salt.toml"


@dataclass(frozen=True)
class _Asked:
    """What is known of the site, and what the law is given in its stead."""

    asked_m: float
    held_m: float
    index: float | None
    held_index: float | None
    shore: Shore
    shore_factor: float
    onshore_factor: float


def chloride_from_distance(
    distance_m: float,
    shore: Shore = "not_told",
    trace: Trace | None = None,
    *,
    sea_salt_value: float | None = None,
    onshore_share: float | None = None,
) -> Estimate:
    """Yearly mean chloride deposition [mg/(m2 d)] at a distance from salt water, with its band.

    ln Cl = 3.348 - 0.3526 ln(km), standard deviation 0.97: least squares over 132 published stations, the
    spread that of campaigns left out of the fit. With a sea-salt field of the air over the site,
    ln Cl = 3.313 - 0.3006 ln(km) + ln(field / 30), standard deviation 0.82. Either way a factor of 2.3 to
    2.6 at one standard deviation: a measured value is far better. Wind speed, height and roughness were
    tried and did not help. Nearer than 10 m and farther than 900 km the value at that end is held; within
    30 m the few stations stand above the line, which ``how`` says. Kind of shore and onshore wind move the
    median by factors of our own, are off unless told, and widen the band by as much as they move it.

    Parameters
    ----------
    distance_m : to the nearest salt water [m], not negative
    shore : surf, sheltered (bay, estuary, behind land) or not_told
    trace : records the step
    sea_salt_value : yearly mean sea salt in near-surface air of a public reanalysis, as in the station
        tables (their unit is not certain), more than 0; None where not known. Held at 7.7 to 77
    onshore_share : share of hours with wind from the water, 0 to 1; None where not known

    Source open-chloride-stations, mark own (the fits).

    Raises
    ------
    InputError : for a negative distance, another shore, an impossible index or share

    >>> round(chloride_from_distance(100.0).median), round(chloride_from_distance(10_000.0).median)
    (64, 13)
    >>> round(chloride_from_distance(100.0, sea_salt_value=15.0).median)
    27
    """
    table = load_toml(_TABLE)
    asked = _asked(distance_m, shore, sea_salt_value, onshore_share)
    law: Mapping[str, Any] = table["law" if asked.held_index is None else "law_with_salt_field"]
    factor = asked.shore_factor * asked.onshore_factor
    field = 1.0 if asked.held_index is None else asked.held_index / law["pivot"]
    median = exp(law["ln_at_1_km"] + law["per_ln_km"] * log(asked.held_m / 1000.0)) * field * factor
    sd_ln = hypot(law["sd_ln"], log(asked.shore_factor), log(asked.onshore_factor))
    how = _words(asked, law)
    _record(trace, law, asked, factor, median, f"{how}; standard deviation of ln {sd_ln:.3g}")
    return Estimate(median, sd_ln, how, law["source"], Mark(law["mark"]))


def shore_factor(distance_m: float, shore: Shore) -> float:
    """Factor on chloride for the kind of shore [-]: full within 1 km, fading with ln(distance) to 1 at 10 km.

    Our own. Tried at nine sites with coordinates and chloride: it brings the two that the law was fitted to
    nearer, and takes the seven others farther off.

    >>> shore_factor(50.0, "surf"), shore_factor(50.0, "not_told"), shore_factor(20_000.0, "surf")
    (2.0, 1.0, 1.0)
    """
    if shore not in get_args(Shore):
        raise InputError(Problem("shore", shore, f"must be one of {', '.join(get_args(Shore))}."))
    if shore == "not_told":
        return 1.0
    table: dict[str, Any] = load_toml(_TABLE)["shore"]
    return float(table[f"{shore}_factor"] ** _near_weight(distance_m))


def onshore_factor(distance_m: float, onshore_share: float | None) -> float:
    """Factor on chloride for the share of hours with wind from the water [-], fading like the shore's.

    In proportion to the share, 1 at one half, held between 0.5 and 2. Our own and not tried: no station in
    reach tells its wind by direction.

    Raises
    ------
    InputError : for a share outside 0 to 1

    >>> onshore_factor(50.0, 0.75), onshore_factor(50.0, None), onshore_factor(50.0, 0.1)
    (1.5, 1.0, 0.5)
    """
    if onshore_share is None:
        return 1.0
    if not 0.0 <= onshore_share <= 1.0:
        raise InputError(Problem("onshore_share", onshore_share, "must lie between 0 and 1."))
    table = load_toml(_TABLE)["onshore"]
    full = min(max(onshore_share / table["even_share"], table["least_factor"]), table["most_factor"])
    return float(full ** _near_weight(distance_m))


def _near_weight(distance_m: float) -> float:
    """1 near the shore, falling with ln(distance) to 0."""
    table = load_toml(_TABLE)["shore"]
    full, none = table["full_within_m"], table["none_beyond_m"]
    return log(none / min(max(distance_m, full), none)) / log(none / full)


def _asked(distance_m: float, shore: Shore, index: float | None, onshore_share: float | None) -> _Asked:
    table = load_toml(_TABLE)
    asked_m = float(not_negative("distance_to_salt_water", distance_m))
    held_m = min(max(asked_m, table["ends"]["nearest_m"]), table["ends"]["farthest_m"])
    held_index = None
    if index is not None:
        if not 0.0 < index < float("inf"):
            raise InputError(Problem("sea_salt_value", index, "must be more than zero."))
        law = table["law_with_salt_field"]
        held_index = min(max(index, law["least_index"]), law["most_index"])
    return _Asked(
        asked_m,
        held_m,
        index,
        held_index,
        shore,
        shore_factor(held_m, shore),
        onshore_factor(held_m, onshore_share),
    )


def _record(
    trace: Trace | None, law: Mapping[str, Any], asked: _Asked, factor: float, median: float, words: str
) -> None:
    equation = "ln Cl = a + n ln(x / 1 km) + ln(s)"
    inputs = {
        "a": f"{law['ln_at_1_km']:g}",
        "n": f"{law['per_ln_km']:g}",
        "x": f"{asked.held_m / 1000.0:.4g} km",
        "s": f"{factor:.4g}",
    }
    if asked.held_index is not None:
        equation = "ln Cl = a + n ln(x / 1 km) + ln(m / m0) + ln(s)"
        inputs |= {"m": f"{asked.held_index:.4g}", "m0": f"{law['pivot']:g}"}
    source, mark = law["source"], Mark(law["mark"])
    note(trace, "chloride deposition", "Cl", equation, inputs, median, "mg/(m2 d)", source, mark, words)


def _words(asked: _Asked, law: Mapping[str, Any]) -> str:
    table = load_toml(_TABLE)
    parts = [f"estimated from {distance_words(asked.asked_m)} to salt water"]
    if asked.held_index is not None:
        parts[0] += " and the sea salt in the air over the site"
        if asked.held_index != asked.index:
            parts.append(f"the sea-salt field held at {asked.held_index:g}, the end of the stations")
    if asked.asked_m < table["near"]["within_m"]:
        parts.append(f"where a few stations stand {law['near_times_above']:g} times above the line")
    if asked.held_m > asked.asked_m:
        parts.append(f"held at the value for {distance_words(asked.held_m)}; spray can bring far more")
    elif asked.held_m < asked.asked_m:
        parts.append(f"held at the value for {distance_words(asked.held_m)}")
    if asked.shore_factor != 1.0:
        kind = "surf" if asked.shore == "surf" else "sheltered"
        parts.append(f"times {asked.shore_factor:.2g} for a {kind} shore, our own factor")
    elif asked.shore == "not_told" and asked.asked_m < table["shore"]["none_beyond_m"]:
        parts.append("kind of shore not stated")
    if asked.onshore_factor != 1.0:
        parts.append(f"times {asked.onshore_factor:.2g} for the share of onshore wind, our own factor")
    return ", ".join(parts)
