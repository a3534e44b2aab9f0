"""What a reading is worth, against closed forms of decision theory."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from longhold.inspect.information import MAKE_SAFE, Choice, information

DRAWS = 20_000


def loss_integral(u):
    """Unit normal linear loss integral; Raiffa and Schlaifer 1961, Applied Statistical Decision Theory."""
    return norm.pdf(u) - u * norm.sf(u)


def two_actions(theta, slope, even):
    """Keep costs ``slope * theta``, renewing costs what keeping does at ``even``."""
    return Choice(np.stack([slope * theta, np.full_like(theta, slope * even)]))


@pytest.mark.parametrize(
    ("prior_sd", "sample_sd", "off"),
    [(1.0, 1.0, 0.0), (1.0, 0.5, 0.3), (2.0, 1.0, -0.8), (1.0, 2.0, 0.2), (1.0, 0.2, 1.0)],
)
def test_worth_is_that_of_two_actions_with_linear_loss(prior_sd, sample_sd, off):
    """EVSI = slope * s * L(|off| / s), s the standard deviation of the mean to come."""
    slope, mean = 40.0, 10.0
    generator = np.random.default_rng(7)
    theta = mean + prior_sd * generator.standard_normal(DRAWS)
    read = theta + sample_sd * generator.standard_normal(DRAWS)
    found = information(two_actions(theta, slope, mean + off), read)
    s = prior_sd**2 / np.hypot(prior_sd, sample_sd)
    assert found.worth == pytest.approx(slope * s * loss_integral(abs(off) / s), rel=0.06)
    # it turns where the mean to come crosses the point where both cost the same
    assert found.turns == pytest.approx(norm.sf(abs(off) / s), abs=0.03)


def test_no_reading_is_worth_more_than_perfect_information():
    generator = np.random.default_rng(3)
    theta = generator.standard_normal(4000)
    costs = np.stack([10.0 * theta, np.zeros_like(theta), 5.0 * theta**2 - 2.0])
    perfect = costs.mean(axis=1).min() - costs.min(axis=0).mean()
    worths = [
        information(Choice(costs), theta + sd * generator.standard_normal(4000)).worth
        for sd in (1e-6, 0.3, 1.0, 3.0)
    ]
    assert all(0.0 <= one <= 1.001 * perfect for one in worths)
    assert worths == sorted(worths, reverse=True)
    # of one number that both costs hang on, an exact reading is perfect information
    assert worths[0] == pytest.approx(perfect, rel=0.03)


@pytest.mark.parametrize("seed", range(12))
def test_a_reading_that_shares_no_cause_is_worth_nothing(seed):
    generator = np.random.default_rng(seed)
    theta, unrelated = generator.standard_normal((2, 2000))
    ended = np.stack([theta > 1.7, np.zeros(2000, dtype=bool)])  # 4.5 %, close to the limit of 5 %
    found = information(
        Choice(np.stack([10.0 * theta, np.full(2000, 0.1)]), 0.05, ended, theta > 1.7, 1), unrelated
    )
    assert (found.worth, found.turns, found.unsafe) == (0.0, 0.0, 0.0)


def test_safety_turns_what_money_would_not():
    """Keeping is free, renewing costs 100; a reading that tells the end must still turn keeping off."""
    theta = np.random.default_rng(5).standard_normal(4000)
    costs = np.stack([np.zeros(4000), np.full(4000, 100.0)])
    ended = np.stack([theta > 1.8, np.zeros(4000, dtype=bool)])  # 3.6 % of all
    found = information(Choice(costs, 0.05, ended, None, 1), theta)
    assert found.before == 0
    assert found.worth == 0.0  # it saves nothing, and its worth is not told in money
    assert found.unsafe == found.turns > 0.03
    assert list(found.answers[-2:]) == [1, 1]
    assert set(found.answers[:15]) == {0}


def test_a_reading_that_shows_a_joint_below_its_load_makes_it_safe():
    theta = np.random.default_rng(6).standard_normal(4000)
    costs = np.stack([np.zeros(4000), np.full(4000, 100.0)])
    ended = np.stack([theta > 1.8, theta > 1.8])
    found = information(Choice(costs, 0.05, ended, theta > 1.8, 1), theta)
    assert found.answers[-1] == MAKE_SAFE
    assert found.answers[0] == 0


def test_readings_that_are_the_same_have_one_answer():
    """A look that sees no rust in most draws cannot part them."""
    generator = np.random.default_rng(8)
    theta = generator.standard_normal(4000)
    seen = np.maximum(theta, 1.0)
    found = information(two_actions(theta, 10.0, 0.6), seen)
    parts = len(found.answers)
    assert len(set(found.answers[: int(0.8 * parts)])) == 1
