"""Coats and end grain: what they do to a timber in the rain."""

from __future__ import annotations

import typing

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.model.timber import Timber
from longhold.model.weather import HourlyWeather
from longhold.wood import kernel
from longhold.wood.coats import coat_named, coats
from longhold.wood.faces import face_exposure
from longhold.wood.simulation import simulate_many
from longhold.wood.timber_runs import design_causes, end_grain_length_mm, timber_case

needs_compiler = pytest.mark.skipif(not kernel.HAS_COMPILER, reason="too long on plain arrays")
OPEN = ("level", "upright")
QUICK = settings(max_examples=5, deadline=None, phases=[Phase.generate])  # each case runs for seconds


def climates(coldest_c, least_starts, most_starts):
    """Made-up climates: deg C, humidity of dry hours, share of hours in which rain starts, mm/h, seed."""
    return st.tuples(
        st.floats(coldest_c, 26.0),
        st.floats(45.0, 75.0),
        st.floats(least_starts, most_starts),
        st.floats(0.5, 4.0),
        st.integers(0, 1000),
    )


def weather(temperature_c, humidity_pct, starts, rain_mm, seed):
    """A made-up year: spells of two hours of rain in steady air."""
    starting = np.random.default_rng(seed).random(8760) < starts
    wet = starting | np.roll(starting, 1)
    rain = np.where(wet, rain_mm, 0.0)
    air = np.full(8760, temperature_c), np.where(wet, 95.0, humidity_pct)
    return HourlyWeather(*air, rain, wet, None, None, None, "made up", "own", Mark.INVENTED)


def runs(situation, told, *cases):
    middle = dict.fromkeys(design_causes(situation), 0.0)
    length_mm = end_grain_length_mm() if "end_grain" in cases[0] else 38.1
    made = [timber_case(length_mm, 0.5, situation, middle, 0, **case) for case in cases]
    return simulate_many(made, [weather(*told)])


def mean_pct(run):
    return float(np.average(run.mean_pct, weights=run.width_m))


def response_through(run, name):
    """Response of metal to moisture, through the timber."""
    return float(np.average(run.response[name], weights=run.width_m))


def test_the_coats_that_a_structure_can_ask_for_are_those_of_the_table():
    asked = typing.get_args(typing.get_args(Timber.model_fields["coat"].annotation)[0])
    assert asked == tuple(coats())


def test_coats_stand_tightest_first():
    found = list(coats().values())
    assert [one.vapour_layer_m for one in found] == sorted(
        (one.vapour_layer_m for one in found), reverse=True
    )
    assert [one.liquid_kg_m2_s_pct for one in found] == sorted(one.liquid_kg_m2_s_pct for one in found)
    bare = face_exposure("open_above")
    films = [bare.coated(coat=name).film_m_s for name in coats()]
    assert films == sorted(films)
    assert films[-1] < bare.film_m_s


def test_another_coat_is_refused_with_those_there_are():
    with pytest.raises(InputError, match="paint, stain, water_repellent"):
        coat_named("tar")


@pytest.mark.parametrize("situation", ["trapped_level", "trapped_upright"])
def test_a_coat_is_cut_through_in_a_gap_and_left_on_the_back(situation):
    middle = dict.fromkeys(design_causes(situation), 0.0)
    bare, painted = (timber_case(38.0, 0.5, situation, middle, 0, coat=name) for name in ("", "paint"))
    assert painted.front.film_m_s == bare.front.film_m_s
    assert painted.front.liquid_kg_m2_s_pct == bare.front.liquid_kg_m2_s_pct
    assert painted.back.film_m_s < bare.back.film_m_s / 50


def test_an_end_is_bare_and_takes_up_along_the_grain():
    middle = dict.fromkeys(design_causes("level"), 0.0)
    side = timber_case(38.0, 0.5, "level", middle, 0)
    end = timber_case(end_grain_length_mm(), 0.5, "level", middle, 0, coat="paint", end_grain=True)
    assert end.front.film_m_s == side.front.film_m_s
    assert end.back.film_m_s == 0.0
    assert end.section.absorption > 3.0 * side.section.absorption
    assert end.section.bound_factor > 5.0 * side.section.bound_factor


@needs_compiler
@pytest.mark.parametrize("situation", OPEN)
@QUICK
@given(told=climates(10.0, 0.005, 0.03))
def test_a_coat_wets_no_timber_more_in_the_mean_of_a_year_where_rain_is_common(situation, told):
    bare, *coated = runs(situation, told, {}, *({"coat": name} for name in coats()))
    for one in coated:
        assert one.front.taken_up_mm <= bare.front.taken_up_mm
        assert mean_pct(one) <= mean_pct(bare) + 0.01


@needs_compiler
def test_where_it_is_cold_and_rains_all_the_time_paint_holds_more_water_than_it_keeps_out():
    bare, painted = runs("level", (5.0, 80.0, 0.2, 1.0, 1), {}, {"coat": "paint"})
    assert painted.front.taken_up_mm < bare.front.taken_up_mm / 10
    assert mean_pct(painted) > mean_pct(bare) + 5.0


@needs_compiler
@pytest.mark.parametrize("situation", OPEN)
@QUICK
@given(told=climates(4.0, 0.02, 0.06))
def test_end_grain_in_the_rain_wets_at_least_as_much_as_side_grain(situation, told):
    (side,), (end,) = runs(situation, told, {}), runs(situation, told, {"end_grain": True})
    assert mean_pct(end) >= mean_pct(side)
    for name in side.response:
        assert response_through(end, name) >= response_through(side, name) - 0.001


@needs_compiler
@pytest.mark.parametrize(
    ("situation", "told"),
    [("trapped_level", (4.0, 45.0, 0.0078125, 1.0, 0)), ("upright", (26.0, 46.0, 0.0267, 0.5, 486))],
)
def test_where_rain_is_rare_or_light_end_grain_spreads_what_it_takes_up_and_its_worst_depth_is_drier(
    situation, told
):
    (side,), (end,) = runs(situation, told, {}), runs(situation, told, {"end_grain": True})
    assert end.front.taken_up_mm > side.front.taken_up_mm
    assert all(end.response[name].max() < side.response[name].max() for name in side.response)
