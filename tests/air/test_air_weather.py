"""Moist air, the sun, rain statistics, and what is read off an hourly series."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.climates import climate_from_annual
from longhold.air.moist_air import dew_point_c, relative_humidity_pct, saturation_hpa
from longhold.air.rain_statistics import MONTH_DAYS, rain_days, rain_hours
from longhold.air.sun import clear_sky_w_m2, clear_sky_year_w_m2, sun_height_sine
from longhold.air.weather import (
    humidity_hours,
    monthly_climate,
    site_weather,
    wetness_hours,
    wetness_hours_by_month,
)
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.model.weather import HourlyWeather

HOURS = 8760


def series(**parts):
    given = {
        "temperature_c": np.full(HOURS, 10.0),
        "relative_humidity_pct": np.full(HOURS, 70.0),
        "rain_mm": None,
        "wet": None,
        "wind_speed_m_s": None,
        "wind_from_deg": None,
        "sun_w_m2": None,
    }
    return HourlyWeather(**{**given, **parts}, how="made up", source="own", mark=Mark.OWN)


@settings(deadline=None)
@given(t=st.floats(-40, 45), rh=st.floats(5, 100))
def test_dew_point_and_humidity_are_each_other_s_inverse(t, rh):
    dew = float(dew_point_c(t, rh))
    assert dew <= t + 1e-9
    assert float(relative_humidity_pct(t, dew)) == pytest.approx(rh, abs=1e-6)


@settings(deadline=None)
@given(t=st.floats(-45, 50), step=st.floats(0.1, 5))
def test_warmer_air_holds_more(t, step):
    assert saturation_hpa(t + step) > saturation_hpa(t) > 0


def test_scalars_and_arrays_agree_in_moist_air():
    t, rh = np.array([-20.0, 0.0, 15.0, 35.0]), np.array([60.0, 80.0, 40.0, 20.0])
    assert dew_point_c(t, rh).tolist() == [float(dew_point_c(*pair)) for pair in zip(t, rh, strict=True)]


@settings(deadline=None, max_examples=50)
@given(rain=st.floats(0, 600), more=st.floats(1, 200), t=st.floats(-30, 35))
def test_more_rain_means_no_fewer_hours_and_days_within_the_month(rain, more, t):
    for law in (rain_hours, rain_days):
        low, high = law([rain] * 12, [t] * 12), law([rain + more] * 12, [t] * 12)
        assert (high >= low).all()
    assert (rain_hours([rain] * 12, [t] * 12) <= 0.7 * 24 * MONTH_DAYS + 1e-9).all()
    assert (rain_days([rain] * 12, [t] * 12) <= MONTH_DAYS).all()


def test_a_dry_month_has_no_rain_day_and_rain_below_zero_is_refused():
    assert rain_days([0.1] * 12, [10.0] * 12).tolist() == [0.0] * 12
    with pytest.raises(InputError, match="rain_mm"):
        rain_hours([-1.0] * 12, [10.0] * 12)


@settings(deadline=None, max_examples=50)
@given(latitude=st.floats(-90, 90), day=st.floats(0, 365), hour=st.floats(0, 24))
def test_the_sun_is_highest_at_noon_and_its_sky_is_bounded(latitude, day, hour):
    noon = float(sun_height_sine(latitude, day, 12.0))
    assert float(sun_height_sine(latitude, day, hour)) <= noon + 1e-12
    assert 0 <= float(clear_sky_w_m2(noon)) < 1100


def test_polar_night_has_no_sun():
    assert clear_sky_year_w_m2(80.0)[: 20 * 24].sum() == 0
    assert clear_sky_year_w_m2(80.0).sum() > 0


def test_time_of_wetness_counts_damp_hours_above_freezing_only():
    t, rh = np.full(HOURS, 5.0), np.full(HOURS, 85.0)
    t[:100], rh[100:250] = -1.0, 80.0
    assert wetness_hours(series(temperature_c=t, relative_humidity_pct=rh)) == HOURS - 250
    by_month = wetness_hours_by_month(series(temperature_c=t, relative_humidity_pct=rh))
    assert by_month[0] == 744 - 250
    assert by_month[1] == 672


def test_several_years_are_averaged():
    rh = np.concatenate([np.full(HOURS, 85.0), np.full(HOURS, 70.0)])
    assert wetness_hours(series(temperature_c=np.full(2 * HOURS, 5.0), relative_humidity_pct=rh)) == HOURS / 2
    bands = humidity_hours(
        series(temperature_c=np.full(2 * HOURS, 5.0), relative_humidity_pct=rh), np.array([75.0])
    )
    assert bands.tolist() == [HOURS / 2, HOURS / 2]


def test_monthly_values_are_read_off_and_absent_parts_stay_absent():
    rain = np.zeros(HOURS)
    rain[:3], rain[30] = 0.2, 0.2  # 0.6 mm on the first day, 0.2 mm on the second
    site = monthly_climate(series(rain_mm=rain, wet=rain > 0), 51.0, 0.0, 20.0)
    assert site.climate.rain_mm is not None
    assert site.climate.rain_days is not None
    assert site.climate.rain_mm[0] == pytest.approx(0.8)
    assert site.climate.rain_days[0] == 1.0
    assert site.rain_hours is not None
    assert site.rain_hours[0] == 4.0
    assert site.wind_speed_m_s is None
    assert site.hourly is not None
    assert (site.latitude, site.elevation_m) == (51.0, 20.0)
    bare = monthly_climate(series())
    assert bare.climate.rain_mm is None
    assert bare.rain_hours is None


def test_the_mean_wind_is_a_vector():
    half = np.tile([2.0, 4.0], HOURS // 2)
    site = monthly_climate(series(wind_speed_m_s=half, wind_from_deg=np.tile([350.0, 10.0], HOURS // 2)))
    assert site.wind_from_deg is not None
    assert site.wind_steadiness_share is not None
    assert site.wind_from_deg[0] == pytest.approx(
        np.degrees(np.arctan2(1, 3 / np.tan(np.radians(10)))), abs=1e-6
    )
    assert 0.9 < site.wind_steadiness_share[0] < 1.0


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"temperature_c": np.zeros(8784), "relative_humidity_pct": np.zeros(8784)}, "29 February"),
        ({"temperature_c": np.zeros(0), "relative_humidity_pct": np.zeros(0)}, "whole years"),
        ({"relative_humidity_pct": np.zeros(100)}, "must have 8,760 like"),
    ],
)
def test_a_series_that_is_not_whole_years_is_refused(parts, words):
    with pytest.raises(InputError, match=words):
        series(**parts)


def test_more_rain_hours_than_a_month_has_are_refused():
    with pytest.raises(InputError, match="rain_hours"):
        site_weather(climate_from_annual(10.0, 75.0), rain_hours=(800.0,) * 12)
