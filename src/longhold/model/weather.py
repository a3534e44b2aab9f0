"""Weather of a site, month by month and hour by hour: the one record that every source of it yields."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.model.surroundings import Climate

__all__ = ["HOURS_A_YEAR", "MONTH_OF_HOUR", "HourlyWeather", "SiteWeather"]

HOURS_A_YEAR = 8760
_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_OF_HOUR: NDArray[np.int64] = np.repeat(np.arange(12), np.array(_DAYS) * 24)
"""Month, 0 to 11, of each hour of a year of 365 days."""
MONTH_OF_HOUR.flags.writeable = False


@dataclass(frozen=True, eq=False)
class HourlyWeather:
    """Hourly weather of whole years of 365 days; an absent part is None.

    Entry ``i`` is the hour from ``i`` to ``i + 1`` after midnight of 1 January, local standard time;
    29 February is left out. Several years follow each other.

    Attributes
    ----------
    temperature_c : air temperature [deg C]
    relative_humidity_pct : relative humidity over water [%], 0 to 100
    rain_mm : rain and melted snow that fell in the hour [mm]
    wet : whether rain fell in the hour
    wind_speed_m_s : wind speed [m/s]
    wind_from_deg : where the wind comes from, clockwise from north [deg], 0 to 360
    sun_w_m2 : global sun on the level [W/m2], mean of the hour
    how : in words, where it comes from
    source, mark : of the series
    notes : what was filled, moved or left out, and how

    Raises
    ------
    InputError : where a part is not whole years long, or parts differ in length
    """

    temperature_c: NDArray[np.float64]
    relative_humidity_pct: NDArray[np.float64]
    rain_mm: NDArray[np.float64] | None
    wet: NDArray[np.bool_] | None
    wind_speed_m_s: NDArray[np.float64] | None
    wind_from_deg: NDArray[np.float64] | None
    sun_w_m2: NDArray[np.float64] | None
    how: str
    source: str
    mark: Mark
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        hours = self.temperature_c.size
        if hours == 0 or hours % HOURS_A_YEAR:
            raise InputError(
                Problem(
                    "weather.temperature_c",
                    None,
                    f"has {hours:,} hours, must be whole years of 8,760 hours.",
                    "Start at 1 January and leave out 29 February.",
                )
            )
        parts = ("relative_humidity_pct", "rain_mm", "wet", "wind_speed_m_s", "wind_from_deg", "sun_w_m2")
        problems = [
            Problem(
                f"weather.{name}", None, f"has {part.size:,} hours, must have {hours:,} like the temperature."
            )
            for name in parts
            if (part := getattr(self, name)) is not None and part.shape != self.temperature_c.shape
        ]
        if problems:
            raise InputError(*problems)

    @property
    def years(self) -> int:
        """Whole years."""
        return self.temperature_c.size // HOURS_A_YEAR

    def months(self) -> NDArray[np.int64]:
        """Month, 0 to 11, of every hour."""
        return np.tile(MONTH_OF_HOUR, self.years)


@dataclass(frozen=True)
class SiteWeather:
    """What is known of a site's weather; every source yields this, an absent part is None.

    Attributes
    ----------
    climate : twelve months of temperature, humidity, rain and rain days
    rain_hours : hours a month in which rain falls
    wind_speed_m_s : monthly mean wind speed [m/s]
    wind_from_deg : direction of the monthly mean wind vector, from, clockwise from north [deg]
    wind_steadiness_share : length of the mean wind vector over the mean speed, 0 to 1
    hourly : hour by hour
    latitude, longitude : [deg], north and east positive
    elevation_m : of the site [m above sea level]
    temperature_sd_c : standard deviation of the error of the yearly mean temperature [deg C]
    humidity_sd_pct : the same of the yearly mean relative humidity [%]
    rain_sd_ln : standard deviation of the logarithm of the yearly rain
    notes : what was filled, corrected or taken, and how
    """

    climate: Climate
    rain_hours: tuple[float, ...] | None
    wind_speed_m_s: tuple[float, ...] | None
    wind_from_deg: tuple[float, ...] | None
    wind_steadiness_share: tuple[float, ...] | None
    hourly: HourlyWeather | None
    latitude: float | None
    longitude: float | None
    elevation_m: float | None
    temperature_sd_c: float
    humidity_sd_pct: float
    rain_sd_ln: float
    notes: tuple[str, ...] = ()
