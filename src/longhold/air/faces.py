"""How the way a face lies changes what outdoor air does to it: washed, upright, sheltered, facing down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log, prod
from typing import get_args

from longhold.air.metals import not_negative
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, number
from longhold.model.facing import FaceKind
from longhold.model.surroundings import Place

__all__ = [
    "FaceFactor",
    "ShelterCaution",
    "face_factor",
    "salt_share",
    "shelter_cautions",
    "span_factor",
]

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


def salt_share(distance_to_salt_m: float) -> float:
    """Share of what shelter adds beside salt water that is left at a distance [-].

    1 up to 500 m and 0 from 2 km on; between them it falls evenly with ln(distance), so that half is left
    at 1 km. Source own (docs/decisions/shelter-of-faces.md).

    Parameters
    ----------
    distance_to_salt_m : to the nearest salt water [m], at least 0

    Raises
    ------
    InputError : for a negative distance

    >>> [round(salt_share(distance), 2) for distance in (0.0, 500.0, 1000.0, 1500.0, 2000.0)]
    [1.0, 1.0, 0.5, 0.21, 0.0]
    """
    distance = float(not_negative("distance_to_salt_water", distance_to_salt_m))
    rules = load_toml(_FACES)["near_salt"]
    whole, none = rules["whole_to_m"], rules["none_from_m"]
    if distance <= whole:
        return 1.0
    return max(0.0, log(none / distance) / log(none / whole))


def face_factor(place: Place, face_kind: FaceKind, distance_to_salt_m: float | None) -> FaceFactor:
    """How much worse than open air a face of a part fares in a place.

    Open to rain, or facing the sky: 1. Sheltered from rain or an underside beside salt water: 2 to 3, since
    salt settles and is never rinsed (advice there: one category worse). A wall there: 1 to 2. An underside
    out of the wind too: 1 to 3, since less salt comes in and none leaves. What it adds to 1 fades with the
    distance to salt water (``salt_share``) to nothing at 2 km. Never below 1. The same for every metal.
    Published guidance stands behind the directions (see ``shelter_cautions``); the figures are our own.

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
    >>> near, far = (face_factor(under_cover, "open", meters) for meters in (300.0, 1000.0))
    >>> (near.low, near.high), (far.low, far.high)
    ((2.0, 3.0), (1.5, 2.0))
    """
    case = _case(_kind_in(place, face_kind))
    if distance_to_salt_m is None or case == "open":
        return _factor(_shelter()[case if case == "open" else f"{case}salt_not_told"])
    share = salt_share(distance_to_salt_m)
    near, away = _factor(_shelter()[f"{case}near_salt"]), _factor(_shelter()[f"{case}away_from_salt"])
    if share in (0.0, 1.0):
        return near if share else away
    low, median, high = (
        getattr(away, name) + share * (getattr(near, name) - getattr(away, name))
        for name in ("low", "median", "high")
    )
    words = f"{near.words}; {distance_to_salt_m:,.0f} m away, {100 * share:.0f} % of that is left"
    return FaceFactor(median, low, high, words, near.source, weakest((near.mark, away.mark)))


def span_factor(place: Place, kinds: Sequence[FaceKind], distance_to_salt_m: float | None) -> FaceFactor:
    """The factor of a face that may be of any of some kinds: the range covers them all.

    The middle is the geometric mean of their medians. Arguments and errors as of ``face_factor``.

    >>> from longhold.model.surroundings import places
    >>> hanger = span_factor(places()["open_to_rain"], ("wall", "underside"), 100.0)
    >>> hanger.low, round(hanger.median, 2), hanger.high
    (1.0, 1.83, 3.0)
    """
    if not kinds:
        raise InputError(Problem("faces", None, "must name one kind of face or more."))
    found = tuple(dict.fromkeys(face_factor(place, kind, distance_to_salt_m) for kind in kinds))
    if len(found) == 1:
        return found[0]
    return FaceFactor(
        median=prod(one.median for one in found) ** (1.0 / len(found)),
        low=min(one.low for one in found),
        high=max(one.high for one in found),
        words="; or ".join(one.words for one in found),
        source=found[0].source,
        mark=weakest(one.mark for one in found),
    )


def shelter_cautions(place: Place, *kinds: FaceKind) -> tuple[ShelterCaution, ...]:
    """What the standard and published observations say of kinds of face in a place, each with its source.

    Raises
    ------
    InputError : for a place that is not in outdoor air, another face kind

    >>> from longhold.model.surroundings import places
    >>> [caution.direction for caution in shelter_cautions(places()["open_to_rain"], "wall")]
    ['none']
    """
    of_kind = {
        "wall": {"wall"},
        "wind_sheltered_underside": {"sheltered", "wind_sheltered"},
        "sheltered": {"sheltered"},
        "underside": {"sheltered"},
    }
    groups = {group for kind in kinds for group in of_kind.get(_kind_in(place, kind), ())}
    return tuple(
        ShelterCaution(row["direction"], row["caution"], row["source"], row["mark"])
        for row in _cautions()
        if row["faces"] in groups
    )


def _kind_in(place: Place, kind: FaceKind) -> FaceKind:
    """The kind as the place lets it be: under cover every face is sheltered from rain."""
    if kind not in get_args(FaceKind):
        raise InputError(Problem("face", kind, f"must be one of {', '.join(get_args(FaceKind))}."))
    if place.air_face not in ("open", "sheltered"):
        raise InputError(
            Problem("place", place.name, "is not in outdoor air.", "Take indoor_first_year_loss, or refer.")
        )
    covered = place.air_face == "sheltered" and kind in (*_WASHED, "wall")
    return "sheltered" if covered else kind


def _case(kind: FaceKind) -> str:
    """Opening of the key of the shelter table."""
    if kind in _WASHED:
        return "open"
    if kind in _SHELTERED:
        return ""
    return "wall_" if kind == "wall" else "wind_sheltered_"


def _factor(row: Row) -> FaceFactor:
    return FaceFactor(row["median"], row["low"], row["high"], row["words"], row["source"], row["mark"])


@once
def _shelter() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"case": str, "low": number, "median": number, "high": number, "words": str}
    return {row["case"]: row for row in load_csv("air/own/shelter.csv", columns, key=("case",))}


@once
def _cautions() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"faces": str, "direction": str, "caution": str}
    return load_csv("air/shelter_cautions.csv", columns, key=("faces", "caution"))
