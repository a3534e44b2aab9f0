"""Curves, couple and reach: what must hold of any couple."""

from __future__ import annotations

from dataclasses import fields, replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from longhold.base.marks import Mark
from longhold.forecast.beside import Beside, Patch
from longhold.metal.couples import mixed_couples
from longhold.metal.electrolyte import film, oxygen_in_water, wet_wood
from longhold.metal.mixed_potential import couple, free_potential_v
from longhold.metal.polarization import (
    Curve,
    cathode_of_metal,
    curve_of_metal,
    curve_rows,
    oxygen_limit_a_m2,
)
from longhold.metal.reach import reach_m, ring_radius_m
from longhold.metal.rising_root import CoupleNotSolved, find_rising_root
from longhold.model.protection import Layer, Protection

METALS = tuple(curve_rows())
ACTIVE = ("zinc", "steel", "aluminium")
limits = st.floats(0.03, 20.0)  # below, less oxygen than the passive film of aluminium asks
ratios = st.floats(1e-3, 1e3)
resistances = st.floats(0.0, 10.0)
quick = settings(deadline=None, max_examples=60)


def test_every_metal_has_every_parameter_of_a_curve():
    names = {one.name for one in fields(Curve)}
    assert all(set(rows) == names for rows in curve_rows().values())


@given(metal=st.sampled_from(METALS), limit=limits)
@quick
def test_a_metal_by_itself_dissolves_as_fast_as_it_takes_up_oxygen(metal, limit):
    curve = curve_of_metal(metal)
    e = free_potential_v(curve, limit)
    assert float(curve.dissolves_a_m2(e)) == pytest.approx(float(curve.takes_up_a_m2(e, limit)), rel=1e-9)
    assert -1.3 < float(e) < 0.3


@given(pair=st.sampled_from(list(combinations(METALS, 2))), ratio=ratios, limit=limits, ohm=resistances)
@quick
def test_what_leaves_the_anode_enters_the_cathode(pair, ratio, limit, ohm):
    first, second = (curve_of_metal(one) for one in pair)
    state = couple(first, second, ratio, limit, ohm)
    anode, cathode = (first, second) if state.first_suffers else (second, first)
    to_first = ohm if state.first_suffers else ohm * ratio
    area = ratio if state.first_suffers else 1.0 / ratio
    enters = cathode.takes_up_a_m2(state.cathode_v, limit) - cathode.dissolves_a_m2(state.cathode_v)
    assert float(state.current_a_m2) == pytest.approx(float(area * enters), rel=1e-6, abs=1e-12)
    assert float(state.cathode_v - state.anode_v) == pytest.approx(
        float(state.current_a_m2) * to_first, rel=1e-6, abs=1e-9
    )
    leaves = anode.dissolves_a_m2(state.anode_v) - anode.takes_up_a_m2(state.anode_v, limit)
    assert float(state.current_a_m2) == pytest.approx(float(leaves), rel=1e-9, abs=1e-15)


@given(pair=st.sampled_from(list(combinations(METALS, 2))), ratio=ratios, limit=limits, ohm=resistances)
@quick
def test_nobody_gains_by_a_couple_and_no_neighbor_means_no_extra(pair, ratio, limit, ohm):
    first, second = (curve_of_metal(one) for one in pair)
    state = couple(first, second, ratio, limit, ohm)
    assert float(state.extra_a_m2) >= 0.0
    assert float(state.current_a_m2) >= 0.0
    alone = couple(first, second, 0.0, limit, ohm)
    assert float(alone.extra_a_m2) == 0.0
    assert float(alone.current_a_m2) == 0.0
    assert float(couple(first, first, ratio, limit, ohm).extra_a_m2) == 0.0


@given(
    metal=st.sampled_from(ACTIVE),
    ratio=ratios,
    limit=limits,
    ohm=resistances,
    larger=st.floats(1.0, 30.0),
    nobler=st.floats(0.0, 0.3),
)
@quick
def test_a_larger_or_nobler_cathode_never_lowers_the_loss(metal, ratio, limit, ohm, larger, nobler):
    anode, cathode = curve_of_metal(metal), curve_of_metal("copper")
    extra = float(couple(anode, cathode, ratio, limit, ohm).extra_a_m2)
    slack = 1e-9 * (1.0 + extra)
    assert float(couple(anode, cathode, larger * ratio, limit, ohm).extra_a_m2) >= extra - slack
    moved = replace(cathode, anodic_v=cathode.anodic_v + nobler, cathodic_v=cathode.cathodic_v + nobler)
    assert float(couple(anode, moved, ratio, limit, ohm).extra_a_m2) >= extra - slack


