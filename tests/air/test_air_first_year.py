"""First-year loss by either law: one seam, both bands."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.air.calibration import calibrated_first_year_loss_um
from longhold.air.dose_response import first_year_loss_um, model_scatter
from longhold.air.first_year import LAWS, both_laws, first_year
from longhold.air.metals import METALS
from longhold.base.errors import InputError

CLIMATE = (8.0, 75.0, 5.0, 20.0)


@pytest.mark.parametrize("metal", METALS)
def test_the_printed_law_is_the_equation_with_the_band_asked_for(metal):
    for basis in ("annex_a", "rows"):
        loss = first_year(metal, *CLIMATE, law="printed", scatter=basis)
        assert float(loss.median_um) == pytest.approx(float(first_year_loss_um(metal, *CLIMATE)))
        assert float(loss.sd_ln) == model_scatter(metal, basis).sd_ln
        assert loss.words == ()


def test_outside_its_range_the_printed_law_is_flagged_and_given_more_room():
    temperature = np.array([8.0, 40.0])
    loss = first_year("zinc", temperature, 75.0, 5.0, 20.0, law="printed")
    assert loss.sd_ln[1] == pytest.approx(1.5 * loss.sd_ln[0])
    assert len(loss.words) == 1
    assert "in 50% of the cases" in loss.words[0]


@pytest.mark.parametrize("metal", METALS)
def test_the_calibrated_law_passes_through(metal):
    loss, expected = first_year(metal, *CLIMATE), calibrated_first_year_loss_um(metal, *CLIMATE)
    assert (float(loss.median_um), float(loss.sd_ln)) == (float(expected.median_um), float(expected.sd_ln))


def test_both_laws_are_always_at_hand():
    assert tuple(one.law for one in both_laws("zinc", *CLIMATE)) == LAWS


def test_another_law_is_refused():
    with pytest.raises(InputError, match="printed, calibrated"):
        first_year("zinc", *CLIMATE, law="guessed")
