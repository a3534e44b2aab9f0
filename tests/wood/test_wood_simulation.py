from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.model.weather import HourlyWeather
from longhold.wood import kernel, simulation_input
from longhold.wood.faces import face_exposure
from longhold.wood.response import by_temperature, temperature_response
from longhold.wood.simulation import MoistureCase, MoistureNotConverged, simulate, simulate_many
from longhold.wood.sorption import equilibrium_moisture_pct
from longhold.wood.transport import WoodSection

needs_compiler = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="too long on plain arrays")
pytestmark = needs_compiler
BOARD = WoodSection(0.038, 0.5)
TOP, LOW, SEALED = (face_exposure(kind) for kind in ("open_above", "under_cover", "sealed"))


def weather(celsius=18.0, humidity=75.0, rain=None, sun=None, years=1):
    hours = np.zeros(8760 * years)
    rain = hours if rain is None else rain
    return HourlyWeather(
        hours + celsius, hours + humidity, rain, rain > 0.0, None, None, sun, "made up", "own", Mark.INVENTED
    )


def spells(each_h, a_year, mm_h=2.0):
    """Rain in even spells through the year."""
    rain = np.zeros(8760)
    for start in np.linspace(0, 8760 - each_h - 1, a_year).astype(int):
        rain[start : start + each_h] = mm_h
    return rain


RAINY = weather(rain=spells(3, 150))


def run(front=TOP, back=LOW, air=RAINY, board=BOARD, **more):
    return simulate(board, front, back, air, **{"step_s": 3600, **more})


def loss(found, name="early_plateau"):
    return found.response[name]


def test_steady_air_brings_the_rest_moisture():
    found = run(air=weather(celsius=10.0, humidity=85.0), start_pct=10.0, spin_up_years=2)
    np.testing.assert_allclose(found.mean_pct, float(equilibrium_moisture_pct(10.0, 85.0)), atol=0.02)
    assert found.balance_error_share < 1e-9


def test_two_climates_give_a_slope_between_them():
    found = run(face_exposure("under_cover"), face_exposure("dry_inside"), weather(20.0, 85.0))
    assert (np.diff(found.mean_pct) < 0.0).all()
    outside, inside = (float(equilibrium_moisture_pct(20.0, rh)) for rh in (85.0, 40.0))
    assert inside < found.mean_pct[-1] < found.mean_pct[0] < outside
    assert found.back.evaporated_mm > 0.0


def test_half_a_timber_with_a_sealed_middle_is_the_whole():
    whole = run(TOP, TOP, board=WoodSection(0.04, 0.5, cells=80, first_cell_m=0.0005))
    half = run(TOP, SEALED, board=WoodSection(0.02, 0.5, cells=40, first_cell_m=0.0005))
    np.testing.assert_allclose(whole.mean_pct, whole.mean_pct[::-1], rtol=1e-9)
    np.testing.assert_allclose(whole.mean_pct[:40], half.mean_pct, rtol=1e-9)
    assert half.back.evaporated_mm == pytest.approx(0.0, abs=1e-9)


def test_evenly_spread_rain_is_worse_than_the_same_rain_in_bursts():
    even, bursts = (run(air=weather(rain=spells(hours, number))) for hours, number in ((2, 240), (24, 20)))
    assert even.front.arrived_mm == pytest.approx(bursts.front.arrived_mm)
    for name in even.response:
        assert loss(even, name).max() > 1.5 * loss(bursts, name).max()


def test_water_is_accounted_for_at_the_faces():
    found = run()
    front = found.front
    assert front.arrived_mm == pytest.approx(900.0)
    assert 0.0 < front.taken_up_mm < front.arrived_mm
    assert front.taken_up_mm + front.run_off_mm == pytest.approx(front.arrived_mm, abs=0.2)
    assert found.back.arrived_mm == found.back.taken_up_mm == 0.0
    assert found.balance_error_share < 1e-9


