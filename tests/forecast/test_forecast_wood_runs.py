from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from longhold.air.climates import station, stations
from longhold.air.weather import monthly_climate, site_weather
from longhold.air.weather_generator import generate_weather
from longhold.base.errors import InputError
from longhold.base.kept import KeptArrays
from longhold.forecast import wood_runs
from longhold.forecast.wood_runs import TimberKind, WoodRuns
from longhold.wood import kernel

pytestmark = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="too long on plain arrays")
LEVEL = TimberKind(38.1, 0.5, "level")
COVERED = replace(LEVEL, situation="covered")


def site(name="Wilmington NC", **changed):
    found = next(one for one in stations() if one.name == name)
    return site_weather(replace(station(name), **changed), found.latitude, found.longitude)


@pytest.fixture(scope="module")
def runs():
    return WoodRuns(site())


def worst(runs, situation="level", name="late_plateau", *, at=None):
    found = runs.surfaces(replace(LEVEL, situation=situation))
    z = np.zeros((1, len(found.causes)))
    for cause, value in (at or {}).items():
        z[0, found.causes.index(cause)] = value
    return float(found.responses[name].at(z)[0].max())


@pytest.mark.parametrize("name", ["early_plateau", "late_plateau"])
def test_situations_stand_in_the_order_of_the_rain_that_they_hold(runs, name):
    covered, upright, level = (worst(runs, s, name) for s in ("covered", "upright", "level"))
    trapped_upright, trapped_level = (worst(runs, s, name) for s in ("trapped_upright", "trapped_level"))
    assert covered < upright <= level
    assert trapped_upright > upright
    assert trapped_level > level


def test_each_kind_is_simulated_once(runs):
    assert runs.surfaces(LEVEL) is runs.surfaces(TimberKind(38.1, 0.5, "level"))
    assert runs.surfaces(LEVEL) is not runs.surfaces(replace(LEVEL, specific_gravity=0.4))


@pytest.mark.parametrize("situation", ["level", "trapped_upright"])
def test_more_rain_is_never_less_loss(runs, situation):
    dry = WoodRuns(site(rain_mm=tuple(0.4 * mm for mm in station("Wilmington NC").rain_mm), rain_days=None))
    for name in ("early_plateau", "late_plateau"):
        assert worst(dry, situation, name) < worst(runs, situation, name)


def test_moister_air_and_longer_rain_are_never_less_loss(runs):
    for cause in ("moisture_offset", "rain_spells"):
        less, more = (worst(runs, at={cause: z}) for z in (-1.0, 1.0))
        assert less < more


def test_kept_runs_are_those_simulated(tmp_path, monkeypatch, runs):
    made = WoodRuns(site(), KeptArrays(tmp_path)).surfaces(LEVEL)
    np.testing.assert_array_equal(made.above_share, runs.surfaces(LEVEL).above_share)
    monkeypatch.setattr(wood_runs, "timber_surfaces", None)  # nothing is simulated from here on
    read = WoodRuns(site(), KeptArrays(tmp_path)).surfaces(LEVEL)
    assert read.causes == made.causes
    assert read.balance_error == made.balance_error
    for name in ("depth_mm", "monthly_pct", "above_share"):
        np.testing.assert_array_equal(getattr(read, name), getattr(made, name))
    z = np.random.default_rng(0).normal(size=(20, len(made.causes)))
    for name, surface in made.responses.items():
        np.testing.assert_array_equal(read.responses[name].at(z, z[:, 0]), surface.at(z, z[:, 0]))
    with pytest.raises(TypeError):
        WoodRuns(site("Phoenix"), KeptArrays(tmp_path)).surfaces(LEVEL)  # another site is not kept


def test_a_site_without_rain_is_refused_only_where_rain_reaches_the_timber():
    unknown = WoodRuns(site(rain_mm=None, rain_days=None))
    with pytest.raises(InputError, match="neither rain nor days with rain are known") as caught:
        unknown.surfaces(LEVEL)
    assert "Give rain_mm or rain_days by month" in str(caught.value)
    found = unknown.surfaces(COVERED)
    assert 5.0 < found.monthly_pct.min() < found.monthly_pct.max() < 28.0
    with pytest.raises(InputError, match="neither rain nor days with rain are known"):
        unknown.surfaces(LEVEL)


def test_days_with_rain_alone_are_enough(runs):
    days = WoodRuns(site(rain_mm=None))
    assert 0.5 * worst(runs) < worst(days) < 2.0 * worst(runs)


def test_an_hourly_file_is_used_as_it_is():
    """Months that tell nothing of a wet spring: only the hours can bring it."""
    hourly = generate_weather(site(), 1, np.random.default_rng(7))
    rain = np.where(hourly.months() == 3, 1.0, 0.0)
    wet = replace(hourly, rain_mm=rain, wet=rain > 0.0)
    months = monthly_climate(wet, 34.3, -77.9)
    told = replace(months, climate=station("Wilmington NC"))
    found = WoodRuns(told).surfaces(LEVEL)
    outer = found.monthly_pct[:, found.depth_mm < 5.0].mean(axis=1)
    assert int(outer.argmax()) == 3
    assert outer[3] > 28.0
    # rain that a file leaves out is drawn from the months
    without = replace(told, hourly=replace(hourly, rain_mm=None, wet=None))
    drawn = WoodRuns(without).surfaces(LEVEL).monthly_pct[:, found.depth_mm < 5.0].mean(axis=1)
    assert np.ptp(drawn) < 0.5 * np.ptp(outer)
