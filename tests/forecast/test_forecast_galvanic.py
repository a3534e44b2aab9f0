"""What a neighbor of another metal adds to a face."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.marks import Mark
from longhold.base.trace import Trace
from longhold.forecast.beside import Beside, Patch, couple_metal, metal_once_bare
from longhold.forecast.causes import Causes, MiddleCauses
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, face_extras, face_layers, own_layers
from longhold.forecast.faces import faces_of
from longhold.forecast.galvanic import solve
from longhold.forecast.wood_rate import TimberFacts
from longhold.model.protection import Layer, Protection
from longhold.model.surroundings import AirLoad, Climate, Estimate, places
from longhold.wood.treatments import treatment

DRAWS = 64
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
    layers = face_layers(which, exposure)
    return np.asarray(layers.zinc_law.first_year_um), np.asarray(layers.base_law.first_year_um)


def test_without_a_neighbor_the_face_is_exactly_as_it_was():
    own, now = own_layers(case(), SITE), face_layers(case(), SITE)
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


def test_the_strongest_of_two_neighbors_counts():
    weak, strong = beside(other=Patch("disc", 2.0)), beside(other=Patch("disc", 9.0))
    assert (rates(case(weak, strong))[0] == rates(case(strong))[0]).all()


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
    assert (shore.reach_mm > inland.reach_mm).all()


def test_the_band_in_wood_is_a_factor_of_three_or_more():
    found = solve("zinc", beside(), "timber_contact", COVER, site(Causes(3, 4000)))
    assert found is not None
    low, middle, high = np.quantile(found.growth, [0.1, 0.5, 0.9])
    assert high / middle > 2.9
    assert middle / low > 2.9


def test_the_written_calculation_is_the_one_that_is_drawn():
    middle = site(MiddleCauses())
    trace = Trace("face")
    layers = face_layers(case(beside()), middle, trace)
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
    face_layers(case(beside(), face="contact"), site(MiddleCauses()), trace)
    assert any("Extrapolated" in step.note for step in trace.root.steps() if step.symbol == "r_x")


def test_what_a_part_shows_is_its_zinc_first():
    assert couple_metal(G90) == "zinc"
    assert metal_once_bare(G90) == "steel"
    assert couple_metal(replace(G90, layers=())) == "steel"
    assert couple_metal(Protection("brass", "brass")) == "brass"
