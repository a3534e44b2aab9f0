"""When it rains: rainy days in spells, wet hours in them, rain in the hours; monthly sums are kept."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longhold.air.generator_parameters import parameters
from longhold.air.metals import Array
from longhold.air.rain_statistics import MONTH_DAYS
from longhold.air.random_series import with_memory

__all__ = ["MONTH_OF_DAY", "rain_in_hours_mm", "wet_days", "wet_hours"]

Flags = NDArray[np.bool_]
MONTH_OF_DAY: NDArray[np.int64] = np.repeat(np.arange(12), MONTH_DAYS.astype(int))
MONTH_OF_DAY.flags.writeable = False


def wet_days(rng: np.random.Generator, years: int, rain_days: Array, pull_z: Array | None = None) -> Flags:
    """Which days have rain, so that each month has its number of rain days over the years, to half a day.

    A tendency to rain with a memory from day to day is drawn; the days of a calendar month where it is
    strongest, over all the years, are the rainy ones. So spells form, and years differ.

    Parameters
    ----------
    rng : random generator
    years : whole years
    rain_days : mean number of rain days of twelve months
    pull_z : one value a day that draws the rain, in standard deviations; None for none
    """
    months = np.tile(MONTH_OF_DAY, years)
    tendency = with_memory(rng, months.size, parameters()["rain_day_to_day"])
    if pull_z is not None:
        tendency = tendency + pull_z
    wet = np.zeros(months.size, dtype=bool)
    for month in range(12):
        days = np.flatnonzero(months == month)
        count = min(round(float(rain_days[month]) * years), days.size)
        wet[days[np.argsort(-tendency[days], kind="stable")[:count]]] = True
    return wet


def wet_hours(rng: np.random.Generator, wet_day: Flags, rain_hours: Array, temperature_c: Array) -> Flags:
    """Which hours of the rainy days are wet, so that each month has its number of wet hours.

    Every rainy day has at least one wet hour. Spells last longer in cool months, and lean to the late
    afternoon in hot ones. A month that asks for more hours than its rainy days have gets all of them.

    Parameters
    ----------
    rng : random generator
    wet_day : one flag a day, whole years
    rain_hours : mean number of wet hours of twelve months
    temperature_c : mean temperature of twelve months [deg C]
    """
    p = parameters()
    years = wet_day.size // 365
    warmth = np.clip((temperature_c - p["spell_cool_c"]) / (p["spell_hot_c"] - p["spell_cool_c"]), 0.0, 1.0)
    day_warmth = np.tile(warmth[MONTH_OF_DAY], years)[:, None]
    shape = (wet_day.size, 24)
    long, short = (
        with_memory(rng, wet_day.size * 24, float(np.exp(-1.0 / p[f"spell_{kind}_hours"]))).reshape(shape)
        for kind in ("long", "short")
    )
    tendency = np.sqrt(1.0 - day_warmth) * long + np.sqrt(day_warmth) * short
    tendency += p["rain_day_sd"] * rng.standard_normal((wet_day.size, 1))
    clock = np.cos(2.0 * np.pi * (np.arange(24) + 0.5 - p["afternoon_peak"]) / 24.0)
    tendency += p["afternoon"] * day_warmth * clock
    first = np.zeros(shape, dtype=bool)
    first[np.arange(wet_day.size), tendency.argmax(1)] = True
    wet = np.zeros(shape, dtype=bool)
    months = np.tile(MONTH_OF_DAY, years)
    for month in range(12):
        days = np.flatnonzero(wet_day & (months == month))
        ranked = np.where(first[days], np.inf, tendency[days]).ravel()
        count = min(max(round(float(rain_hours[month]) * years), days.size), ranked.size)
        chosen = np.zeros(ranked.size, dtype=bool)
        chosen[np.argsort(-ranked, kind="stable")[:count]] = True
        wet[days] = chosen.reshape(days.size, 24)
    return wet.ravel()


def rain_in_hours_mm(rng: np.random.Generator, wet: Flags, rain_mm: Array) -> Array:
    """Rain of every hour [mm]: gamma distributed in wet hours, scaled so that each month has its mean total.

    Each rainy day has at least 0.25 mm, or half of the mean of a rainy day where that is less.

    Parameters
    ----------
    rng : random generator
    wet : one flag an hour, whole years
    rain_mm : mean total of twelve months [mm]
    """
    p = parameters()
    years = wet.size // 8760
    by_day = wet.reshape(-1, 24)
    months = np.tile(MONTH_OF_DAY, years)
    found = np.where(by_day, rng.gamma(p["rain_shape"], size=by_day.shape), 0.0)
    wanted = rain_mm * years
    rainy = by_day.any(1)
    days = np.bincount(months, rainy, minlength=12)
    least = np.minimum(p["rain_day_least"], 0.5 * wanted / np.maximum(days, 1.0))
    share = by_day / np.maximum(by_day.sum(1, keepdims=True), 1)
    floor = share * least[months][:, None]
    drawn = np.bincount(months, found.sum(1), minlength=12)
    scale = np.divide(wanted - least * days, drawn, out=np.zeros(12), where=drawn > 0.0)
    return np.asarray((found * scale[months][:, None] + floor).ravel())