@given(height=st.floats(1e-5, 1e-2), thicker=st.floats(1.0, 100.0))
@quick
def test_a_thicker_film_brings_less_oxygen_and_reaches_as_much_farther(height, thicker):
    """4 F D C / h; with it the reach h sqrt(2 k dE / (4 F D C)) goes with h."""
    diffusion, concentration = oxygen_in_water()
    thin, thick = (oxygen_limit_a_m2(h, diffusion, concentration) for h in (height, thicker * height))
    assert float(thin / thick) == pytest.approx(thicker, rel=1e-12)
    reaches = [float(reach_m(1.0, h, 0.3, i)) for h, i in ((height, thin), (thicker * height, thick))]
    assert reaches[1] / reaches[0] == pytest.approx(thicker, rel=1e-9)


@given(
    pair=st.sampled_from(list(combinations(METALS, 2))),
    ratio=ratios,
    limit=limits,
    ohm=resistances,
    more=st.floats(1.0, 50.0),
)
@quick
def test_more_oxygen_never_lowers_what_the_anode_dissolves(pair, ratio, limit, ohm, more):
    first, second = (curve_of_metal(one) for one in pair)
    assume(_suffers(first, second, limit) == _suffers(first, second, more * limit))
    less, much = (couple(first, second, ratio, at, ohm) for at in (limit, more * limit))
    whole = [float(state.free_a_m2 + state.extra_a_m2) for state in (less, much)]
    assert whole[1] >= whole[0] * (1.0 - 1e-9)


def _suffers(first, second, limit):
    return bool(free_potential_v(first, limit) <= free_potential_v(second, limit))


@given(
    metal=st.sampled_from(ACTIVE),
    own=st.floats(1.0, 20.0),
    other=st.floats(1.0, 20.0),
    reach=st.floats(0.0, 0.05),
    farther=st.floats(1.0, 20.0),
    limit=limits,
)
@quick
def test_water_that_conducts_better_never_lowers_the_current_of_a_couple(
    metal, own, other, reach, farther, limit
):
    """Oxygen held: what reaches farther joins more of both metals, so the whole current never falls.

    The loss per area may: a ring of anode that widens shares it.
    """
    anode, cathode = curve_of_metal(metal), curve_of_metal("copper")
    met = Beside("b", "b", "copper", Patch("ring", own), Patch("disc", other))

    def current(reach_mm):
        own_mm2, other_mm2 = (float(one) for one in met.areas_mm2(reach_mm))
        if own_mm2 == 0.0:
            return 0.0
        return own_mm2 * float(couple(anode, cathode, other_mm2 / own_mm2, limit).current_a_m2)

    near = current(1000.0 * reach)
    assert current(1000.0 * reach * farther) >= near * (1.0 - 1e-6)


@given(
    metal=st.sampled_from(ACTIVE),
    conductivity=st.floats(0.01, 5.0),
    height=st.floats(1e-5, 1e-3),
    limit=limits,
    better=st.floats(1.0, 100.0),
)
@quick
def test_reach_never_falls_with_conductivity_and_what_is_left_along_it_never_rises(
    metal, conductivity, height, limit, better
):
    driving = float(
        free_potential_v(curve_of_metal("copper"), limit) - free_potential_v(curve_of_metal(metal), limit)
    )
    near = float(reach_m(conductivity, height, driving, limit))
    assert float(reach_m(better * conductivity, height, driving, limit)) >= near
    assert float(reach_m(conductivity, better * height, driving, limit)) >= near
    # the parabola of the drop under an even current: dE - i x (2 w - x) / (2 k h), nothing left at w
    x = np.linspace(0.0, near, 50)
    left = driving - limit * x * (2.0 * near - x) / (2.0 * conductivity * height)
    assert np.all(np.diff(left) <= 1e-12)
    assert left[-1] == pytest.approx(0.0, abs=1e-9)


@example(pair=("zinc", "steel"), ratio=900.0, limit=10.5, ohm=9.0, more=49.50195263137653)
@given(
    pair=st.sampled_from(list(combinations(METALS, 2))),
    ratio=ratios,
    limit=limits,
    ohm=resistances,
    more=st.floats(1.0, 100.0),
)
@quick
def test_resistance_never_raises_the_loss(pair, ratio, limit, ohm, more):
    first, second = (curve_of_metal(one) for one in pair)
    less, much = (float(couple(first, second, ratio, limit, r).extra_a_m2) for r in (ohm, ohm * more + 0.01))
    assert much <= less + 1e-9 * (1.0 + less)


