"""The weather generator's own numbers, one table, each with its source and mark."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from longhold.air.metals import Array
from longhold.base.recent import once
from longhold.base.tables import load_csv, number

__all__ = ["daily_range_c", "day_to_day_sd_c", "parameters", "wet_day_shifts_c"]


@once
def parameters() -> Mapping[str, float]:
    """Every parameter by name, from ``tables/air/own/generator.csv``.

    >>> parameters()["wet_range_ratio"]
    0.8
    """
    rows = load_csv(
        "air/own/generator.csv", {"name": str, "value": number, "unit": str, "meaning": str}, key=("name",)
    )
    return {row["name"]: row["value"] for row in rows}


def daily_range_c(temperature_c: Array, humidity_pct: Array, elevation_m: float = 0.0) -> Array:
    """Mean daily range of temperature [deg C] of twelve months, from their means and the elevation.

    16.5 - 0.137 RH + 2.05 z + 0.083 (warmest - coldest month), z in km to 2.5, between 2 and 22;
    2.0 deg C off at a station left out. Source weather-files-21, mark own.

    >>> round(float(daily_range_c(np.full(12, 10.0), np.full(12, 75.0))[0]), 1)
    6.2
    """
    p = parameters()
    span = temperature_c.max() - temperature_c.min()
    found = (
        p["daily_range_at_0"]
        + p["daily_range_per_humidity"] * humidity_pct
        + p["daily_range_per_span"] * span
    )
    found = found + p["daily_range_per_km"] * min(max(elevation_m, 0.0) / 1000.0, p["elevation_most"])
    return np.asarray(np.clip(found, p["daily_range_least"], p["daily_range_most"]))


def day_to_day_sd_c(temperature_c: Array) -> tuple[Array, Array]:
    """Standard deviation of daily temperature and of daily dew point [deg C] in twelve months.

    >>> [round(float(sd[0]), 1) for sd in day_to_day_sd_c(np.full(12, 10.0))]
    [1.4, 2.1]
    """
    p = parameters()
    span = temperature_c.max() - temperature_c.min()
    sd = p["day_sd_at_0"] + p["day_sd_per_span"] * span + p["day_sd_per_c"] * temperature_c
    sd = np.clip(sd, p["day_sd_least"], p["day_sd_most"])
    return sd, p["dew_sd_at_0"] + p["dew_sd_per_sd"] * sd


def wet_day_shifts_c(temperature_c: Array, humidity_pct: Array) -> tuple[Array, Array]:
    """Days with rain less dry days in twelve months: temperature and dew point [deg C].

    In warm months days with rain are cooler, most so in dry air; in cold damp months they are milder:
    both are what hourly files show. The dew point is higher in nearly every month.

    >>> [round(float(shift[0]), 1) for shift in wet_day_shifts_c(np.full(12, 30.0), np.full(12, 25.0))]
    [-3.8, 4.3]
    """
    p = parameters()
    most = p["wet_shift_most"]
    found = [
        p[f"wet_{what}_at_0"]
        + p[f"wet_{what}_per_c"] * temperature_c
        + p[f"wet_{what}_per_humidity"] * humidity_pct
        for what in ("temperature", "dew")
    ]
    return np.clip(found[0], -most, most), np.clip(found[1], -most, most)
