"""The scheme itself: its orders, its bounds, its balance, and the two engines held equal."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.tables import load_toml
from longhold.wood import kernel as k
from longhold.wood import vectorised
from longhold.wood.simulation_input import _law
from longhold.wood.sorption import equilibrium_moisture_pct
from longhold.wood.transport import liquid_diffusivity_m2_s, section_cells_m

HOUR = 3600.0


def constant(diffusivity):
    """Laws in which bound water has one diffusivity (pores closed at G = 0.5) and free water never comes."""
    law = _law()
    law[[k.D0, k.ENERGY, k.SLOPE, k.PORE0, k.PORE1, k.FREE]] = diffusivity, 0.0, 0.0, 2.0, 0.0, 1000.0
    return law


def timber(gravity=0.5, start=12.0, bound=1.0, a_w=0.0035, full=80.0, after_rain=1.0):
    liquid = liquid_diffusivity_m2_s(a_w, gravity, full)
    return [1000.0 * gravity, gravity, bound, liquid, full, after_rain, start]


def face(film=0.0, catch=0.0, keeps=0.0, sun=0.0, contact=1e-3, hold=0.0, held=0.0, over=0.0):
    return [film, catch, keeps, sun, contact, hold, held, over]


def records(celsius, humidity, rain_mm_h=0.0, sun=0.0):
    size = max(np.size(x) for x in (celsius, humidity, rain_mm_h, sun))
    c, h, r, s = (
        np.broadcast_to(np.asarray(x, dtype=float), (size,)) for x in (celsius, humidity, rain_mm_h, sun)
    )
    law = load_toml("wood/transport.toml")["saturation"]
    vapour = h / 100.0 * law["e0_pa"] * np.exp(law["a"] * c / (law["b_c"] + c))
    return np.stack([c, vapour, r / HOUR, s], axis=1)


SETS = ((0.981, 19.0), (0.589, 23.0))


def run(widths, par, front, back, dt, *, law=None, every=0, plain=False, sets=SETS):
    """One run through either engine; what it wrote, by name."""
    law = _law() if law is None else law
    par = np.array(par, dtype=float)
    place = np.concatenate([[0.0], (np.cumsum(widths) - widths / 2) / widths.sum(), [1.0]])
    store = par[k.DENSITY] / 100.0 * np.concatenate([[0.0], widths, [0.0]])
    link = par[k.DENSITY] / 100.0 / np.diff(place * widths.sum())
    n, steps = widths.size, front.shape[0]
    month = np.zeros(steps, dtype=np.int64)
    kept = steps // every if every else 0
    asked = 2 if law[k.ACTIVATION] > 0.0 else 1  # each set once more, times the warmth
    names = ("water", "totals", "stored", "response", "above", "monthly", "mean", "history", "failed")
    shapes = ((2,), (2, k.TOTALS), (6,), (asked * len(sets), n), (n,), (12, n), (n,), (kept, n), (2,))
    out = [np.zeros((1, *shape)) for shape in shapes]
    out[-1] = np.full((1, 2), -1, dtype=np.int64)
    rest = (law, np.array(sets), 18.0, dt, 1, steps, 0, every)
    if plain or not k.HAS_COMPILER:
        series = np.zeros(1, dtype=np.int64)
        one = (place, store[None], link[None], par[None])
        with np.errstate(all="ignore"):
            vectorised.run_batch(front[None], back[None], series, month, *one, *rest, *out)
    else:
        work = np.zeros((24, max(n + 2, k.FACE_SIZE)))
        k.run_one(
            front, back, month, place, store, link, par, *rest, work, n + 2, *(array[0] for array in out)
        )
    found = dict(zip(names, (array[0] for array in out), strict=True))
    found["depth"] = place[1:-1] * widths.sum()
    return found


def missed(found):
    """Water that the account misses, over what passed."""
    arrived, taken, run_off, out, condensed, held, dried = found["totals"].sum(axis=0)
    wood0, wood1, *thin = found["stored"]
    lost = abs(wood1 - wood0 - taken - held - condensed + out)
    lost += abs(thin[2] + thin[3] - thin[0] - thin[1] - arrived + taken + run_off + dried)
    return lost / max(arrived + abs(taken) + out + condensed + abs(held), 1e-3 * wood1)


# --- against a solution in closed form


def crank(x, fo, terms=200):
    """Slab of unit thickness, at 0, both faces brought to 1: the series of the textbooks."""
    n = np.arange(terms)[:, None]
    odd = 2 * n + 1
    return 1.0 - (
        4.0 / (math.pi * odd) * np.sin(odd * math.pi * x) * np.exp(-((odd * math.pi) ** 2) * fo)
    ).sum(0)


@pytest.mark.parametrize("fo", [0.02, 0.1, 0.3])
def test_step_change_at_both_faces_against_the_series(fo):
    thick, diffusivity, steps = 0.02, 1e-10, 6000
    widths = section_cells_m(thick, 160, 0.00005)
    wet = face(hold=1e6, held=20.0)
    air = records(np.full(steps, 20.0), 50.0)
    dt = fo * thick**2 / diffusivity / steps
    found = run(
        widths, [*timber(start=10.0), *wet, *wet], air, air, dt, law=constant(diffusivity), every=steps
    )
    ours = (found["history"][0] - 10.0) / 10.0
    assert np.abs(ours - crank(found["depth"] / thick, fo)).max() < 1e-4
    assert missed(found) < 1e-9


def smooth(cells, steps, plain=False):
    """Ten days of humidity that swells and ebbs, from rest; the real laws. Cells averaged in twelve parts."""
    days, thick = 10.0, 0.012
    t = (np.arange(steps) + 1) / steps * days
    air = records(20.0 + 5.0 * np.sin(2 * np.pi * t / 10.0), 65.0 + 20.0 * np.sin(np.pi * t / days) ** 2)
    share = np.tanh(1.2 * np.linspace(-1.0, 1.0, cells + 1)) / math.tanh(1.2)
    widths = 0.5 * thick * np.diff(share)
    start = float(equilibrium_moisture_pct(20.0, 65.0))
    par = [*timber(start=start), *face(film=0.008), *face(film=0.004)]
    found = run(widths, par, air, air, days * 86400.0 / steps, every=steps, plain=plain)
    water = (found["history"][0] * widths).reshape(12, -1).sum(1) / widths.reshape(12, -1).sum(1)
    return water, found["stored"][1]


def test_second_order_in_space():
    ours = [smooth(cells, 500)[0] for cells in (12, 24, 48, 96, 192)]
    steps = [np.abs(a - b).max() for a, b in pairwise(ours)]
    orders = np.log2(np.array(steps[:-1]) / np.array(steps[1:]))
    print("orders in space", orders.round(2))
    assert (orders > 1.8).all()
    assert (orders < 2.3).all()


def test_first_order_in_time():
    ours = [smooth(48, steps)[0] for steps in (60, 120, 240, 480, 960)]
    steps = [np.abs(a - b).max() for a, b in pairwise(ours)]
    orders = np.log2(np.array(steps[:-1]) / np.array(steps[1:]))
    print("orders in time", orders.round(2))
    assert (orders > 0.9).all()
    assert (orders < 1.2).all()


def test_a_wet_face_draws_in_as_the_absorption_coefficient_says():
    """Bound water held back: what is drawn in grows with the square root of time, by A_w."""
    a_w, hours = 0.006, 36
    widths = section_cells_m(0.2, 400, 0.0001)
    par = [*timber(a_w=a_w, bound=1e-4), *face(catch=1.0, keeps=1.0), *face()]
    air = records(np.full(hours * 12, 20.0), 99.9, rain_mm_h=20.0)
    found = run(widths, par, air, air, 300.0)
    ours = found["totals"][0, k.TAKEN_UP] / math.sqrt(hours * HOUR)
    print(f"A_w {ours:.5f}, asked for {a_w}")
    assert ours == pytest.approx(a_w, rel=0.03)


# --- bounds, balance, stability


@settings(deadline=None, max_examples=60, derandomize=True)
@given(
    seed=st.integers(0, 10**6),
    dt=st.sampled_from([300.0, 1800.0, 3600.0, 21600.0]),
    gravity=st.floats(0.3, 0.9),
    a_w=st.floats(0.0005, 0.02),
    bound=st.floats(0.1, 20.0),
    after=st.floats(0.05, 1.0),
    film=st.floats(0.0, 0.05),
    keeps=st.floats(0.0, 1.0),
    start=st.floats(3.0, 60.0),
    contact=st.sampled_from([1e-3, 1e-8]),
)
def test_nothing_overshoots_and_no_water_is_lost(
    seed, dt, gravity, a_w, bound, after, film, keeps, start, contact
):
    rng = np.random.default_rng(seed)
    hours = 240
    celsius, humidity = rng.uniform(-15.0, 40.0, hours), rng.uniform(5.0, 100.0, hours)
    rain = np.where(rng.random(hours) < 0.15, rng.exponential(3.0, hours), 0.0)
    sun = np.where(rng.random(hours) < 0.4, 800.0, 0.0)
    front, back = records(celsius, humidity, rain, sun), records(celsius, humidity)
    par = [
        *timber(gravity, start, bound, a_w, 60.0, after),
        *face(film, 1.0, keeps, 0.008, contact, over=0.008 if contact < 1e-6 else 0.0),
        *face(0.5 * film),
    ]
    found = run(section_cells_m(0.038, 48, 0.0005), par, front, back, dt, every=1)
    assert found["failed"][1] == -1
    assert missed(found) < 1e-9
    rest = float(equilibrium_moisture_pct(-15.0, 100.0))
    assert found["history"].max() <= max(start, 60.0, rest) + 1e-6
    driest = min(float(equilibrium_moisture_pct(48.0, humidity.min() / 4.0)), start)
    assert found["history"].min() >= driest - 1e-6
    taken = found["totals"][0, k.TAKEN_UP]
    assert taken <= found["totals"][0, k.ARRIVED] + 1e-9
    assert found["totals"][:, k.RUN_OFF].min() >= 0.0
    assert (found["response"] >= 0.0).all()
    assert (found["response"] <= hours).all()


@pytest.mark.parametrize("dt", [300.0, 3600.0, 21600.0])
def test_rest_stays_rest(dt):
    start = float(equilibrium_moisture_pct(25.0, 80.0))
    air = records(np.full(400, 25.0), 80.0)
    par = [*timber(start=start), *face(0.008), *face(0.004)]
    found = run(section_cells_m(0.038, 48, 0.0005), par, air, air, dt, every=400)
    np.testing.assert_allclose(found["history"][0], start, atol=1e-6)


def test_a_step_without_an_answer_is_told_not_guessed():
    par = [*timber(), *face(0.008), *face(0.004)]
    par[k.LIQUID] = math.nan
    air = records(np.full(5, 20.0), 80.0)
    for plain in (False, True):
        found = run(section_cells_m(0.038, 12, 0.001), par, air, air, HOUR, plain=plain)
        assert found["failed"][0] == 0
        assert found["failed"][1] >= 0


# --- two engines, one scheme

CASES = {
    "open": (timber(), face(0.008, 1.0, 0.1, 0.008), face(0.004)),
    "refractory": (timber(0.55, bound=2.0, a_w=0.002, after_rain=0.3), face(0.0005, 0.5, 0.5), face(0.004)),
    "ground": (timber(0.4, 20.0), face(hold=1e-3, held=40.0), face()),
    "coated": (timber(0.6, 15.0), face(2.5e-5, 1.0, 0.1, 0.01, 1e-8, over=0.008), face(0.004)),
}


@pytest.mark.skipif(not k.HAS_COMPILER, reason="one engine only without numba")
@pytest.mark.parametrize("name", CASES)
def test_compiled_and_plain_arrays_agree(name):
    rng = np.random.default_rng(3)
    hours = 600
    celsius = 6.0 + 8.0 * np.sin(np.arange(hours) / 24.0 * 2 * np.pi) + rng.normal(0.0, 4.0, hours)
    rain = np.where(rng.random(hours) < 0.2, rng.exponential(2.0, hours), 0.0)
    front = records(celsius, rng.uniform(40.0, 100.0, hours), rain, rng.uniform(0.0, 900.0, hours))
    back = records(celsius, 70.0)
    par = [x for part in CASES[name] for x in part]
    widths = section_cells_m(0.038, 24, 0.0008)
    ours, theirs = (
        run(widths, par, front, back, HOUR, every=1, plain=plain, law=_law(32_000.0))
        for plain in (False, True)
    )
    assert ours["response"].shape[0] == 2 * len(SETS)
    for what, values in ours.items():
        np.testing.assert_allclose(values, theirs[what], rtol=1e-9, atol=1e-9, err_msg=what)
