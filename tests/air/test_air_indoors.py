"""Indoors: a category stands for the loss, told by the place or by the humidity."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.air.categories import bounds_um
from longhold.air.indoors import indoor_first_year_loss
from longhold.air.metals import METALS
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.model.surroundings import places


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
