"""What a neighbor of another metal adds to a face."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.beside import Beside, Patch, Rim, couple_metal, metal_once_bare
from longhold.forecast.causes import Causes, MiddleCauses
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, face_extras, face_layers, own_layers
from longhold.forecast.faces import faces_of
from longhold.forecast.galvanic import solve
from longhold.forecast.wood_rate import TimberFacts
from longhold.metal.mixed_potential import couple, free_potential_v
from longhold.metal.polarization import cathode_of_metal, curve_of_metal
from longhold.model.protection import Layer, Protection
from longhold.model.surroundings import AirLoad, Climate, Estimate, places
from longhold.wood.treatments import treatment

DRAWS, YEARS = 64, 100.0
COVER, DRY = places()["under_cover"], places()["dry_inside"]
ZINC = Layer("zinc", "mill_dip", 137.0, 97.0, 19.2, 13.7, 7.14, "own", Mark.OWN)
G90 = Protection("G90", "carbon_steel", layers=(ZINC,))


def site(causes=None, chloride=60.0):
    months = (17.0,) * 12
    load = AirLoad(
        Estimate(chloride, 0.5, "given", "own", Mark.OWN), Estimate(1.0, 0.3, "given", "own", Mark.OWN)
    )
    climate = Climate(months, (75.0,) * 12, (90.0,) * 12, (9.0,) * 12, "given", "own", Mark.OWN)
    return SiteExposure(causes or Causes(1, DRAWS), climate, load, 100.0)


SITE = site()


def beside(metal="stainless", own=None, other=None, away=0.0):
    return Beside("screw", "wood screw", metal, own or Patch("ring", 4.5), other or Patch("disc", 4.5), away)


def case(*neighbors, protection=G90, face="outer", place=COVER):
    timber = TimberFacts("t", treatment("none", "southern pine"), (), 38.1, 0.55)
    which = next(one for one in faces_of("angle") if one.face == face)
    return FaceCase(which, protection, place, timber, "above", False, "J1", beside=tuple(neighbors))


def rates(which, exposure=SITE):
    layers = face_layers(which, exposure, YEARS)
    return np.asarray(layers.zinc_law.first_year_um), np.asarray(layers.base_law.first_year_um)


def test_without_a_neighbor_the_face_is_exactly_as_it_was():
    own, now = own_layers(case(), SITE), face_layers(case(), SITE, YEARS)
    for name in ("zinc_law", "base_law"):
        one, other = (np.asarray(getattr(layers, name).first_year_um) for layers in (own, now))
        assert (one == other).all()


@pytest.mark.parametrize("place", [COVER, DRY])
def test_a_nobler_neighbor_adds_to_zinc_and_then_to_steel_in_every_draw(place):
    alone, joined = rates(case(place=place)), rates(case(beside(), place=place))
    for before, after in zip(alone, joined, strict=True):
        assert (after > before).all()


def test_a_less_noble_neighbor_adds_nothing():
    bare = Protection("316", "stainless", "316")
    assert (
        face_extras(case(beside("zinc"), protection=bare), own_layers(case(protection=bare), SITE), SITE).base
        == ()
    )
    before, after = rates(case()), rates(case(beside("zinc")))
    assert (before[0] == after[0]).all()


def test_bare_steel_takes_zinc_only_as_steel_beside_steel_is_one_metal():
    extras = face_extras(case(beside("steel")), own_layers(case(), SITE), SITE)
    assert len(extras.zinc) == 1
    assert extras.base == ()


@given(larger=st.floats(1.0, 20.0), radius=st.floats(1.0, 20.0))
@settings(deadline=None, max_examples=20)
def test_a_larger_neighbor_never_lowers_the_loss(larger, radius):
    small = rates(case(beside(other=Patch("disc", radius))))[0]
    large = rates(case(beside(other=Patch("disc", radius * larger))))[0]
    assert (large >= small * (1.0 - 1e-9)).all()


@given(larger=st.floats(1.0, 20.0), radius=st.floats(1.0, 20.0), limit=st.floats(1.0, 30.0))
@settings(deadline=None, max_examples=20)
def test_more_of_the_anode_never_raises_its_rate(larger, radius, limit):
    """A ring of zinc around the same screw, wider by its outer radius: the same current from more of it."""
    narrow, wide = (
        rates(case(beside(own=Patch("ring", radius, radius + reach))))[0] for reach in (limit, limit * larger)
    )
    alone = rates(case())[0]
    assert (wide <= narrow * (1.0 + 1e-9)).all()
    assert (wide >= alone * (1.0 - 1e-9)).all()


def test_what_several_neighbors_add_is_summed():
    """Published form for metals limited by oxygen: i = iL (1 + sum of Ac / Aa)."""
    alone = rates(case())[0]
    one, other = beside("copper", other=Patch("disc", 2.0)), beside(other=Patch("disc", 9.0))
    added = [rates(case(each))[0] - alone for each in (one, other)]
    assert rates(case(one, other))[0] - alone == pytest.approx(added[0] + added[1])


@given(
    first=st.floats(0.01, 50.0),
    second=st.floats(0.01, 50.0),
    metals=st.permutations(["copper", "stainless", "steel", "aluminium"]),
    limit=st.floats(0.05, 5.0),
)
@settings(deadline=None, max_examples=40)
def test_three_metals_joined_at_once_add_no_more_than_the_sum_of_pairs(first, second, metals, limit):
    """All at one potential, by an outside root finder: the current is less than the sum of the pairs.

    Of what zinc dissolves more, 1 % may be missed: it takes up less oxygen itself as its potential rises.
    """
    zinc = curve_of_metal("zinc")
    areas = [(cathode_of_metal(name), area) for name, area in zip(metals, (first, second), strict=False)]
    free = float(free_potential_v(zinc, limit))

    def leaves(e):
        return float(zinc.dissolves_a_m2(e) - zinc.takes_up_a_m2(e, limit))

    def left(e):
        return leaves(e) - sum(a * float(c.takes_up_a_m2(e, limit) - c.dissolves_a_m2(e)) for c, a in areas)

    pairs = [couple(zinc, c, a, limit) for c, a in areas]
    together = brentq(left, free - 0.5, 0.5, xtol=1e-14)
    assert leaves(together) <= sum(float(one.current_a_m2) for one in pairs) * (1.0 + 1e-9) + 1e-12
    extra = float(zinc.dissolves_a_m2(together) - zinc.dissolves_a_m2(free))
    assert extra <= 1.01 * sum(float(one.extra_a_m2) for one in pairs) + 1e-9


def test_steel_that_shows_once_its_zinc_is_gone_counts_from_then_on():
    later = replace(beside("steel"), later=True, from_years=np.inf)
    never, alone = (face_layers(case(*near), SITE, YEARS) for near in ((later,), ()))
    assert never.sound_years == pytest.approx(alone.sound_years)
    third = alone.sound_years / 3.0
    ends = [
        face_layers(case(replace(later, from_years=start)), SITE, YEARS).sound_years
        for start in (0.0, third, alone.sound_years)
    ]
    assert (ends[0] < ends[1]).all()
    assert (ends[1] < ends[2]).all()
    assert (ends[1] > third).all()
    assert ends[2] == pytest.approx(alone.sound_years)
    from_the_start = face_layers(case(beside("steel")), SITE, YEARS).sound_years
    assert ends[0] == pytest.approx(from_the_start)


def under_zinc(height=0.0, share=0.0, from_years=np.inf):
    return replace(beside("steel"), later=True, from_years=from_years, rim=Rim(2.0, height), bare_share=share)


def test_bare_spots_of_a_coated_neighbor_take_less_than_all_of_its_steel_and_no_more_than_oxygen_lets():
    """Faraday, and oxygen: what steel takes up cannot pass its area times the limiting current."""
    grown = [solve("zinc", under_zinc(height), "air", COVER, SITE) for height in (0.0, 0.1, 0.5, 2.0)]
    assert np.all(grown[0].growth_by_spots == 0.0)
    for less, more in pairwise(grown):
        assert np.all(less.growth_by_spots <= more.growth_by_spots + 1e-9)
    assert np.all(grown[-1].growth_by_spots <= grown[-1].growth)
    one = grown[2]
    area = np.minimum(one.spots_mm2, one.other_mm2)
    zinc = one.own_mm2 + one.other_mm2 - area
    limit = one.met.activity_ratio * area / zinc * one.met.limit_a_m2
    assert np.all(one.growth_by_spots * one.state.free_a_m2 <= limit * (1.0 + 1e-6))
    assert np.all(one.growth_by_spots > 0.0)


@given(height=st.floats(0.0, 10.0), share=st.floats(0.0, 0.5), year=st.floats(0.0, 200.0))
@settings(deadline=None, max_examples=25)
def test_bare_spots_count_from_the_start_and_never_more_than_a_neighbor_without_zinc(height, share, year):
    """Between a neighbor all under zinc and one that never had any, whenever its own zinc goes."""
    sound, spotted, none_at_all = (
        face_layers(case(near), SITE, YEARS).sound_years
        for near in (under_zinc(from_years=year), under_zinc(height, share, year), beside("steel"))
    )
    assert np.all(spotted <= sound * (1.0 + 1e-9))
    assert np.all(spotted >= none_at_all * (1.0 - 1e-9))


def test_bare_spots_beside_shorten_the_zinc_by_what_they_add_to_its_rate():
    """One law over the years, h = r (1 + g) t^b: its first year grows by g, and its zinc ends sooner."""
    alone = face_layers(case(), SITE, YEARS)
    near = under_zinc(height=1.5)
    spotted = face_layers(case(near), SITE, YEARS)
    grown = solve("zinc", near, "air", COVER, SITE).growth_by_spots
    ratio = np.asarray(spotted.zinc_law.first_year_um) / np.asarray(alone.zinc_law.first_year_um)
    assert ratio == pytest.approx(1.0 + grown)
    assert np.median(grown) > 0.02
    assert np.all(spotted.sound_years < alone.sound_years)


def test_a_neighbor_that_goes_bare_beside_one_that_is_nobler_adds_to_the_loss_and_does_not_multiply_it():
    """Published form: i = iL (1 + sum of Ac / Aa), so from its age on both are summed."""
    nobler = beside()
    joined = face_layers(case(nobler), SITE, YEARS)
    early, year = joined.zinc_law, joined.sound_years / 2.0
    own, both = own_layers(case(), SITE), face_layers(case(nobler, under_zinc(from_years=year)), SITE, YEARS)
    steel, screw = (solve("zinc", one, "air", COVER, SITE).growth for one in (beside("steel"), nobler))
    ends = both.sound_years
    assert np.all(ends > year)
    lost = early.loss_um(year) + (1.0 + steel + screw) * (
        own.zinc_law.loss_um(ends) - own.zinc_law.loss_um(year)
    )
    assert lost == pytest.approx(np.asarray(own.zinc_um))


def test_a_neighbor_under_zinc_takes_nothing_from_bare_steel():
    extras = face_extras(case(under_zinc(1.5)), own_layers(case(), SITE), SITE)
    assert extras.base == ()
    aluminium = Protection("6061", "aluminium")
    found = face_extras(case(under_zinc(1.5), protection=aluminium), own_layers(case(), SITE), SITE)
    assert all(np.all(one.early_growth == 0.0) for one in found.base)


def test_couples_of_one_site_are_solved_once():
    here = site()
    found = [solve("zinc", replace(beside(), part=name), "air", COVER, here) for name in "ab"]
    assert found[0] is found[1]
    assert solve("zinc", beside(other=Patch("disc", 5.0)), "air", COVER, here) is not found[0]
    assert solve("zinc", beside(), "air", DRY, here) is not found[0]
    assert solve("zinc", beside(), "timber_contact", COVER, here) is not found[0]


@pytest.mark.parametrize("place", [COVER, DRY])
@pytest.mark.parametrize("touches", ["air", "timber_contact"])
@pytest.mark.parametrize("own", ["zinc", "steel", "aluminium"])
@pytest.mark.parametrize("other", ["aluminium", "stainless", "copper"])
def test_no_draw_of_any_couple_stands_at_a_bound_of_the_search(place, touches, own, other):
    """Aluminium beside zinc in wet wood stood at -3 V in 3 % of the draws: little oxygen, a passive film."""
    found = solve(own, beside(other), touches, place, site(Causes(3, 2000)))
    if found is None:
        assert own == other or (own, other) == ("steel", "aluminium")
        return
    for volts in (found.met.own_v, found.met.other_v, found.state.anode_v):
        assert volts.min() > -1.3
        assert volts.max() < 0.3


def test_a_shank_out_of_reach_is_not_served():
    far = Patch("ring", 6.0, 14.0)
    assert (
        solve("zinc", beside(own=Patch("cylinder", 6.0, 100.0), other=far, away=1e4), "wood", COVER, SITE)
        is None
    )
    near = solve("zinc", beside(own=Patch("cylinder", 6.0, 100.0), other=far), "wood", COVER, SITE)
    assert near is not None
    assert (near.growth > 0.0).all()


@given(away=st.floats(0.0, 200.0), farther=st.floats(0.0, 100.0))
@settings(deadline=None, max_examples=20)
def test_metal_farther_off_never_adds_more(away, farther):
    shank, ring = Patch("cylinder", 6.0, 100.0), Patch("ring", 6.0, 14.0)
    near, far = (
        solve("zinc", beside(own=shank, other=ring, away=one), "wood", COVER, SITE)
        for one in (away, away + farther)
    )
    if far is not None:
        assert near is not None
        assert (far.growth <= near.growth * (1.0 + 1e-9) + 1e-12).all()


def test_salt_lets_zinc_feel_more_of_a_large_sheet():
    small_anode = beside(own=Patch("disc", 4.0), other=Patch("ring", 4.0))
    inland, shore = (solve("zinc", small_anode, "air", COVER, site(chloride=one)) for one in (1.0, 300.0))
    assert inland is not None
    assert shore is not None
    assert (shore.growth > inland.growth).all()
    assert (shore.met.reach_mm > inland.met.reach_mm).all()


def test_the_band_in_wood_is_a_factor_of_three_or_more():
    found = solve("zinc", beside(), "timber_contact", COVER, site(Causes(3, 4000)))
    assert found is not None
    low, middle, high = np.quantile(found.growth, [0.1, 0.5, 0.9])
    assert high / middle > 2.9
    assert middle / low > 2.9


def test_the_written_calculation_is_the_one_that_is_drawn():
    middle = site(MiddleCauses())
    trace = Trace("face")
    layers = face_layers(case(beside()), middle, YEARS, trace)
    steps = [step for step in trace.root.steps() if step.symbol == "r_x"]
    own = own_layers(case(), middle)
    assert len(steps) == 2
    by_metal = {"steel": ("base_law", steps[1]), "zinc": ("zinc_law", steps[0])}
    for law, step in by_metal.values():
        added = float(getattr(layers, law).first_year_um[0] - np.asarray(getattr(own, law).first_year_um)[0])
        assert step.value == pytest.approx(added)
    shown = {step.symbol for step in trace.root.steps()}
    assert {"L", "E_0", "w", "q", "E", "i", "i_x", "u", "r_x"} <= shown


def test_wood_is_written_down_as_extrapolated():
    trace = Trace("face")
    face_layers(case(beside(), face="contact"), site(MiddleCauses()), YEARS, trace)
    assert any("Extrapolated" in step.note for step in trace.root.steps() if step.symbol == "r_x")


def test_what_a_part_shows_is_its_zinc_first():
    assert couple_metal(G90) == "zinc"
    assert metal_once_bare(G90) == "steel"
    assert couple_metal(replace(G90, layers=())) == "steel"
    assert couple_metal(Protection("brass", "brass")) == "brass"