@given(
    pair=st.sampled_from(list(combinations(METALS, 2))),
    given_ratios=st.lists(ratios, min_size=1, max_size=5),
    limit=limits,
    ohm=resistances,
)
@quick
def test_scalars_and_arrays_agree(pair, given_ratios, limit, ohm):
    first, second = (curve_of_metal(one) for one in pair)
    second = replace(second, oxygen_share=np.full(len(given_ratios), second.oxygen_share))
    many = couple(first, second, np.array(given_ratios), limit, ohm)
    for i, ratio in enumerate(given_ratios):
        one = couple(first, curve_of_metal(pair[1]), ratio, limit, ohm)
        assert float(many.extra_a_m2[i]) == pytest.approx(float(one.extra_a_m2), rel=1e-9)
        assert float(many.anode_v[i]) == pytest.approx(float(one.anode_v), rel=1e-12)
        assert many.first_suffers[i] == one.first_suffers


@pytest.mark.parametrize(
    ("one", "other"), list(combinations(("zinc", "aluminium", "steel", "copper", "stainless"), 2))
)
@pytest.mark.parametrize("water", [film(300.0), film(1.0), wet_wood()])
def test_the_curves_and_the_rule_of_one_family_name_the_same_loser(one, other, water):
    state = couple(curve_of_metal(one), curve_of_metal(other), 1.0, water.oxygen_limit_a_m2)
    layer = Layer("zinc", "mill_dip", 137.0, 97.0, 19.2, 13.7, 7.14, "own", Mark.OWN)
    shown = {
        "zinc": Protection("G90", "carbon_steel", layers=(layer,)),
        "steel": Protection("plain steel", "carbon_steel"),
        "copper": Protection("copper", "copper"),
        "stainless": Protection("316", "stainless", "316"),
        "aluminium": Protection("aluminium", "aluminium"),
    }
    (rule,) = mixed_couples([(one, shown[one], True), (other, shown[other], False)])
    assert rule.suffers == (one if state.first_suffers else other)


@given(radius=st.floats(1e-3, 0.1), strip=st.floats(0.0, 0.1))
@quick
def test_a_disc_serves_less_far_than_an_edge_and_a_wide_one_as_far(radius, strip):
    outer = float(ring_radius_m(radius, strip))
    assert radius <= outer <= radius + strip + 1e-9
    assert float(ring_radius_m(1e4, strip)) - 1e4 == pytest.approx(strip, abs=1e-3)


def test_a_less_noble_metal_serves_no_strip():
    assert float(reach_m(1.07, 1e-4, -0.2, 1.93)) == 0.0


def test_a_film_is_rain_below_sea_above_and_rises_between():
    k = film(np.array([0.0, 1.0, 3.0, 30.0, 300.0, 3000.0])).conductivity_s_m
    assert k[0] == k[1] == k[2] == pytest.approx(0.01)
    assert k[4] == k[5] == pytest.approx(1.07)
    assert k[2] < k[3] < k[4]


def test_a_root_beyond_a_bound_is_that_bound():
    low, high = np.zeros(3), np.ones(3)
    found = find_rising_root(lambda x, at: x - at, low, high, np.array([-1.0, 0.25, 2.0]))
    assert found.tolist() == pytest.approx([0.0, 0.25, 1.0])


def test_too_little_oxygen_for_a_passive_film_is_said_and_never_a_bound_of_the_search():
    """A film that lets more current through than oxygen keeps up has no potential of its own here."""
    with pytest.raises(CoupleNotSolved, match="too little oxygen"):
        free_potential_v(curve_of_metal("aluminium"), np.array([0.5, 0.009]))
    assert float(free_potential_v(curve_of_metal("aluminium"), 0.02)) > -1.2


def test_a_value_that_is_no_number_is_said():
    with pytest.raises(CoupleNotSolved, match="no number"):
        couple(curve_of_metal("zinc"), curve_of_metal("steel"), np.array([1.0, np.nan]), 0.386)


def test_a_search_that_does_not_close_in_is_said():
    """A jump of sign with no value between: the outside root finder ends, and its end is no root."""

    def torn(x):
        return np.where(x < 0.3, -1.0, np.where(x > 0.6, 1.0, np.nan))

    with pytest.raises(CoupleNotSolved, match="did not close in"):
        find_rising_root(torn, np.zeros(2), np.ones(2))


@pytest.mark.parametrize("metal", METALS)
def test_no_nobler_metal_is_credited_with_taking_up_less_than_what_arrives(metal):
    far_below = cathode_of_metal(metal).takes_up_a_m2(-5.0, 0.386)
    assert float(far_below) == pytest.approx(0.386)
