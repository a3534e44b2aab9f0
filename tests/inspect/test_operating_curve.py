"""Operating curves against counting, drawing and the normal law."""

from __future__ import annotations

from math import comb

import numpy as np
import pytest
from scipy.stats import binom, norm

from longhold.base.marks import Mark
from longhold.inspect.acceptance import Gauge, Limits
from longhold.inspect.operating_curve import bad_pieces, chance_by_bad, chance_by_mean, mean_curve


@pytest.mark.parametrize(
    ("lot", "pieces", "bad"), [(10, 2, 3), (50, 5, 4), (800, 5, 40), (3, 3, 1), (7, 3, 0)]
)
def test_no_bad_piece_is_counted_out(lot, pieces, bad):
    """Ways to draw good pieces only, over all ways to draw."""
    counted = comb(lot - bad, pieces) / comb(lot, pieces)
    assert chance_by_bad(lot, pieces, np.array([bad]))[0] == pytest.approx(counted, abs=1e-12)


def test_a_large_lot_is_binomial():
    found = chance_by_bad(1_000_000, 13, np.array([50_000]), allowed=1)[0]
    assert found == pytest.approx(binom.cdf(1, 13, 0.05), abs=1e-4)


def test_the_curve_falls_from_one():
    found = bad_pieces(800, 5)
    assert found.chance[0] == 1.0
    assert np.all(np.diff(found.chance) <= 1e-12)
    assert found.share[-1] == 1.0
    assert found.chance[-1] == 0.0


@pytest.mark.parametrize(
    ("pieces", "mean", "spread", "mean_limit", "each_limit"),
    [
        (3, 80.0, 12.0, 75.0, 65.0),
        (5, 45.0, 7.0, 43.0, 36.0),
        (20, 90.0, 12.0, 85.0, 60.0),
        (8, 70, 5, 75, 60),
    ],
)
def test_mean_and_each_against_drawn_lots(pieces, mean, spread, mean_limit, each_limit):
    draws = 400_000
    drawn = np.random.default_rng(20).normal(mean, spread, (draws, pieces))
    passed = float(np.mean((drawn.mean(axis=1) >= mean_limit) & (drawn.min(axis=1) >= each_limit)))
    error = 4.0 * np.sqrt(max(passed * (1.0 - passed), 1e-6) / draws)
    assert chance_by_mean(pieces, mean, spread, mean_limit, each_limit) == pytest.approx(passed, abs=error)


@pytest.mark.parametrize("pieces", [1, 2, 5, 20])
def test_a_mean_alone_is_normal(pieces):
    expected = norm.sf(75.0, 77.0, 12.0 / np.sqrt(pieces))
    assert chance_by_mean(pieces, 77.0, 12.0, 75.0, -1e6) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("pieces", [1, 3, 5])
def test_every_piece_alone_is_a_power(pieces):
    expected = norm.sf(70.0, 77.0, 12.0) ** pieces
    assert chance_by_mean(pieces, 77.0, 12.0, 0.0, 70.0) == pytest.approx(expected, abs=1e-6)


def test_the_gauge_only_takes_away_from_both_sides():
    limits = Limits(75.0, 65.0, "", Mark.OWN)
    curve = mean_curve(5, limits, Gauge(0.1, 1.5, Mark.OWN), spread_share=0.1, measured=False)
    assert np.all(curve.accepted <= curve.by_rule + 1e-9)
    assert np.all(curve.by_rule <= curve.not_refused + 1e-9)
    assert curve.accepted[-1] > 0.99
    assert curve.not_refused[0] < 0.01
    sure, risk = curve.mean_at(0.95), curve.mean_at(0.10)
    assert sure is not None
    assert risk is not None
    assert curve.at(sure)[1] == pytest.approx(0.95, abs=0.01)
    assert 75.0 < risk < sure
