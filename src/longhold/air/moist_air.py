"""Moist air: saturation pressure, dew point and relative humidity over water."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.metals import Array
from longhold.base.tables import load_toml

__all__ = ["dew_point_c", "relative_humidity_pct", "saturation_hpa"]

_TABLE = "air/weather/moist_air.toml"


def saturation_hpa(temperature_c: ArrayLike) -> Array:
    """Saturation pressure of vapour over water [hPa].

    e = e0 exp(a t / (b + t)), Magnus form; within 0.4 % of the steam tables from 0 to 40 deg C. Humidity
    is told over water below freezing too, as weather stations do. Source magnus-wmo8.

    >>> round(float(saturation_hpa(20.0)), 1)
    23.3
    """
    law = load_toml(_TABLE)["magnus"]
    t = np.asarray(temperature_c, dtype=float)
    return np.asarray(law["e0_hpa"] * np.exp(law["a"] * t / (law["b_c"] + t)))


def dew_point_c(temperature_c: ArrayLike, humidity_pct: ArrayLike) -> Array:
    """Dew point over water [deg C] at a temperature and a relative humidity [%] above 0.

    >>> round(float(dew_point_c(20.0, 50.0)), 1)
    9.3
    """
    law = load_toml(_TABLE)["magnus"]
    t = np.asarray(temperature_c, dtype=float)
    share = np.maximum(np.asarray(humidity_pct, dtype=float), law["least_humidity_pct"]) / 100.0
    x = np.log(share) + law["a"] * t / (law["b_c"] + t)
    return np.asarray(law["b_c"] * x / (law["a"] - x))


def relative_humidity_pct(temperature_c: ArrayLike, dew_c: ArrayLike) -> Array:
    """Relative humidity over water [%], at most 100, from temperature and dew point [deg C].

    >>> round(float(relative_humidity_pct(20.0, 9.3)))
    50
    """
    share = saturation_hpa(dew_c) / saturation_hpa(temperature_c)
    return np.asarray(np.minimum(100.0 * share, 100.0))
