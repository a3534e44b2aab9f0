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

__all__ = ["FaceFactor", "FaceKind", "face_factor", "indoor_first_year_loss"]

FaceKind = Literal["open", "sheltered"]
_FACES = "air/own/faces.toml"


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


def face_factor(place: Place, face_kind: FaceKind, distance_to_salt_m: float | None) -> FaceFactor:
    """How much worse than open air a face of a part fares in a place.

    Open to rain: 1. Sheltered from rain within 1 km of salt water: 2 to 3, since salt settles and is
    never rinsed (advice there: one category worse). Sheltered elsewhere: 1, never less. The same for
    every metal. Two sheltered cases of published guidance stand behind the direction; the figures are
    our own.

    Parameters
    ----------
    place : outdoors, with ``air_face`` open or sheltered
    face_kind : open where rain can reach this face of the part, sheltered where the part or its joint
        keeps rain off; a place under cover shelters every face
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
    if place.air_face not in get_args(FaceKind):
        raise InputError(
            Problem("place", place.name, "is not in outdoor air.", "Take indoor_first_year_loss, or refer.")
        )
    sheltered = "sheltered" in (place.air_face, face_kind)
    row = _shelter()[_shelter_case(distance_to_salt_m) if sheltered else "open"]
    return FaceFactor(row["median"], row["low"], row["high"], row["words"], row["source"], row["mark"])


def indoor_first_year_loss(metal: str, place: Place) -> Estimate:
    """First-year loss indoors [um]: the law for open air does not hold there, so a category stands for it.

    Dry inside is taken as C1 and damp inside as C2: a lognormal with the bounds of the category as 5th
    and 95th percentile. Where the standard gives no bound above zero, a tenth of the next bound up
    stands in. Source own.

    Raises
    ------
    InputError : for a place that is not indoors, or another metal

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
    wanted = rules[place.air_face]
    low, high = _positive_bounds(name, wanted, rules)
    how = (
        f"{place.words}: taken as category {wanted} of ISO 9223, "
        f"{low:.2g} to {high:.2g} um in the first year as a 90 % range"
    )
    sd_ln = log(high / low) / (2.0 * rules["bound_z"])
    return Estimate(sqrt(low * high), sd_ln, how, rules["source"], Mark(rules["mark"]))


def _shelter_case(distance_to_salt_m: float | None) -> str:
    if distance_to_salt_m is None:
        return "salt_not_told"
    within = load_toml(_FACES)["near_salt"]["within_m"]
    distance = float(not_negative("distance_to_salt_water", distance_to_salt_m))
    return "near_salt" if distance <= within else "away_from_salt"


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
