"""Loss in the air of rooms, where the law for open air does not hold."""

from __future__ import annotations

from collections.abc import Mapping
from math import log, sqrt
from typing import Any

from longhold.air.categories import CATEGORIES, bounds_um
from longhold.air.metals import Metal, checked_metal
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, number
from longhold.model.surroundings import Estimate, Place

__all__ = ["indoor_first_year_loss"]

_FACES = "air/own/faces.toml"


def indoor_first_year_loss(
    metal: str,
    place: Place,
    *,
    relative_humidity_pct: float | None = None,
    temperature_c: float | None = None,
) -> Estimate:
    """First-year loss indoors [um]: the law for open air does not hold there, so a category stands for it.

    Dry inside is taken as C1 and damp inside as C2: a lognormal with the bounds of the category as 5th
    and 95th percentile. Where the standard gives no bound above zero, a tenth of the next bound up
    stands in. With the indoor air's yearly mean humidity the category comes from it instead: up to 60 % C1,
    to 80 % C2, above C3; one lower where it is frozen; above 95 % the air condenses all the time and no
    category stands for it. Source own.

    Parameters
    ----------
    metal : carbon_steel, zinc, copper or aluminium
    place : dry_inside or damp_inside
    relative_humidity_pct : yearly mean of the indoor air [%]; None takes the place's own category
    temperature_c : its yearly mean [deg C]; None is taken as above freezing

    Raises
    ------
    InputError : for a place that is not indoors, another metal, a humidity above 95 % or impossible

    >>> from longhold.model.surroundings import places
    >>> loss = indoor_first_year_loss("zinc", places()["damp_inside"])
    >>> round(loss.median, 3), round(loss.sd_ln, 2)
    (0.265, 0.59)
    """
    name = checked_metal(metal)
    rules = load_toml(_FACES)["indoor"]
    if place.air_face not in ("inside_dry", "inside_damp"):
        raise InputError(
            Problem("place", place.name, "is not indoors in air.", "Take face_factor outdoors, or refer.")
        )
    wanted, told = rules[place.air_face], place.words
    if relative_humidity_pct is not None:
        row = _indoor_row(relative_humidity_pct, rules["wettest_pct"], temperature_c)
        wanted, told = (
            row["category"],
            f"{place.words}, {row['words']} at {relative_humidity_pct:g} % humidity",
        )
    low, high = _positive_bounds(name, wanted, rules)
    how = (
        f"{told}: taken as category {wanted} of ISO 9223, "
        f"{low:.2g} to {high:.2g} um in the first year as a 90 % range"
    )
    sd_ln = log(high / low) / (2.0 * rules["bound_z"])
    return Estimate(sqrt(low * high), sd_ln, how, rules["source"], Mark(rules["mark"]))


def _indoor_row(humidity_pct: float, wettest_pct: float, temperature_c: float | None) -> Row:
    where = "relative_humidity_pct"
    if not 0.0 <= humidity_pct <= 100.0:
        raise InputError(Problem(where, humidity_pct, "must lie between 0 and 100 %."))
    if humidity_pct > wettest_pct:
        raise InputError(
            Problem(
                where,
                humidity_pct,
                f"is air that condenses most of the time; above {wettest_pct:g} % no category is stated.",
                "Measure, or treat the place as one that is always wet.",
            )
        )
    warm_c = 1.0 if temperature_c is None else temperature_c
    fitting = [
        row
        for row in _indoor()
        if row["humidity_above_pct"] <= max(humidity_pct - 1e-9, 0.0) and row["temperature_above_c"] < warm_c
    ]
    return fitting[-1]


def _positive_bounds(metal: Metal, wanted: str, rules: Mapping[str, Any]) -> tuple[float, float]:
    uppers = [bounds_um(metal)[name][1] for name in CATEGORIES]
    for index in range(len(uppers) - 1, -1, -1):
        if uppers[index] == 0.0:
            uppers[index] = uppers[index + 1] * rules["share_of_next_bound"]
    place = CATEGORIES.index(wanted)
    low = uppers[place - 1] if place else uppers[0] * rules["share_of_next_bound"]
    return low, uppers[place]


@once
def _indoor() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "humidity_above_pct": number,
        "temperature_above_c": number,
        "category": str,
        "words": str,
    }
    return load_csv("air/own/indoor.csv", columns, key=("humidity_above_pct", "temperature_above_c"))
