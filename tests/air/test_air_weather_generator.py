"""The weather generator: monthly values are kept, what belongs together stays together, a seed is a seed."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.climates import climate_from_annual, climate_from_monthly, station, stations
from longhold.air.generator_parameters import daily_range_c, day_to_day_sd_c, parameters, wet_day_shifts_c
from longhold.air.moist_air import dew_point_c
from longhold.air.rain_spells import MONTH_OF_DAY, rain_in_hours_mm, wet_days, wet_hours
from longhold.air.random_series import with_memory
from longhold.air.weather import monthly_climate, site_weather, wetness_hours
from longhold.air.weather_generator import generate_weather, with_drawn_rain
from longhold.base.errors import InputError
from longhold.base.marks import Mark

months = st.lists(st.floats(0, 1), min_size=12, max_size=12)
amounts = st.lists(st.just(0.0) | st.floats(1e-5, 1), min_size=12, max_size=12)


def site_of(name, **more):
    entry = next(one for one in stations() if one.name == name)
    return site_weather(station(name), entry.latitude, entry.longitude, **more)


def made(name, years=6, seed=1, **more):
    return generate_weather(site_of(name, **more), years, np.random.default_rng(seed))


def days(values):
    return values.reshape(-1, 24)


@settings(deadline=None, max_examples=30)
@given(t=months, rh=months, rain=amounts, wet=months, years=st.integers(1, 4), seed=st.integers(0, 10**6))
def test_monthly_means_totals_days_and_hours_are_kept_for_any_climate(t, rh, rain, wet, years, seed):
    climate = climate_from_monthly(
        [-30 + 65 * x for x in t], [8 + 89 * x for x in rh], [500 * x for x in rain], [28 * x for x in wet]
    )
    hours = tuple(24.0 * 28 * 0.5 * x for x in wet)
    weather = generate_weather(
        site_weather(climate, 45.0, 0.0, rain_hours=hours), years, np.random.default_rng(seed)
    )
    found = monthly_climate(weather)
    assert found.climate.temperature_c == pytest.approx(climate.temperature_c, abs=1e-6)
    assert found.climate.relative_humidity_pct == pytest.approx(climate.relative_humidity_pct, abs=1e-6)
    assert found.climate.rain_mm == pytest.approx(climate.rain_mm, abs=1e-6)
    assert weather.wet is not None
    assert weather.rain_mm is not None
    rainy = days(weather.wet).any(1)
    asked = np.array(
        [
            0.0 if mm == 0 else max(day, 1.0 / years)
            for mm, day in zip(climate.rain_mm, climate.rain_days, strict=True)
        ]
    )
    counted = np.bincount(np.tile(MONTH_OF_DAY, years), rainy) / years
    assert np.abs(counted - asked).max() <= 0.5 / years + 1e-9
    wanted = np.clip(hours, asked, 24 * asked)
    assert found.rain_hours is not None
    assert (
        np.abs(np.array(found.rain_hours) - np.where(np.array(climate.rain_mm) > 0, wanted, 0)).max()
        <= 12.5 / years
    )
    assert ((weather.rain_mm > 0) == weather.wet).all()
    assert (weather.relative_humidity_pct >= 0).all()
    assert (weather.relative_humidity_pct <= 100).all()


@pytest.mark.parametrize("name", [entry.name for entry in stations()])
def test_rain_days_of_every_station_are_exact_to_a_twentieth(name):
    site = site_of(name)
    weather = made(name, 10)
    found = monthly_climate(weather)
    assert site.climate.rain_days is not None
    assert found.climate.rain_days is not None
    # the recalled table has a month of 0.2 rain days without rain: no rain, no rain day
    asked = np.where(np.array(site.climate.rain_mm) > 0, site.climate.rain_days, 0.0)
    assert np.abs(np.array(found.climate.rain_days) - asked).max() <= 0.051


def test_a_seed_is_a_seed():
    a, b, c = made("Hilo", seed=4), made("Hilo", seed=4), made("Hilo", seed=5)
    assert (a.relative_humidity_pct == b.relative_humidity_pct).all()
    assert not (a.relative_humidity_pct == c.relative_humidity_pct).all()


@pytest.mark.parametrize("name", ["Phoenix", "Hilo", "Wilmington NC", "Seattle", "Minneapolis"])
def test_wet_days_are_damper_cloudier_and_have_a_smaller_range(name):
    weather = made(name, 10)
    assert weather.wet is not None
    assert weather.sun_w_m2 is not None
    wet = days(weather.wet).any(1)
    month = weather.months()[::24]
    t, rh, sun = (
        days(part) for part in (weather.temperature_c, weather.relative_humidity_pct, weather.sun_w_m2)
    )
    for values, sign in ((rh.mean(1), 1), (sun.mean(1), -1), (t.max(1) - t.min(1), -1)):
        anomaly = values - (np.bincount(month, values) / np.bincount(month))[month]
        assert sign * (anomaly[wet].mean() - anomaly[~wet].mean()) > 0.2


@pytest.mark.parametrize("name", ["Phoenix", "Hilo", "Miami", "Los Angeles"])
def test_wet_days_are_cooler_in_warm_months(name):
    weather = made(name, 20)
    assert weather.wet is not None
    wet, t = days(weather.wet).any(1), days(weather.temperature_c).mean(1)
    month = weather.months()[::24]
    warm = np.array(station(name).temperature_c)[month] > 20
    anomaly = t - (np.bincount(month, t) / np.bincount(month))[month]
    assert anomaly[wet & warm].mean() < anomaly[~wet & warm].mean() - 0.3


def test_a_desert_s_rain_comes_with_cool_damp_air_as_the_wood_needs_it():
    t, dew = wet_day_shifts_c(np.full(12, 28.0), np.full(12, 30.0))
    assert -5 < t[0] < -2.5
    assert 3 < dew[0] < 6


def test_spells_are_longer_in_the_cool_season():
    weather = made("Phoenix", 40)
    assert weather.wet is not None
    lengths = {}
    for season, names in (("cool", (11, 0, 1)), ("hot", (5, 6, 7))):
        flags = np.concatenate([[False], weather.wet & np.isin(weather.months(), names), [False]])
        edge = np.diff(flags.astype(int))
        lengths[season] = (np.flatnonzero(edge == -1) - np.flatnonzero(edge == 1)).mean()
    assert lengths["cool"] > lengths["hot"]


def test_wet_days_come_in_runs():
    wet = wet_days(np.random.default_rng(3), 60, np.full(12, 9.0))
    assert wet[1:][wet[:-1]].mean() > wet[1:][~wet[:-1]].mean() + 0.15


def test_the_dew_point_stays_through_a_day_while_temperature_swings():
    weather = made("Denver", 5)
    dew = days(dew_point_c(weather.temperature_c, weather.relative_humidity_pct))
    t = days(weather.temperature_c)
    assert np.median(dew.max(1) - dew.min(1)) < 0.75 * np.median(t.max(1) - t.min(1))


def test_every_wet_day_has_a_wet_hour_and_rain():
    rng = np.random.default_rng(8)
    wet_day = wet_days(rng, 5, np.full(12, 6.0))
    wet = wet_hours(rng, wet_day, np.full(12, 3.0), np.full(12, 12.0))  # fewer hours than days: one each
    assert (days(wet).sum(1)[wet_day] == 1).all()
    assert days(wet).sum(1)[~wet_day].sum() == 0
    rain = days(rain_in_hours_mm(rng, wet, np.full(12, 40.0))).sum(1)
    assert rain[wet_day].min() >= 0.25


def test_too_many_wet_hours_fill_the_wet_days():
    rng = np.random.default_rng(8)
    wet_day = wet_days(rng, 2, np.full(12, 2.0))
    wet = wet_hours(rng, wet_day, np.full(12, 500.0), np.full(12, 12.0))
    assert wet.sum() == wet_day.sum() * 24


def test_parts_that_cannot_be_made_are_absent():
    weather = generate_weather(site_weather(climate_from_annual(10.0, 75.0)), 1, np.random.default_rng(1))
    assert weather.rain_mm is None
    assert weather.wet is None
    assert weather.sun_w_m2 is None
    assert weather.wind_speed_m_s is None
    assert weather.mark is Mark.OWN
    assert "drawn" in weather.notes[0]


def test_wind_keeps_its_monthly_mean_and_direction():
    site = replace(
        site_of("Hilo", wind_speed_m_s=(6.0,) * 12, wind_from_deg=(80.0,) * 12),
        wind_steadiness_share=(0.85,) * 12,
    )
    found = monthly_climate(generate_weather(site, 10, np.random.default_rng(2)))
    assert found.wind_speed_m_s == pytest.approx((6.0,) * 12)
    assert found.wind_from_deg is not None
    assert found.wind_steadiness_share is not None
    assert np.mean(found.wind_from_deg) == pytest.approx(80.0, abs=5.0)
    assert np.mean(found.wind_steadiness_share) == pytest.approx(0.85, abs=0.08)
    # without a steadiness the direction stays unknown
    speed_only = generate_weather(site_of("Hilo", wind_speed_m_s=(6.0,) * 12), 1, np.random.default_rng(2))
    assert speed_only.wind_speed_m_s is not None
    assert speed_only.wind_from_deg is None


def test_rain_is_drawn_onto_the_dampest_days_of_a_series_and_leaves_the_air_alone():
    air = generate_weather(site_weather(climate_from_annual(12.0, 72.0)), 4, np.random.default_rng(1))
    told = site_weather(climate_from_annual(12.0, 72.0, rain_mm=800.0, rain_days=120.0))
    weather = with_drawn_rain(air, told, np.random.default_rng(2))
    assert weather.wet is not None
    assert weather.rain_mm is not None
    assert weather.temperature_c is air.temperature_c
    assert weather.rain_mm.sum() == pytest.approx(3200.0)
    wet, rh = days(weather.wet).any(1), days(air.relative_humidity_pct).mean(1)
    assert wet.mean() == pytest.approx(120 / 365, abs=0.002)
    assert rh[wet].mean() > rh[~wet].mean() + 3
    assert "rain drawn" in weather.notes[-1]
    with pytest.raises(InputError, match="monthly rain"):
        with_drawn_rain(air, site_weather(climate_from_annual(12.0, 72.0)), np.random.default_rng(2))


@pytest.mark.parametrize("years", [0, 101])
def test_impossible_numbers_of_years_are_refused(years):
    with pytest.raises(InputError, match="between 1 and 100"):
        generate_weather(site_of("Hilo"), years, np.random.default_rng(1))


def test_a_humidity_that_no_series_has_is_refused():
    with pytest.raises(InputError, match="no hourly series"):
        generate_weather(site_weather(climate_from_annual(10.0, 0.0)), 1, np.random.default_rng(1))


@settings(deadline=None, max_examples=25)
@given(rh=st.floats(35, 80), more=st.floats(4, 12))
def test_damper_months_are_wet_for_longer(rh, more):
    low, high = (
        wetness_hours(
            generate_weather(site_weather(climate_from_annual(12.0, value)), 3, np.random.default_rng(7))
        )
        for value in (rh, rh + more)
    )
    assert high >= low


def test_the_daily_range_grows_with_dryness_and_height():
    t = np.full(12, 15.0)
    assert daily_range_c(t, np.full(12, 30.0))[0] > daily_range_c(t, np.full(12, 80.0))[0]
    assert daily_range_c(t, np.full(12, 60.0), 2000.0)[0] > daily_range_c(t, np.full(12, 60.0))[0]
    assert (day_to_day_sd_c(np.linspace(-30, 20, 12))[0] >= day_to_day_sd_c(np.full(12, 20.0))[0]).all()


def test_every_parameter_is_used():
    from importlib.resources import files

    code = "".join(
        files("longhold").joinpath("air", name).read_text(encoding="utf-8")
        for name in ("generator_parameters.py", "rain_spells.py", "weather_generator.py")
    )
    whole = [name for name in parameters() if f'"{name}"' in code]
    built = [f"{a}_{b}" for a in ("wet_temperature", "wet_dew") for b in ("at_0", "per_c", "per_humidity")]
    built += ["spell_long_hours", "spell_short_hours", "wave_1", "wave_1_peak", "wave_2", "wave_2_peak"]
    assert set(parameters()) == {*whole, *built}


@pytest.mark.parametrize("kept", [0.0, 0.5, 0.97])
def test_a_series_with_memory_is_standard_normal_and_remembers(kept):
    x = with_memory(np.random.default_rng(1), 200_000, kept)
    assert x.mean() == pytest.approx(0.0, abs=0.1)
    assert x.std() == pytest.approx(1.0, abs=0.05)
    assert np.corrcoef(x[1:], x[:-1])[0, 1] == pytest.approx(kept, abs=0.01)


def test_a_decade_takes_well_under_a_second():
    site = site_of("Chicago")
    generate_weather(site, 1, np.random.default_rng(1))
    best = min(_timed(site) for _ in range(3))
    assert best < 0.8


def _timed(site):
    start = time.perf_counter()
    generate_weather(site, 10, np.random.default_rng(1))
    return time.perf_counter() - start
