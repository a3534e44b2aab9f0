"""How a place acts on a bare face: open air, shelter from rain, indoors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import log, sqrt
from typing import Any, Literal, get_args

from longhold.air.categories import CATEGORIES, bounds_um
from longhold.air.metals import Metal, checked_metal, not_negative
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import Parser, Row, load_csv, load_toml, number
from longhold.model.surroundings import Estimate, Place

__all__ = [
    "FaceFactor",
    "FaceKind",
    "ShelterCaution",
    "face_factor",
    "indoor_first_year_loss",
    "shelter_cautions",
]

FaceKind = Literal["open", "sheltered", "sky_facing", "wall", "underside", "wind_sheltered_underside"]
_FACES = "air/own/faces.toml"
_WASHED, _SHELTERED = ("open", "sky_facing"), ("sheltered", "underside")


@dataclass(frozen=True)
class FaceFactor:
    """Factor on the first-year loss of open air for one face [-].

    Attributes
    ----------
    median, low, high : the factor and its range; never below 1
    words : why, in plain words
    source, mark : of the figures
    """

    median: float
    low: float
    high: float
    words: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class ShelterCaution:
    """What a standard or somebody's observation says of sheltered faces.

    Attributes
    ----------
    direction : worse, better or none: against open air, as the source tells it
    words : in our own words
    source, mark : of the statement
    """

    direction: str
    words: str
    source: str
    mark: Mark


def face_factor(place: Place, face_kind: FaceKind, distance_to_salt_m: float | None) -> FaceFactor:
    """How much worse than open air a face of a part fares in a place.

    Open to rain, or facing the sky: 1. Sheltered from rain or an underside within 1 km of salt water: 2 to
    3, since salt settles and is never rinsed (advice there: one category worse). A wall there: 1 to 2. An
    underside out of the wind too: 1 to 3, since less salt comes in and none leaves. Farther from salt
    water: 1, never less. The same for every metal. Published guidance stands behind the directions (see
    ``shelter_cautions``); the figures are our own.

    Parameters
    ----------
    place : outdoors, with ``air_face`` open or sheltered
    face_kind : open where rain can reach this face of the part, sheltered where the part or its joint
        keeps rain off; sky_facing, wall, underside (as of a deck) or wind_sheltered_underside say more; a
        place under cover shelters every face
    distance_to_salt_m : to the nearest salt water [m]; None keeps both cases in the range

    Raises
    ------
    InputError : for a place that is not in outdoor air, another face kind, a negative distance

    >>> from longhold.model.surroundings import places
    >>> under_cover = places()["under_cover"]
    >>> factor = face_factor(under_cover, "open", 300.0)
    >>> factor.low, factor.high
    (2.0, 3.0)
    """
    if face_kind not in get_args(FaceKind):
        raise InputError(Problem("face", face_kind, f"must be one of {', '.join(get_args(FaceKind))}."))
    if place.air_face not in ("open", "sheltered"):
        raise InputError(
            Problem("place", place.name, "is not in outdoor air.", "Take indoor_first_year_loss, or refer.")
        )
    row = _shelter()[_case(place, face_kind, distance_to_salt_m)]
    return FaceFactor(row["median"], row["low"], row["high"], row["words"], row["source"], row["mark"])


def shelter_cautions(face_kind: FaceKind) -> tuple[ShelterCaution, ...]:
    """What the standard and published observations say of a kind of face, each with its source.

    >>> [caution.direction for caution in shelter_cautions("wall")]
    ['none']
    """
    if face_kind not in get_args(FaceKind):
        raise InputError(Problem("face", face_kind, f"must be one of {', '.join(get_args(FaceKind))}."))
    groups = {
        "wall": {"wall"},
        "wind_sheltered_underside": {"sheltered", "wind_sheltered"},
        "sheltered": {"sheltered"},
        "underside": {"sheltered"},
    }.get(face_kind, set())
    return tuple(
        ShelterCaution(row["direction"], row["caution"], row["source"], row["mark"])
        for row in _cautions()
        if row["faces"] in groups
    )


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


def _case(place: Place, face_kind: FaceKind, distance_to_salt_m: float | None) -> str:
    """Row of the shelter table."""
    if distance_to_salt_m is None:
        salt = "salt_not_told"
    else:
        within = load_toml(_FACES)["near_salt"]["within_m"]
        distance = float(not_negative("distance_to_salt_water", distance_to_salt_m))
        salt = "near_salt" if distance <= within else "away_from_salt"
    if face_kind == "wind_sheltered_underside":
        return f"wind_sheltered_{salt}"
    if face_kind in _SHELTERED or place.air_face == "sheltered":
        return salt
    return "open" if face_kind in _WASHED else f"wall_{salt}"


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


@cache
def _shelter() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"case": str, "low": number, "median": number, "high": number, "words": str}
    return {row["case"]: row for row in load_csv("air/own/shelter.csv", columns, key=("case",))}


@cache
def _cautions() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"faces": str, "direction": str, "caution": str}
    return load_csv("air/shelter_cautions.csv", columns, key=("faces", "caution"))


@cache
def _indoor() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "humidity_above_pct": number,
        "temperature_above_c": number,
        "category": str,
        "words": str,
    }
    return load_csv("air/own/indoor.csv", columns, key=("humidity_above_pct", "temperature_above_c"))
