"""Climate, air load and place: what surrounds a joint, as records without people's units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv, yes_no

__all__ = ["AirLoad", "Climate", "Estimate", "Place", "PlaceName", "places"]

PlaceName = Literal[
    "open_to_rain",
    "under_cover",
    "dry_inside",
    "damp_inside",
    "ground_contact",
    "splash",
    "immersed",
    "pool_hall",
]


@dataclass(frozen=True)
class Estimate:
    """A positive quantity known as a median with a lognormal band.

    Attributes
    ----------
    median : the middle value, in the unit that the owner's name carries
    sd_ln : standard deviation of its logarithm; 0 for a value taken as exact
    how : in words, where it comes from ("measured", "estimated from 45 ft to salt water")
    source, mark : of the estimate
    """

    median: float
    sd_ln: float
    how: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class Climate:
    """Twelve months of a site's weather, January first; absent parts are None.

    Attributes
    ----------
    temperature_c : monthly mean air temperature [deg C]
    relative_humidity_pct : monthly mean relative humidity [%]
    rain_mm : monthly rain [mm]
    rain_days : days a month with at least 0.25 mm of rain
    how : in words, where it comes from
    source, mark : of the series
    """

    temperature_c: tuple[float, ...]
    relative_humidity_pct: tuple[float, ...]
    rain_mm: tuple[float, ...] | None
    rain_days: tuple[float, ...] | None
    how: str
    source: str
    mark: Mark


@dataclass(frozen=True)
class AirLoad:
    """What the site's air carries besides water.

    Attributes
    ----------
    chloride_mg_m2_d : yearly mean chloride deposition, wet candle [mg/(m2 d)]
    sulphur_dioxide_mg_m2_d : yearly mean sulphur dioxide deposition [mg/(m2 d)]
    """

    chloride_mg_m2_d: Estimate
    sulphur_dioxide_mg_m2_d: Estimate


@dataclass(frozen=True)
class Place:
    """The surroundings of a joint within the structure.

    Attributes
    ----------
    name : one of PlaceName
    words : as a builder would say it
    air_face : which kind of air reaches bare faces: open, sheltered, inside_dry, inside_damp, none
    rain_wets_wood : whether rain reaches the timber
    always_wet : whether the timber stays above fibre saturation
    code_exposure : the word that the rule packs use
    computed : whether Longhold computes loss here; otherwise the answer is refer, with ``why_not``
    why_not : the reason, empty where computed
    """

    name: PlaceName
    words: str
    air_face: str
    rain_wets_wood: bool
    always_wet: bool
    code_exposure: str
    computed: bool
    why_not: str
    source: str
    mark: Mark


@once
def places() -> Mapping[str, Place]:
    """Every place by name, from ``tables/places/places.csv``."""
    rows = load_csv(
        "places/places.csv",
        {
            "name": str,
            "words": str,
            "air_face": str,
            "rain_wets_wood": yes_no,
            "always_wet": yes_no,
            "code_exposure": str,
            "computed": yes_no,
            "why_not": str,
        },
        key=("name",),
    )
    return {row["name"]: Place(**row) for row in rows}
