"""Climates: the built-in stations are sane, names are forgiving, what a user states is checked whole."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.climates import (
    climate_from_annual,
    climate_from_monthly,
    nearest_station,
    station,
    stations,
)
from longhold.base.errors import InputError
from longhold.base.marks import Mark

NAMES = [entry.name for entry in stations()]


@pytest.mark.parametrize("name", NAMES)
def test_every_station_has_a_possible_year(name):
    climate = station(name)
    for series, least, most in (
        (climate.temperature_c, -30.0, 40.0),
        (climate.relative_humidity_pct, 10.0, 95.0),
        (climate.rain_mm, 0.0, 500.0),
        (climate.rain_days, 0.0, 28.0),
    ):
        assert len(series) == 12
        assert all(least <= value <= most for value in series)
    assert climate.mark is Mark.MEMORY
    assert "memory" in climate.how


@pytest.mark.parametrize("entry", stations(), ids=lambda entry: entry.name)
def test_summer_comes_when_it_should(entry):
    t = station(entry.name).temperature_c
    north_summer, south_summer = sum(t[5:8]), t[11] + t[0] + t[1]
    assert (north_summer > south_summer) == (entry.latitude > 0)


def test_the_range_of_climates_reaches_from_desert_to_rain_forest():
    assert {"Phoenix", "Hilo", "Wilmington NC", "Minneapolis", "Seattle", "Wellington"} <= set(NAMES)
    assert sum(station("Phoenix").rain_mm) < 300
    assert sum(station("Hilo").rain_mm) > 3000
    assert min(station("Minneapolis").temperature_c) < -5


@pytest.mark.parametrize("name", ["Portland OR", "portland, or", "  PORTLAND  OR "])
def test_capitals_and_commas_do_not_matter(name):
    assert station(name) is station("Portland OR")


def test_a_name_that_is_not_there_gets_suggestions():
    with pytest.raises(InputError, match="Wilmington NC"):
        station("Wilmington")
    with pytest.raises(InputError, match=r"Known: .*Phoenix.*relative_humidity_pct"):
        station("qqqq")


@pytest.mark.parametrize("entry", stations(), ids=lambda entry: entry.name)
def test_a_station_is_nearest_to_itself(entry):
    found, km = nearest_station(entry.latitude, entry.longitude)
    assert found == entry
    assert km == pytest.approx(0.0, abs=1e-6)


@settings(deadline=None)
@given(latitude=st.floats(-90, 90), longitude=st.floats(-180, 180))
def test_nearest_is_nearest_by_the_law_of_cosines(latitude, longitude):
    def km(entry):
        a, b = math.radians(latitude), math.radians(entry.latitude)
        c = math.sin(a) * math.sin(b)
        c += math.cos(a) * math.cos(b) * math.cos(math.radians(longitude - entry.longitude))
        return 6371.0 * math.acos(max(-1.0, min(1.0, c)))

    found, distance = nearest_station(latitude, longitude)
    assert distance == pytest.approx(km(found), abs=0.5)
    assert distance <= min(km(entry) for entry in stations()) + 0.5


def test_distance_along_a_meridian():
    found, km = nearest_station(0.0, -66.01)
    assert found.name == "San Juan"
    assert km == pytest.approx(18.43 * 40_030.2 / 360.0, rel=1e-4)


def test_a_position_off_the_earth_is_refused_with_both_problems():
    with pytest.raises(InputError) as caught:
        nearest_station(95.0, -181.0)
    assert [problem.where for problem in caught.value.problems] == ["latitude", "longitude"]
    with pytest.raises(InputError):
        nearest_station(float("nan"), 0.0)


def test_a_stated_climate_is_the_users_word():
    climate = climate_from_monthly(range(12), [70] * 12, [50] * 12, [10] * 12)
    assert climate.temperature_c == tuple(float(t) for t in range(12))
    assert (climate.source, climate.mark) == ("user", Mark.VERIFIED)
    assert climate.rain_days == (10.0,) * 12


def test_every_problem_of_a_stated_climate_is_named():
    humidity = [70.0] * 12
    humidity[3] = 107.0
    with pytest.raises(InputError) as caught:
        climate_from_monthly([10.0] * 11, humidity, [-1.0] + [5.0] * 11, [32.0] * 12)
    where = [problem.where for problem in caught.value.problems]
    assert where[:3] == ["temperature", "relative_humidity_pct[3]", "rain_mm[0]"]
    assert len(where) == 3 + 12
    with pytest.raises(InputError, match="must lie between"):
        climate_from_monthly([float("nan")] * 12, humidity)


def test_yearly_means_stand_in_every_month_and_say_so():
    climate = climate_from_annual(12.0, 70.0, rain_mm=1200.0, rain_days=[5.0] * 12)
    assert climate.temperature_c == (12.0,) * 12
    assert climate.rain_mm == (100.0,) * 12
    assert climate.rain_days == (5.0,) * 12
    assert "same in every month" in climate.how
    assert climate_from_annual(12.0, 70.0).rain_mm is None
    with pytest.raises(InputError):
        climate_from_annual(12.0, 170.0)
