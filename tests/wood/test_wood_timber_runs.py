from __future__ import annotations

from dataclasses import replace
from typing import get_args

import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.model.weather import HourlyWeather
from longhold.wood import kernel
from longhold.wood.faces import face_bands
from longhold.wood.response import activation_energy_band, by_temperature, rate_sets
from longhold.wood.surface import design_points
from longhold.wood.timber_runs import (
    RUN_YEARS,
    RUNS,
    SITUATION_WORDS,
    WEATHER_CAUSES,
    Situation,
    design_causes,
    timber_case,
    timber_surfaces,
)

SITUATIONS = get_args(Situation)
needs_compiler = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="too long on plain arrays")


def rainy(run):
    """A damp year with rain on some days, another in each run."""
    rng = np.random.default_rng(run)
    rain = np.where(rng.random(8760) < 0.05, 2.0, 0.0)
    level = np.zeros(8760)
    air = 14.0 + level, 72.0 + 8.0 * np.sin(np.arange(8760) / 24.0)
    return HourlyWeather(*air, rain, rain > 0.0, None, None, None, "made up", "own", Mark.INVENTED)


WEATHERS = [rainy(run) for run in range(RUNS)]


def surfaces(situation, weathers=None, gravity=0.5, thickness_mm=38.0):
    z = design_points(RUNS, len(design_causes(situation)))
    return timber_surfaces(thickness_mm, gravity, situation, z, weathers or WEATHERS)


def worst(found, name="late_plateau"):
    return found.responses[name].at(np.zeros((1, len(found.causes))))[0].max()


def test_every_situation_has_causes_of_its_own_after_those_of_the_weather():
    assert set(SITUATION_WORDS) == set(SITUATIONS)
    for situation in SITUATIONS:
        names = design_causes(situation)
        assert names[:2] == WEATHER_CAUSES
        assert len(set(names)) == len(names)
        assert ("trap" in names) == situation.startswith("trapped")
        assert ("side_rain" in names) == ("upright" in situation)
        assert 1 + 2 * len(names) + 4 <= RUNS


@pytest.mark.parametrize("situation", SITUATIONS)
def test_the_middle_of_every_cause_is_the_middle_of_every_figure(situation):
    case = timber_case(38.0, 0.5, situation, dict.fromkeys(design_causes(situation), 0.0), 3)
    for face in (case.front, case.back):
        for name, band in face_bands(face.kind).items():
            assert getattr(face, name) == pytest.approx(band.median)
    assert case.weather == 3
    assert case.section.diffusion_factor == pytest.approx(1.0)


def test_a_worse_trap_holds_more_water_and_dries_more_slowly():
    for situation in ("trapped_level", "trapped_upright"):
        mild, harsh = (
            timber_case(
                38.0, 0.5, situation, {**dict.fromkeys(design_causes(situation), 0.0), "trap": z}, 0
            ).front
            for z in (-1.0, 1.0)
        )
        assert harsh.keeps_mm > mild.keeps_mm
        assert harsh.catch_share > mild.catch_share
        assert harsh.film_m_s < mild.film_m_s


@needs_compiler
def test_surfaces_tell_shares_at_each_depth_and_account_for_all_water():
    found = surfaces("level")
    cells = found.depth_mm.size
    assert (np.diff(found.depth_mm) > 0.0).all()
    assert 0.0 < found.depth_mm[0] < 1.0
    assert found.depth_mm[-1] < 38.0
    assert found.monthly_pct.shape == (12, cells)
    assert ((found.above_share >= 0.0) & (found.above_share <= 1.0)).all()
    assert found.balance_error < 1e-9
    assert found.causes == design_causes("level")
    z = np.random.default_rng(1).normal(size=(50, len(found.causes)))
    for surface in found.responses.values():
        shares = surface.at(z)
        assert shares.shape == (50, cells)
        assert ((shares >= 0.0) & (shares <= 1.0)).all()
        assert surface.unseen_sd.shape == (cells,)


@needs_compiler
def test_wood_cooler_than_the_tests_loses_less_where_the_rate_follows_temperature():
    found = surfaces("level")
    assert set(found.responses) == {*rate_sets(), *map(by_temperature, rate_sets())}
    hot = surfaces("level", [replace(one, temperature_c=one.temperature_c + 22.0) for one in WEATHERS])
    for name in rate_sets():
        assert worst(found, by_temperature(name)) < 0.8 * worst(found, name)
        assert worst(hot, by_temperature(name)) > 1.2 * worst(hot, name)


@needs_compiler
def test_the_surface_tells_a_run_it_has_not_seen_within_its_stated_error():
    """Causes at their middle, which no design point is; weathers of other draws."""
    from longhold.wood.simulation import simulate_many

    found = surfaces("level")
    middle = dict.fromkeys(found.causes, 0.0)
    cases = [timber_case(38.0, 0.5, "level", middle, run) for run in range(8)]
    asked = {"spin_up_years": 0, "activation_energy_kj_mol": activation_energy_band().median}
    runs = simulate_many(cases, [rainy(100 + run) for run in range(8)], **asked)
    for name, surface in found.responses.items():
        told = surface.at(np.zeros((1, len(found.causes))))[0]
        at = int(told.argmax())
        share = np.array([run.response[name][at] for run in runs])
        off = np.log(share / (1.0 - share)) - np.log(told[at] / (1.0 - told[at]))
        assert abs(off.mean()) < 2.0 * surface.unseen_sd[at]


@needs_compiler
def test_the_less_rain_reaches_a_face_the_less_is_lost_and_a_trap_is_worse():
    covered, upright, level, trapped_upright, trapped_level = (
        worst(surfaces(s)) for s in ("covered", "upright", "level", "trapped_upright", "trapped_level")
    )
    assert covered < upright <= level < trapped_level
    assert upright < trapped_upright < trapped_level


@needs_compiler
def test_runs_are_the_same_at_every_call_and_hang_on_their_own_weather():
    one, again = surfaces("upright"), surfaces("upright")
    np.testing.assert_array_equal(
        one.responses["late_plateau"].coefficients, again.responses["late_plateau"].coefficients
    )
    dry_half = np.arange(8760) < 4380
    drier = [replace(air, rain_mm=air.rain_mm * dry_half, wet=air.wet & dry_half) for air in WEATHERS]
    assert worst(surfaces("upright", drier)) < worst(one)


def test_a_timber_that_cannot_be_is_refused():
    with pytest.raises(InputError, match="specific_gravity"):
        surfaces("level", gravity=2.0)
    with pytest.raises(InputError, match="thickness_m"):
        surfaces("level", thickness_mm=0.0)
    assert RUN_YEARS >= 1
