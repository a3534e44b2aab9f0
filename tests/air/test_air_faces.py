"""Faces: shelter near salt water is worse and fades with distance, shelter never helps."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.faces import face_factor, salt_share, shelter_cautions, span_factor
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.model.facing import FaceKind
from longhold.model.surroundings import places

OUTDOORS = ["open_to_rain", "under_cover", "ground_contact"]
KINDS = get_args(FaceKind)
OPEN, COVER = places()["open_to_rain"], places()["under_cover"]
METRES = st.floats(0.0, 1e6)


@settings(deadline=None)
@given(
    name=st.sampled_from(OUTDOORS),
    kind=st.sampled_from(get_args(FaceKind)),
    distance=st.none() | st.floats(0.0, 1e6),
)
def test_no_face_is_better_than_open_air(name, kind, distance):
    factor = face_factor(places()[name], kind, distance)
    assert 1.0 <= factor.low <= factor.median <= factor.high


@pytest.mark.parametrize(
    ("name", "kind", "distance", "low", "high"),
    [
        ("open_to_rain", "open", 50.0, 1.0, 1.0),
        ("open_to_rain", "sheltered", 50.0, 2.0, 3.0),
        ("under_cover", "open", 0.0, 2.0, 3.0),
        ("under_cover", "open", 500.0, 2.0, 3.0),
        ("under_cover", "sheltered", 1000.0, 1.5, 2.0),
        ("under_cover", "sheltered", 2000.0, 1.0, 1.0),
        ("under_cover", "open", None, 1.0, 3.0),
        ("open_to_rain", "sky_facing", 50.0, 1.0, 1.0),
        ("open_to_rain", "wall", 50.0, 1.0, 2.0),
        ("under_cover", "wall", 50.0, 2.0, 3.0),
        ("open_to_rain", "underside", 50.0, 2.0, 3.0),
        ("open_to_rain", "wind_sheltered_underside", 50.0, 1.0, 3.0),
        ("open_to_rain", "wind_sheltered_underside", 5000.0, 1.0, 1.0),
    ],
)
def test_shelter_matters_within_2_km_of_salt_water(name, kind, distance, low, high):
    factor = face_factor(places()[name], kind, distance)
    assert (factor.low, factor.high) == (pytest.approx(low), pytest.approx(high))
    assert factor.mark is Mark.OWN


@settings(deadline=None)
@given(name=st.sampled_from(OUTDOORS), kind=st.sampled_from(KINDS), near=METRES, far=METRES)
def test_no_factor_rises_with_distance(name, kind, near, far):
    near, far = sorted((near, far))
    first, second = (face_factor(places()[name], kind, metres) for metres in (near, far))
    for end in ("low", "median", "high"):
        assert getattr(first, end) >= getattr(second, end)


@settings(deadline=None)
@given(metres=st.floats(1.0, 1e5), step=st.floats(1.0, 1.01))
def test_there_is_no_step_at_any_distance(metres, step):
    assert salt_share(metres) - salt_share(metres * step) <= (step - 1.0) / 1.38
    here, there = (face_factor(COVER, "sheltered", one) for one in (metres, metres * step))
    assert here.high - there.high <= 2.0 * (step - 1.0) / 1.38 + 1e-9


@settings(deadline=None)
@given(kinds=st.lists(st.sampled_from(KINDS), min_size=1, max_size=4), distance=st.none() | METRES)
def test_a_face_of_uncertain_kind_covers_each_of_them(kinds, distance):
    span = span_factor(OPEN, kinds, distance)
    each = [face_factor(OPEN, kind, distance) for kind in kinds]
    assert span.low == min(one.low for one in each)
    assert span.high == max(one.high for one in each)
    assert span.low <= span.median <= span.high
    assert all(one.words in span.words for one in each)


def test_a_face_of_no_kind_is_refused():
    with pytest.raises(InputError, match="faces"):
        span_factor(OPEN, (), 100.0)


@pytest.mark.parametrize("name", ["dry_inside", "damp_inside", "splash", "immersed", "pool_hall"])
def test_places_out_of_outdoor_air_have_no_factor(name):
    with pytest.raises(InputError, match="not in outdoor air"):
        face_factor(places()[name], "open", 100.0)


def test_another_face_kind_and_a_negative_distance_are_refused():
    with pytest.raises(InputError, match="open, sheltered"):
        face_factor(places()["open_to_rain"], "inside timber", 100.0)
    with pytest.raises(InputError, match="distance_to_salt_water"):
        face_factor(places()["under_cover"], "open", -1.0)


@pytest.mark.parametrize("kind", KINDS)
def test_every_caution_has_its_source(kind):
    cautions = shelter_cautions(OPEN, kind)
    assert all(caution.source in register() for caution in cautions)
    assert bool(cautions) == (kind not in ("open", "sky_facing"))


@pytest.mark.parametrize("kind", ["open", "sky_facing", "wall"])
def test_under_cover_every_face_has_the_cautions_of_a_sheltered_one(kind):
    assert shelter_cautions(COVER, kind) == shelter_cautions(OPEN, "sheltered")


def test_cautions_of_several_kinds_are_said_once():
    both = shelter_cautions(OPEN, "wall", "underside")
    assert len(both) == len(set(both))
    assert {*both} == {*shelter_cautions(OPEN, "wall"), *shelter_cautions(OPEN, "underside")}


def test_shelter_from_sulphur_is_said_to_help_but_never_credited():
    helped = [one for one in shelter_cautions(OPEN, "sheltered") if one.direction == "better"]
    assert any("never credited" in one.words and one.mark is Mark.MEMORY for one in helped)
    assert face_factor(COVER, "sheltered", 50_000.0).low == 1.0


def test_an_unknown_face_and_an_indoor_place_have_no_cautions():
    with pytest.raises(InputError, match="sky_facing"):
        shelter_cautions(OPEN, "inside timber")
    with pytest.raises(InputError, match="not in outdoor air"):
        shelter_cautions(places()["dry_inside"], "wall")
