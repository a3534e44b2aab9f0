"""Holes in hourly files: filled and said, or refused."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.intake.weather_gaps import HourRows, to_hourly

HOURS = 8760
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def calendar(leap=False):
    days = list(MONTH_DAYS)
    days[1] += leap
    month = np.repeat(np.arange(1, 13), np.array(days) * 24)
    day = np.concatenate([np.repeat(np.arange(1, n + 1), 24) for n in days])
    return month, day, np.tile(np.arange(24), sum(days))


def wave(length=HOURS):
    hour = np.arange(length)
    return {
        "temperature_c": 10
        + 8 * np.cos(2 * np.pi * (hour - 4000) / 8760)
        + 4 * np.cos(2 * np.pi * (hour % 24 - 15) / 24),
        "relative_humidity_pct": 70 - 15 * np.cos(2 * np.pi * (hour % 24 - 15) / 24),
    }


def rows(keep=None, leap=False, **parts):
    month, day, hour = calendar(leap)
    given = {**wave(month.size), **parts}
    keep = slice(None) if keep is None else keep
    return HourRows(month[keep], day[keep], hour[keep], {n: v[keep] for n, v in given.items()}, "made up")


def holed(values, *spans):
    found = values.copy()
    for start, stop in spans:
        found[start:stop] = np.nan
    return found


def test_a_whole_file_is_taken_as_it_is():
    weather = to_hourly(rows())
    assert (weather.temperature_c == wave()["temperature_c"]).all()
    assert weather.rain_mm is None
    assert weather.wind_speed_m_s is None
    assert not any("filled" in note for note in weather.notes)


def test_a_short_gap_goes_straight_across_and_is_told():
    t = wave()["temperature_c"]
    weather = to_hourly(rows(temperature_c=holed(t, (100, 104))))
    line = np.interp([100, 101, 102, 103], [99, 104], [t[99], t[104]])
    assert weather.temperature_c[100:104] == pytest.approx(line)
    assert any("temperature filled: 4 hours straight across" in note for note in weather.notes)


def test_a_long_gap_keeps_the_daily_swing():
    t = wave()["temperature_c"]
    weather = to_hourly(rows(temperature_c=holed(t, (24 * 50 + 5, 24 * 53 + 5))))
    assert np.abs(weather.temperature_c - t).max() < 0.2
    assert any("same hour of the days around" in note for note in weather.notes)


def test_sentinels_and_impossible_values_count_as_missing():
    t, rh = wave().values()
    t[10], rh[20], rh[30] = 99.9, 999.0, 140.0
    weather = to_hourly(rows(temperature_c=t, relative_humidity_pct=rh))
    assert weather.temperature_c.max() < 25
    assert weather.relative_humidity_pct.max() < 90
    assert any("1 hours of relative humidity are impossible, such as 140" in note for note in weather.notes)


def test_humidity_a_little_over_100_is_100_and_told():
    rh = wave()["relative_humidity_pct"]
    rh[5:9] = 104.0
    weather = to_hourly(rows(relative_humidity_pct=rh))
    assert (weather.relative_humidity_pct[5:9] == 100.0).all()
    assert any("4 hours of relative humidity above 100 %" in note for note in weather.notes)


def test_humidity_comes_from_the_dew_point_where_it_is_missing():
    t, rh = wave().values()
    weather = to_hourly(rows(relative_humidity_pct=np.full(HOURS, 999.0), dew_point_c=t - 5.0))
    assert np.all(weather.relative_humidity_pct < 80)
    assert any("8,760 hours of relative humidity computed" in note for note in weather.notes)
    assert rh is not weather.relative_humidity_pct


def test_rows_that_are_not_there_are_filled_and_told():
    keep = np.r_[0:200, 203:HOURS]
    weather = to_hourly(rows(keep=keep))
    assert np.abs(weather.temperature_c - wave()["temperature_c"]).max() < 0.5
    assert any("3 of 8,760 hours are not in the file" in note for note in weather.notes)


def test_29_february_is_left_out():
    weather = to_hourly(rows(leap=True))
    assert weather.years == 1
    assert any("29 February left out: 24 hours" in note for note in weather.notes)


def test_two_years_follow_each_other():
    month, day, hour = (np.tile(part, 2) for part in calendar())
    weather = to_hourly(HourRows(month, day, hour, wave(2 * HOURS), "made up"))
    assert weather.years == 2


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"temperature_c": holed(wave()["temperature_c"], (0, 900))}, "900 of 8,760 hours are missing"),
        ({"temperature_c": holed(wave()["temperature_c"], (100, 500))}, "400 hours are missing in a row"),
        ({"relative_humidity_pct": np.full(HOURS, 999.0)}, "relative humidity: 8,760 of 8,760"),
    ],
)
def test_too_much_missing_is_refused(change, words):
    with pytest.raises(InputError, match=words):
        to_hourly(rows(**change))


def test_a_file_without_temperature_and_humidity_tells_both():
    month, day, hour = calendar()
    with pytest.raises(InputError) as refused:
        to_hourly(HourRows(month, day, hour, {}, "made up"))
    assert len(refused.value.problems) == 2


def test_half_a_year_is_refused():
    with pytest.raises(InputError, match="missing"):
        to_hourly(rows(keep=np.arange(4380)))


def test_rows_out_of_order_or_twice_are_refused():
    order = np.arange(HOURS)
    order[[10, 11]] = [11, 10]
    with pytest.raises(InputError, match="hour 12 of the file comes before"):
        to_hourly(rows(keep=order))
    with pytest.raises(InputError, match="1 hours stand twice"):
        to_hourly(rows(keep=np.r_[0:11, 10:HOURS]))


def test_nothing_but_29_february_is_refused():
    part = np.array([29])
    with pytest.raises(InputError, match="no hours"):
        to_hourly(HourRows(np.array([2]), part, np.array([0]), {"temperature_c": np.array([1.0])}, "made up"))


def test_rain_is_kept_and_its_holes_are_dry():
    rain = np.zeros(HOURS)
    rain[100:110] = 1.0
    rain[105], rain[106] = 999.0, 0.05
    weather = to_hourly(rows(rain_mm=rain))
    assert weather.rain_mm is not None
    assert weather.wet is not None
    assert weather.rain_mm.sum() == pytest.approx(8.05)
    assert weather.wet.sum() == 8
    assert any("1 hours without a word on rain taken as dry" in note for note in weather.notes)


@pytest.mark.parametrize(
    ("rain", "words"),
    [
        (np.zeros(HOURS), "taken as not recorded"),
        (np.full(HOURS, 999.0), "rain is not in the file"),
        (np.where(np.arange(HOURS) < 2000, np.nan, 0.1), "taken as absent"),
        (np.where(np.arange(HOURS) % 50 == 0, 500.0, 0.0), "tenths of a millimeter"),
    ],
)
def test_rain_that_was_not_recorded_is_absent(rain, words):
    weather = to_hourly(rows(rain_mm=rain))
    assert weather.rain_mm is None
    assert weather.wet is None
    assert any(words in note for note in weather.notes)


def test_a_desert_without_rain_is_believed():
    weather = to_hourly(rows(rain_mm=np.zeros(HOURS), relative_humidity_pct=np.full(HOURS, 25.0)))
    assert weather.rain_mm is not None


def test_wind_is_filled_or_absent():
    speed, from_deg = np.full(HOURS, 3.0), np.full(HOURS, 200.0)
    from_deg[:3], from_deg[50] = 999.0, 360.0
    weather = to_hourly(rows(wind_speed_m_s=speed, wind_from_deg=from_deg))
    assert weather.wind_from_deg is not None
    assert weather.wind_from_deg[0] == 200.0
    assert weather.wind_from_deg[50] == 0.0
    lost = to_hourly(rows(wind_speed_m_s=np.where(np.arange(HOURS) < 2000, 999.0, 3.0)))
    assert lost.wind_speed_m_s is None
    assert any("wind speed: 2,000 of 8,760 hours are missing; taken as absent" in note for note in lost.notes)
