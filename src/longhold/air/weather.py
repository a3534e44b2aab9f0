"""What hourly weather says: monthly values, hours of wetness, the distribution of humidity."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longhold.air.metals import Array
from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml
from longhold.model.surroundings import Climate
from longhold.model.weather import HourlyWeather, SiteWeather

__all__ = ["humidity_hours", "monthly_climate", "site_weather", "wetness_hours", "wetness_hours_by_month"]

_TABLE = "air/weather/weather.toml"


def wetness_hours(weather: HourlyWeather) -> float:
    """Time of wetness [hours a year]: hours above 80 % relative humidity and above 0 deg C.

    Source iso9223-2012.

    >>> from longhold.base.marks import Mark
    >>> half = np.tile([70.0, 90.0], 4380)
    >>> series = HourlyWeather(np.full(8760, 5.0), half, None, None, None, None, None, "", "own", Mark.OWN)
    >>> wetness_hours(series)
    4380.0
    """
    return float(wetness_hours_by_month(weather).sum())


def wetness_hours_by_month(weather: HourlyWeather) -> Array:
    """Time of wetness of the twelve months [hours a month], mean of the years."""
    law = load_toml(_TABLE)["wetness"]
    wet = (weather.relative_humidity_pct > law["above_humidity_pct"]) & (
        weather.temperature_c > law["above_temperature_c"]
    )
    return np.asarray(np.bincount(weather.months(), wet, minlength=12) / weather.years)


def humidity_hours(weather: HourlyWeather, bounds_pct: Array) -> Array:
    """Hours a year in each band of relative humidity, from 0 through the rising bounds to 100 %.

    >>> from longhold.base.marks import Mark
    >>> half = np.tile([70.0, 90.0], 4380)
    >>> series = HourlyWeather(np.full(8760, 5.0), half, None, None, None, None, None, "", "own", Mark.OWN)
    >>> humidity_hours(series, np.array([40.0, 80.0])).tolist()
    [0.0, 4380.0, 4380.0]
    """
    band = np.searchsorted(np.asarray(bounds_pct, dtype=float), weather.relative_humidity_pct, side="left")
    return np.asarray(np.bincount(band, minlength=len(bounds_pct) + 1) / weather.years)


def monthly_climate(
    weather: HourlyWeather,
    latitude: float | None = None,
    longitude: float | None = None,
    elevation_m: float | None = None,
) -> SiteWeather:
    """The monthly values of an hourly series, with the series itself; absent parts stay absent.

    A day counts as a rain day from 0.25 mm, an hour as wet where the series says so. The error given is
    that of a typical year for the long run.

    Parameters
    ----------
    weather : hourly, whole years
    latitude, longitude : of the site [deg]; None if not known
    elevation_m : of the site [m]; None if not known
    """
    months = weather.months()
    rain = days = hours = None
    if weather.rain_mm is not None:
        rain = _sums(weather.rain_mm, months, weather.years)
        daily = weather.rain_mm.reshape(-1, 24).sum(1) >= load_toml(_TABLE)["rain"]["day_least_mm"] - 1e-9
        days = _sums(daily.astype(float), months[::24], weather.years)
    if weather.wet is not None:
        hours = _sums(weather.wet.astype(float), months, weather.years)
    climate = Climate(
        _means(weather.temperature_c, months),
        _means(weather.relative_humidity_pct, months),
        rain,
        days,
        weather.how,
        weather.source,
        weather.mark,
    )
    speed = None if weather.wind_speed_m_s is None else _means(weather.wind_speed_m_s, months)
    from_deg, steady = _wind_vector(weather, months)
    return SiteWeather(
        climate,
        hours,
        speed,
        from_deg,
        steady,
        weather,
        latitude,
        longitude,
        elevation_m,
        *_errors("hourly_file"),
        weather.notes,
    )


def site_weather(
    climate: Climate,
    latitude: float | None = None,
    longitude: float | None = None,
    elevation_m: float | None = None,
    rain_hours: tuple[float, ...] | None = None,
    wind_speed_m_s: tuple[float, ...] | None = None,
    wind_from_deg: tuple[float, ...] | None = None,
) -> SiteWeather:
    """Monthly values that are already known, as the common record.

    Raises
    ------
    InputError : where more hours of rain are told than a month has
    """
    if rain_hours is not None and max(rain_hours) > 744.0:
        raise InputError(Problem("climate.rain_hours", max(rain_hours), "must be at most 744 h a month."))
    return SiteWeather(
        climate,
        rain_hours,
        wind_speed_m_s,
        wind_from_deg,
        None,
        None,
        latitude,
        longitude,
        elevation_m,
        *_errors("monthly_values"),
    )


def _errors(kind: str) -> tuple[float, float, float]:
    row = load_toml(_TABLE)[kind]
    return row["temperature_sd_c"], row["humidity_sd_pct"], row["rain_sd_ln"]


def _means(values: Array, months: NDArray[np.int64]) -> tuple[float, ...]:
    return tuple((np.bincount(months, values) / np.bincount(months)).tolist())


def _sums(values: Array, months: NDArray[np.int64], years: int) -> tuple[float, ...]:
    return tuple((np.bincount(months, values) / years).tolist())


def _wind_vector(
    weather: HourlyWeather, months: NDArray[np.int64]
) -> tuple[tuple[float, ...] | None, tuple[float, ...] | None]:
    if weather.wind_speed_m_s is None or weather.wind_from_deg is None:
        return None, None
    angle = np.radians(weather.wind_from_deg)
    east, north = (
        np.array(_means(weather.wind_speed_m_s * part, months)) for part in (np.sin(angle), np.cos(angle))
    )
    mean = np.array(_means(weather.wind_speed_m_s, months))
    steady = np.minimum(np.hypot(east, north) / np.maximum(mean, 1e-9), 1.0)
    return tuple((np.degrees(np.arctan2(east, north)) % 360.0).tolist()), tuple(steady.tolist())
