"""Days and hours with rain from monthly rain and temperature, where nobody counted them."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.metals import Array, known, not_negative
from longhold.base.tables import load_toml

__all__ = ["MONTH_DAYS", "rain_days", "rain_hours"]

MONTH_DAYS: Array = np.array([31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0])
MONTH_DAYS.flags.writeable = False
_TABLE = "air/weather/rain_statistics.toml"


def rain_hours(rain_mm: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Hours a month in which rain falls, from twelve monthly totals [mm] and mean temperatures [deg C].

    Rain of a wet hour r = 1.089 exp(0.0269 t) mm/h, t held between -4 and 24 deg C; hours = rain / r, at most
    70 % of the month. Fitted to two stations of hourly rain (source noaa-isd-hourly-rain, mark own): 0.31 in
    the logarithm off in a month of the station that it has not seen. An hour is wet from 0.2 mm; hours with
    any trace are some two times as many.

    Raises
    ------
    InputError : for rain below zero or a value that is not finite

    >>> round(float(rain_hours([60.0] * 12, [10.0] * 12)[0]))
    42
    """
    law = load_toml(_TABLE)["hours"]
    rain, t = _twelve("rain_mm", not_negative("rain_mm", rain_mm)), known("temperature_c", temperature_c)
    rate = law["rate_at_0_c_mm_h"] * np.exp(law["per_c"] * np.clip(t, law["coldest_c"], law["hottest_c"]))
    return np.asarray(np.minimum(rain / rate, law["most_share"] * 24.0 * MONTH_DAYS))


def rain_days(rain_mm: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Days a month with at least 0.25 mm of rain, from twelve monthly totals and mean temperatures.

    ln days = -0.19 + 0.639 ln(rain / mm) - 0.0177 t, fitted to the built-in stations, 0.30 in the
    logarithm off at a station that it has not seen; temperature held between -10 and 35 deg C, at
    most 90 % of the month, none where less than 0.25 mm falls. Mark own.

    >>> round(float(rain_days([60.0] * 12, [10.0] * 12)[0]), 1)
    9.5
    """
    law = load_toml(_TABLE)["days"]
    rain, t = _twelve("rain_mm", not_negative("rain_mm", rain_mm)), known("temperature_c", temperature_c)
    held = np.clip(t, law["coldest_c"], law["hottest_c"])
    least = law["least_mm"]
    days = np.exp(law["constant"] + law["per_ln_mm"] * np.log(np.maximum(rain, least)) + law["per_c"] * held)
    days = np.minimum(np.minimum(days, rain / least), law["most_share"] * MONTH_DAYS)
    return np.asarray(np.where(rain >= least, days, 0.0))


def _twelve(name: str, values: Array) -> Array:
    if values.shape != (12,):
        raise ValueError(f"{name} must have twelve values")
    return values
