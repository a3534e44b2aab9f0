"""Faces: shelter near salt water is worse, shelter never helps, indoors has its own figures."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.categories import bounds_um
from longhold.air.faces import FaceKind, face_factor, indoor_first_year_loss, shelter_cautions
from longhold.air.metals import METALS
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.sources import register
from longhold.model.surroundings import places

OUTDOORS = ["open_to_rain", "under_cover", "ground_contact"]


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
        ("under_cover", "open", 1000.0, 2.0, 3.0),
        ("under_cover", "sheltered", 1000.1, 1.0, 1.0),
        ("under_cover", "open", None, 1.0, 3.0),
        ("open_to_rain", "sky_facing", 50.0, 1.0, 1.0),
        ("open_to_rain", "wall", 50.0, 1.0, 2.0),
        ("under_cover", "wall", 50.0, 2.0, 3.0),
        ("open_to_rain", "underside", 50.0, 2.0, 3.0),
        ("open_to_rain", "wind_sheltered_underside", 50.0, 1.0, 3.0),
        ("open_to_rain", "wind_sheltered_underside", 5000.0, 1.0, 1.0),
    ],
)
def test_shelter_matters_within_1_km_of_salt_water(name, kind, distance, low, high):
    factor = face_factor(places()[name], kind, distance)
    assert (factor.low, factor.high, factor.mark) == (low, high, Mark.OWN)


@pytest.mark.parametrize("name", ["dry_inside", "damp_inside", "splash", "immersed", "pool_hall"])
def test_places_out_of_outdoor_air_have_no_factor(name):
    with pytest.raises(InputError, match="not in outdoor air"):
        face_factor(places()[name], "open", 100.0)


def test_another_face_kind_and_a_negative_distance_are_refused():
    with pytest.raises(InputError, match="open, sheltered"):
        face_factor(places()["open_to_rain"], "inside timber", 100.0)
    with pytest.raises(InputError, match="distance_to_salt_water"):
        face_factor(places()["under_cover"], "open", -1.0)


@pytest.mark.parametrize("metal", ["carbon_steel", "zinc", "copper"])
def test_damp_inside_fills_category_c2(metal):
    loss = indoor_first_year_loss(metal, places()["damp_inside"])
    low, high = bounds_um(metal)["C2"]
    spread = np.exp(1.645 * loss.sd_ln)
    assert (loss.median / spread, loss.median * spread) == pytest.approx((low, high))
    assert "C2" in loss.how


@pytest.mark.parametrize("metal", METALS)
def test_dry_inside_stays_within_c1_and_below_damp_inside(metal):
    dry = indoor_first_year_loss(metal, places()["dry_inside"])
    damp = indoor_first_year_loss(metal, places()["damp_inside"])
    assert 0 < dry.median < damp.median
    assert dry.median * np.exp(1.645 * dry.sd_ln) == pytest.approx(damp.median / np.exp(1.645 * damp.sd_ln))
    assert dry.mark is Mark.OWN


def test_outdoors_and_other_metals_have_no_indoor_loss():
    with pytest.raises(InputError, match="not indoors"):
        indoor_first_year_loss("zinc", places()["under_cover"])
    with pytest.raises(InputError):
        indoor_first_year_loss("tin", places()["dry_inside"])


@pytest.mark.parametrize("kind", get_args(FaceKind))
def test_every_caution_has_its_source(kind):
    cautions = shelter_cautions(kind)
    assert all(caution.source in register() for caution in cautions)
    assert bool(cautions) == (kind not in ("open", "sky_facing"))


def test_shelter_inland_is_said_to_help_but_never_credited():
    helped = [one for one in shelter_cautions("sheltered") if one.direction == "better"]
    assert any("never credited" in one.words and one.mark is Mark.MEMORY for one in helped)
    assert face_factor(places()["under_cover"], "sheltered", 50_000.0).low == 1.0


def test_an_unknown_face_has_no_cautions():
    with pytest.raises(InputError, match="sky_facing"):
        shelter_cautions("inside timber")


@pytest.mark.parametrize(
    ("humidity", "temperature", "wanted"),
    [
        (50, 20, "C1"),
        (60, 20, "C1"),
        (60.1, 20, "C2"),
        (80, 15, "C2"),
        (85, 15, "C3"),
        (85, -5, "C2"),
        (70, -5, "C1"),
    ],
)
def test_indoor_air_is_told_by_its_humidity(humidity, temperature, wanted):
    for place in ("dry_inside", "damp_inside"):
        loss = indoor_first_year_loss(
            "zinc", places()[place], relative_humidity_pct=humidity, temperature_c=temperature
        )
        assert f"category {wanted} " in loss.how


@pytest.mark.parametrize("metal", METALS)
def test_indoor_loss_never_falls_with_humidity(metal):
    losses = [
        indoor_first_year_loss(metal, places()["dry_inside"], relative_humidity_pct=rh).median
        for rh in range(0, 96, 5)
    ]
    assert losses == sorted(losses)


@pytest.mark.parametrize("humidity", [96.0, -1.0, 101.0])
def test_air_that_condenses_or_cannot_be_is_refused(humidity):
    with pytest.raises(InputError, match="relative_humidity_pct"):
        indoor_first_year_loss("zinc", places()["dry_inside"], relative_humidity_pct=humidity)
