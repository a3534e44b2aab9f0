"""Share of the year in which a face is wet: hours of wetness in air, hours above the threshold in wood."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from longhold.air.weather import site_weather, wetness_hours
from longhold.air.weather_generator import generate_weather
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.wood_rate import WoodContact, kind_of
from longhold.model.surroundings import Climate, Place
from longhold.model.weather import HOURS_A_YEAR

__all__ = ["wet_share"]

_YEARS, _SEED = 4, 2025


def wet_share(place: Place, contact: WoodContact | None, exposure: SiteExposure) -> float:
    """Share of the hours of a year in which a face is wet [-], 0 to 1.

    Parameters
    ----------
    place : of the joint
    contact : with timber; None for a face in air, where hours above 80 % humidity and 0 deg C count
    exposure : of the site

    In wood the hours above the threshold of corrosion count, at the depth where they are most. Indoors and in
    the ground, where humidity and moisture are taken as steady, the whole year counts.
    """
    if place.air_face.startswith("inside"):
        return 1.0
    if contact is None:
        return _air(exposure.climate)
    kind = kind_of(contact)
    return 1.0 if kind is None else float(exposure.wood_runs.surfaces(kind).above_share.max())


@lru_cache(maxsize=64)
def _air(climate: Climate) -> float:
    weather = generate_weather(site_weather(climate), _YEARS, np.random.default_rng(_SEED))
    return wetness_hours(weather) / HOURS_A_YEAR
