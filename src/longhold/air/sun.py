"""Sun on the level from a clear sky, hour by hour through the year."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.metals import Array
from longhold.base.tables import load_toml

__all__ = ["clear_sky_w_m2", "clear_sky_year_w_m2", "sun_height_sine"]

_TABLE = "air/weather/sun.toml"


def sun_height_sine(latitude: float, day: ArrayLike, solar_hours: ArrayLike) -> Array:
    """Sine of the sun's height above the horizon, negative at night.

    sin h = sin(lat) sin(dec) + cos(lat) cos(dec) cos(15 deg (hour - 12)), with the declination's
    sine taken from the sun's longitude along a circular orbit: within a degree of a true ephemeris.

    Parameters
    ----------
    latitude : [deg], north positive
    day : days since 1 January
    solar_hours : local solar time [h]

    >>> round(float(sun_height_sine(0.0, 79.5, 12.0)), 2)
    1.0
    """
    orbit = load_toml(_TABLE)["orbit"]
    tilt = np.radians(orbit["tilt_deg"])
    longitude = 2.0 * np.pi * (np.asarray(day, dtype=float) - orbit["equinox_day"]) / orbit["year_days"]
    sine = np.sin(tilt) * np.sin(longitude)
    hour = np.radians(15.0 * (np.asarray(solar_hours, dtype=float) - 12.0))
    lat = np.radians(latitude)
    return np.asarray(np.sin(lat) * sine + np.cos(lat) * np.sqrt(1.0 - sine**2) * np.cos(hour))


def clear_sky_w_m2(height_sine: ArrayLike) -> Array:
    """Global sun on the level under a clear sky [W/m2]: 1098 s exp(-0.059 / s), s sine of the sun's height.

    Source haurwitz-1945.

    >>> clear_sky_w_m2([1.0, 0.0]).round().tolist()
    [1035.0, 0.0]
    """
    law = load_toml(_TABLE)["clear_sky"]
    s = np.maximum(np.asarray(height_sine, dtype=float), 0.0)
    low = s <= law["least_sine"]
    return np.where(low, 0.0, law["most_w_m2"] * s * np.exp(-law["haze"] / np.where(low, 1.0, s)))


@lru_cache(maxsize=32)
def clear_sky_year_w_m2(latitude: float) -> Array:
    """Clear-sky sun of the 8,760 hours of a year [W/m2], at the middle of each hour of solar time."""
    hour = np.arange(8760)
    found = clear_sky_w_m2(sun_height_sine(latitude, hour // 24 + 0.5, hour % 24 + 0.5))
    found.flags.writeable = False
    return found