def test_rain_on_frozen_wood_runs_off_and_frozen_wood_loses_no_metal():
    found = run(air=replace(RAINY, temperature_c=np.full(8760, -3.0)))
    assert found.front.taken_up_mm == 0.0
    assert found.front.run_off_mm == pytest.approx(found.front.arrived_mm)
    assert loss(found).max() == found.share_above.max() == 0.0


def test_a_trap_stays_wet_longer_than_an_open_face():
    seldom = weather(rain=spells(3, 40))
    opened, *trapped = (run(face_exposure(kind), air=seldom) for kind in ("open_above", "trapped"))
    for found in trapped:
        assert loss(found).max() > 1.3 * loss(opened).max()
        assert found.share_above[2] > opened.share_above[2]


def test_wood_that_evaporation_cools_dries_more_slowly(monkeypatch):
    seldom = weather(rain=spells(3, 40))
    cooled, table = run(air=seldom), load_toml("wood/transport.toml")
    warm = {**table, "cooling": {**table["cooling"], "latent_j_kg": 0.0}}
    monkeypatch.setattr(
        simulation_input, "load_toml", lambda name: warm if "transport" in name else load_toml(name)
    )
    uncooled = run(air=seldom)
    assert loss(cooled).max() > 1.05 * loss(uncooled).max()
    assert cooled.mean_pct[0] > uncooled.mean_pct[0]
    # in dry wood there is nothing to evaporate
    dry = face_exposure("dry_inside")
    assert run(dry, dry, air=seldom).mean_pct == pytest.approx(float(equilibrium_moisture_pct(20.0, 40.0)))


def test_ground_keeps_wood_wet_and_rooms_keep_it_dry():
    wet = run(face_exposure("ground_contact"), SEALED)
    np.testing.assert_allclose(wet.mean_pct, face_exposure("ground_contact").held_pct, atol=0.5)
    assert loss(wet).min() > 0.99
    dry = run(face_exposure("dry_inside"), face_exposure("dry_inside"))
    assert loss(dry).max() < 0.001
    damp = run(face_exposure("damp_inside"), face_exposure("damp_inside"))
    assert dry.mean_pct.max() < damp.mean_pct.min() < 18.0


def test_less_water_means_less_loss():
    worst = [
        loss(found).max()
        for found in (
            run(),
            run(face_exposure("open_side")),
            run(TOP.coated()),
            run(face_exposure("under_cover")),
        )
    ]
    assert worst[0] > worst[1] > worst[3]
    assert worst[0] > worst[2] > worst[3]


def test_sun_dries():
    """Days alike are equally clear, however strong their sun: the sky takes the same."""
    hour = np.arange(8760) % 24
    bright = replace(RAINY, sun_w_m2=np.maximum(900.0 * np.sin((hour - 6.0) / 12.0 * np.pi), 0.0))
    weak, strong = run(air=replace(bright, sun_w_m2=0.3 * bright.sun_w_m2)), run(air=bright)
    assert strong.mean_pct[0] < weak.mean_pct[0]
    none = run(face_exposure("open_above", sun_warming_c=0.0), air=bright)
    np.testing.assert_array_equal(none.mean_pct, run().mean_pct)


@pytest.mark.parametrize("compiled", [None, False])
def test_a_clear_night_keeps_wood_damper_and_no_more_than_vapour_is_taken_up(compiled):
    """Nights whose faces are colder than the dew point, days without sun: no rain, only the sky."""
    dusk = np.where(np.arange(8760) % 24 == 12, 1.0, 0.0)
    damp = weather(10.0, 97.0)
    asked = {"spin_up_years": 0, "step_s": 21600, "compiled": compiled, "start_pct": 15.0}
    covered, under_sky = run(air=damp, **asked), run(air=replace(damp, sun_w_m2=dusk), **asked)
    assert under_sky.balance_error_share < 1e-9
    assert under_sky.mean_pct[0] > covered.mean_pct[0]
    assert under_sky.mean_pct.max() < 30.0  # dew beyond saturation runs off


