"""Weather files and formulas of the air against others: the sun's own clock, pvlib, the steam tables."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest

from longhold.air.moist_air import saturation_hpa
from longhold.air.sun import clear_sky_w_m2, sun_height_sine
from longhold.air.weather import monthly_climate
from longhold.intake.weather_files import read_weather

DATA = Path(__file__).parent / "data"
PACKAGED = Path(pvlib.__file__).parent / "data"


def rows(name):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    ("name", "zone_h"), [("12839.tm2", -5.0), ("703165TY.csv", -9.0), ("723170TYA.CSV", -5.0)]
)
def test_hours_of_a_file_are_where_the_sun_says(name, zone_h):
    """The middle of the sun's day is solar noon: an index that is an hour early or late would show."""
    site = read_weather(PACKAGED / name)
    sun = site.hourly.sun_w_m2.reshape(-1, 24).mean(0)
    middle = float((sun * (np.arange(24) + 0.5)).sum() / sun.sum())
    assert middle == pytest.approx(12.0 + zone_h - site.longitude / 15.0, abs=0.25)


def test_monthly_values_read_from_a_file_are_those_of_an_independent_mean():
    data, _ = pvlib.iotools.read_tmy2(str(PACKAGED / "12839.tm2"))
    theirs = data.groupby("month")["DryBulb"].mean().to_numpy() / 10.0
    assert monthly_climate(
        read_weather(PACKAGED / "12839.tm2").hourly
    ).climate.temperature_c == pytest.approx(theirs)


def test_clear_sky_is_haurwitz_as_pvlib_has_it():
    zenith = np.array([0.0, 20.0, 45.0, 70.0, 85.0])
    theirs = pvlib.clearsky.haurwitz(pd.Series(zenith))["ghi"].to_numpy()
    assert clear_sky_w_m2(np.cos(np.radians(zenith))) == pytest.approx(theirs, rel=2e-3)


@pytest.mark.parametrize("latitude", [-41.0, 0.0, 33.0, 60.0])
def test_the_sun_stands_where_an_ephemeris_has_it(latitude):
    times = pd.date_range("2019-01-15 12:00", periods=12, freq="30D", tz="UTC")
    theirs = pvlib.solarposition.get_solarposition(times, latitude, 0.0)
    hour = times.hour + theirs["equation_of_time"].to_numpy() / 60.0
    ours = np.degrees(np.arcsin(sun_height_sine(latitude, times.day_of_year - 0.5, hour)))
    assert ours == pytest.approx(theirs["elevation"].to_numpy(), abs=1.2)


@pytest.mark.parametrize("row", rows("climate_saturation.csv"), ids=lambda row: row["temperature_c"])
def test_saturation_pressure_is_that_of_the_steam_tables(row):
    assert float(saturation_hpa(float(row["temperature_c"]))) == pytest.approx(float(row["hpa"]), rel=4e-3)
