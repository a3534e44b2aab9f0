"""From draws to bands, against numpy's quantiles and a known variance decomposition."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.forecast.strength import years_until_below
from longhold.forecast.summary import band_if_known, band_of, curve_of, strongest_cause

RNG = np.random.default_rng(5)


def test_band_is_numpys_quantile():
    draws = RNG.lognormal(size=999)
    band = band_of(draws)
    assert [band.p10, band.p50, band.p90] == pytest.approx(np.quantile(draws, [0.1, 0.5, 0.9]))


def test_infinities_keep_their_rank():
    draws = np.concatenate([np.full(60, 12.0), np.full(40, np.inf)])
    band = band_of(draws)
    assert (band.p10, band.p50, band.p90) == (12.0, 12.0, np.inf)


def test_curve_by_age():
    ages = np.array([0.0, 1.0])
    curve = curve_of(ages, np.array([[0.0, 1.0], [0.0, 2.0], [0.0, 3.0]]))
    assert curve.years == (0.0, 1.0)
    assert curve.p50 == (0.0, 2.0)


def test_the_strongest_cause_of_a_sum_is_the_one_with_most_variance():
    # y = 3 a + b: shares of variance 0.9 and 0.1 by construction
    a, b, idle = RNG.standard_normal((3, 20_000))
    name, share = strongest_cause(3 * a + b, {"a": a, "b": b, "idle": idle})
    assert name == "a"
    assert share == pytest.approx(0.9, abs=0.03)  # rank correlation of normals lies a little below


def test_knowing_the_strongest_cause_narrows_the_band_and_an_idle_one_does_not():
    a, b, idle = RNG.standard_normal((3, 20_000))
    y = 3 * a + b
    whole = band_of(y)
    assert band_if_known(y, a).width == pytest.approx(2 * 1.2816, rel=0.25)  # what b alone leaves
    assert band_if_known(y, idle).width == pytest.approx(whole.width, rel=0.05)


def test_no_cause_where_nothing_varies():
    assert strongest_cause(np.ones(10), {"a": np.arange(10.0)}) is None
    assert strongest_cause(np.arange(10.0), {}) is None


def test_strength_ends_between_ages_by_a_straight_line():
    ages = np.array([0.0, 10.0, 20.0])
    ratio = np.array([[1.0, 0.9, 0.7], [1.0, 1.0, 1.0], [0.7, 0.6, 0.5], [1.0, 0.8, 0.0]])
    assert years_until_below(ratio, ages, 0.8).tolist() == pytest.approx([15.0, np.inf, 0.0, 10.0])