def test_end_grain_is_wet_deeper():
    length = {"thickness_m": 0.15, "specific_gravity": 0.5, "cells": 80}
    across, along = (run(TOP, SEALED, board=WoodSection(**length, grain=g)) for g in ("across", "along"))
    assert along.front.taken_up_mm > 1.5 * across.front.taken_up_mm
    deep = 0.05
    assert np.interp(deep, along.depth_m, along.mean_pct) > 1.2 * np.interp(
        deep, across.depth_m, across.mean_pct
    )


def test_response_is_the_mean_over_the_hours_of_its_formula():
    sets = {"mine": (0.4, 17.0)}
    found = run(responses=sets, history_h=1, threshold_pct=20.0)
    moisture = found.history_pct
    assert moisture.shape == (8760, 48)
    share = 1.0 / (1.0 + np.exp(0.4 * (17.0 - moisture)))
    np.testing.assert_allclose(found.response["mine"], share.mean(0), rtol=1e-9)
    np.testing.assert_allclose(found.share_above, (moisture > 20.0).mean(0), rtol=1e-9)
    np.testing.assert_allclose(found.mean_pct, moisture.mean(0), rtol=1e-9)
    np.testing.assert_allclose(found.monthly_pct[0], moisture[:744].mean(0), rtol=1e-9)


@pytest.mark.parametrize("compiled", [None, False])
def test_the_response_by_temperature_is_the_same_times_arrhenius_factor(compiled):
    celsius = 12.0 + 14.0 * np.sin(np.arange(8760) / 8760.0 * 2 * np.pi)
    air = replace(RAINY, temperature_c=celsius)
    asked = {"air": air, "responses": {"mine": (0.4, 17.0)}, "spin_up_years": 0, "step_s": 21600}
    found = run(history_h=6, activation_energy_kj_mol=32.0, compiled=compiled, **asked)
    without = run(compiled=compiled, **asked)
    assert list(found.response) == ["mine", by_temperature("mine")]
    np.testing.assert_array_equal(found.response["mine"], without.response["mine"])
    share = 1.0 / (1.0 + np.exp(0.4 * (17.0 - found.history_pct)))
    inside = celsius.reshape(-1, 6).mean(axis=1)[:, None]  # both faces have the air's: no sun
    for name, energy in (("mine", None), (by_temperature("mine"), 32.0)):
        expected = (share * temperature_response(inside, energy)).mean(0)
        np.testing.assert_allclose(found.response[name], expected, rtol=1e-9)


@pytest.mark.parametrize("energy", [-1.0, 101.0, np.nan])
def test_an_energy_out_of_range_is_refused(energy):
    with pytest.raises(InputError, match="activation_energy_kj_mol"):
        run(activation_energy_kj_mol=energy)


def test_a_batch_is_its_cases_one_by_one():
    cases = [
        MoistureCase(BOARD, TOP, LOW),
        MoistureCase(replace(BOARD, diffusion_factor=2.0, specific_gravity=0.4), TOP, LOW, 1),
        MoistureCase(BOARD, face_exposure("trapped"), face_exposure("dry_inside"), 1, start_pct=11.0),
    ]
    airs = [RAINY, weather(25.0, 85.0, spells(1, 300))]
    batch = simulate_many(cases, airs, threads=2)
    for case, found in zip(cases, batch, strict=True):
        alone = simulate(case.section, case.front, case.back, airs[case.weather], start_pct=case.start_pct)
        np.testing.assert_array_equal(found.mean_pct, alone.mean_pct)
        assert found.front == alone.front
    back = simulate_many(cases[::-1], airs)
    np.testing.assert_array_equal(back[0].mean_pct, batch[2].mean_pct)


def test_spin_up_years_let_the_start_be_forgotten():
    dry, wet = (run(start_pct=start, spin_up_years=2) for start in (6.0, 40.0))
    np.testing.assert_allclose(dry.mean_pct, wet.mean_pct, rtol=1e-4)
    dry, wet = (run(start_pct=start, spin_up_years=0) for start in (6.0, 40.0))
    assert wet.mean_pct[24] > 1.02 * dry.mean_pct[24]


