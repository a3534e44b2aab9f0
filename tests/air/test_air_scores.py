"""Scores are what their names say, worked out on outcomes made by hand."""

from __future__ import annotations

from math import exp, log

import pytest

from longhold.air.metals import METALS
from longhold.air.scores import Outcome, Prediction, claimed_share, outcomes, predict, scores
from longhold.air.site_rows import SiteInputs

INPUTS = SiteInputs(8.0, 75.0, 5.0, 20.0)


def outcome(ratio, sd_ln=0.5, group="A", fitted=True, assumed=False, metal="zinc"):
    one = Prediction("own_inputs", "printed", metal, ratio, sd_ln, ())
    return Outcome("site", group, fitted, assumed, one, 1.0)


def test_figures_of_a_handful():
    (found,) = scores([outcome(r) for r in (2.0, 0.5, 1.0, 1.4)])
    errors = [log(r) for r in (2.0, 0.5, 1.0, 1.4)]
    mean = sum(errors) / 4
    assert (found.which, found.count) == ("all sites", 4)
    assert found.bias_ratio == pytest.approx(exp(mean))
    assert found.spread_ln == pytest.approx((sum((e - mean) ** 2 for e in errors) / 3) ** 0.5)
    assert found.rms_ln == pytest.approx((sum(e**2 for e in errors) / 4) ** 0.5)
    assert (found.within_1_5_share, found.within_2_share) == (0.5, 1.0)
    assert found.in_band_share == 0.5  # 80 % band: a factor of exp(1.2816 x 0.5) = 1.9


def test_sets_are_told_apart_and_never_repeated():
    found = scores(
        [outcome(1.0), outcome(2.0, fitted=False), outcome(3.0, group="B"), outcome(0.5, assumed=True)]
    )
    counts = {one.which: one.count for one in found}
    assert counts == {
        "all sites": 4,
        "sites the fit never saw": 1,
        "sites with every input measured": 3,
        "A": 3,
        "B": 1,
    }
    assert {one.which for one in scores([outcome(1.0)])} == {"all sites"}
    assert scores([]) == ()


def test_a_single_outcome_has_no_spread():
    assert scores([outcome(3.0)])[0].spread_ln == 0.0


def test_every_metal_and_law_is_predicted():
    found = predict(INPUTS, "own_inputs")
    assert {(one.metal, one.law) for one in found} == {
        (m, law) for m in METALS for law in ("printed", "calibrated")
    }


@pytest.mark.parametrize(
    "unsure",
    [{"temperature_sd_c": 2.0}, {"humidity_sd_pct": 5.0}, {"sulphur_sd_ln": 1.0}, {"chloride_sd_ln": 1.0}],
)
def test_unsure_inputs_widen_the_band_and_leave_the_middle(unsure):
    sure, wide = (
        {(one.metal, one.law): one for one in predict(inputs, "position")}
        for inputs in (INPUTS, SiteInputs(8.0, 75.0, 5.0, 20.0, **unsure))
    )
    for key, one in sure.items():
        assert wide[key].median_um == one.median_um
        assert wide[key].sd_ln > one.sd_ln


def test_metals_that_nobody_measured_are_left_out():
    found = outcomes(
        predict(INPUTS, "own_inputs"), {"zinc": 1.0}, "site", "group", fitted=False, assumed=False
    )
    assert {one.prediction.metal for one in found} == {"zinc"}
    assert found[0].error_ln == pytest.approx(log(found[0].prediction.median_um))


def test_the_standards_claim_is_the_share_of_its_own_lognormal():
    assert claimed_share("zinc", exp(0.4)) == pytest.approx(0.6827, abs=1e-4)
    assert claimed_share("aluminium", 2.0) < claimed_share("zinc", 2.0)