@pytest.mark.parametrize("step_s", [300, 900, 1800, 7200, 21600])
def test_any_step_is_stable_and_keeps_the_account(step_s):
    found = run(step_s=step_s)
    assert found.balance_error_share < 1e-9
    assert found.front.arrived_mm == pytest.approx(900.0)
    assert 5.0 < found.mean_pct.min() <= found.mean_pct.max() < 40.0
    if step_s <= 1800:
        np.testing.assert_allclose(loss(found), loss(run()), rtol=0.2, atol=0.005)


def test_several_years_and_their_monthly_means():
    rain = np.concatenate([spells(3, 150), spells(3, 10)])
    found = run(air=weather(rain=rain, years=2))
    assert found.years == 2
    assert found.front.arrived_mm == pytest.approx((900.0 + 60.0) / 2)
    assert found.monthly_pct.shape == (12, 48)


def test_no_answer_is_told_with_hour_and_depth(monkeypatch):
    monkeypatch.setattr(kernel, "MOST_STEPS", 1)
    monkeypatch.setattr(kernel, "MOST_PIECES", 1)
    with pytest.raises(
        MoistureNotConverged, match=r"case 0 did not converge in hour \d+.* mm deep"
    ) as caught:
        run(compiled=False, spin_up_years=0)
    assert caught.value.case == 0
    assert 0 <= caught.value.hour < 8760
    assert 0.0 <= caught.value.depth_m <= 0.038


def with_hole(name):
    series = getattr(RAINY, name).copy()
    series[77] = np.nan
    return replace(RAINY, **{name: series})


@pytest.mark.parametrize(
    ("told", "match"),
    [
        ({"air": with_hole("temperature_c")}, r"weather\[0\].temperature_c\[77\]"),
        ({"air": with_hole("rain_mm")}, r"rain_mm\[77\]"),
        ({"air": replace(RAINY, relative_humidity_pct=np.full(8760, 130.0))}, "8,760 hours are not"),
        ({"air": replace(RAINY, rain_mm=None, wet=None)}, "is needed by this face"),
        ({"step_s": 86400}, "Longer steps would miss the rain"),
        ({"step_s": 7000}, "divide the hour"),
        ({"step_s": 60}, "300 to 3,600 s"),
        ({"start_pct": 140.0}, "at most 135 %"),
        ({"start_pct": -1.0}, "start_pct"),
        ({"spin_up_years": -1}, "spin_up_years"),
        ({"history_h": 0}, "history_h"),
        ({"threshold_pct": float("nan")}, "threshold_pct"),
        ({"responses": {"x": (-1.0, 20.0)}}, r"responses\[x\]"),
        (
            {"front": face_exposure("dry_inside", temperature_c=np.full(10, 20.0))},
            "one for each of 8,760 hours",
        ),
        ({"front": face_exposure("ground_contact", held_pct=200.0)}, "held_pct"),
    ],
)
def test_what_cannot_be_simulated_is_refused(told, match):
    with pytest.raises(InputError, match=match):
        run(**told)


def test_batches_share_their_grid():
    cases = [MoistureCase(BOARD, TOP, LOW), MoistureCase(WoodSection(0.05, 0.5), TOP, LOW)]
    with pytest.raises(InputError, match="share thickness"):
        simulate_many(cases, [RAINY])
    with pytest.raises(InputError, match="must be 0 to 0"):
        simulate_many([MoistureCase(BOARD, TOP, LOW, weather=3)], [RAINY])
    with pytest.raises(InputError, match="1 to 100,000"):
        simulate_many([], [RAINY])
    with pytest.raises(InputError, match="at least one year"):
        simulate_many(cases[:1], [])


def test_the_room_is_imported_without_the_compiler():
    code = "import sys, longhold.wood.simulation; print('numba' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
