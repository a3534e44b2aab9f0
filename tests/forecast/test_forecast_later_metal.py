"""A neighbor that loses its zinc before this face does: its steel counts from then on."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from longhold.forecast.later_metal import factor_to_age, factor_to_depth
from longhold.metal.laws import TimeLaw

rates, exponents = st.floats(0.1, 10.0), st.floats(0.3, 1.0)
kinks = st.sampled_from([20.0, np.inf])
neighbors = st.lists(st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 80.0)), min_size=1, max_size=4)
quick = settings(deadline=None, max_examples=60)


def stepped_um(law, started, later, until):
    """What is lost by an age, added up in short steps: each at its own rate times what stands beside it."""
    starts = [start for _, start in later if start < until]
    ages = np.union1d(np.linspace(0.0, until, 1001), starts)
    lost = np.diff(law.loss_um(ages - started))
    times = 1.0 + sum(g * (ages[:-1] >= start) for g, start in later)
    return float(np.sum(lost * times))


@given(
    rate=rates,
    exponent=exponents,
    kink=kinks,
    depth=st.floats(1.0, 80.0),
    started=st.floats(0.0, 20.0),
    later=neighbors,
)
@quick
def test_the_layer_ends_when_a_count_in_steps_says(rate, exponent, kink, depth, started, later):
    law = TimeLaw(rate, exponent, kink)
    factor = float(factor_to_depth(law, depth, started, later))
    ends = started + float(law.scaled(factor).years_to(depth))
    if ends < 2000.0:
        assert stepped_um(law, started, later, ends) == pytest.approx(depth, rel=1e-6)
    assert factor >= 1.0 - 1e-12


@given(rate=rates, exponent=exponents, kink=kinks, started=st.floats(0.0, 90.0), later=neighbors)
@quick
def test_the_loss_by_an_age_is_that_of_a_count_in_steps_and_never_less_before(
    rate, exponent, kink, started, later
):
    law = TimeLaw(rate, exponent, kink)
    grown = law.scaled(factor_to_age(law, 100.0, started, later))
    assert float(grown.loss_um(100.0 - started)) == pytest.approx(
        stepped_um(law, started, later, 100.0), rel=1e-6
    )
    for age in (20.0, 50.0, 80.0):
        assert (
            float(grown.loss_um(age - started)) >= stepped_um(law, started, later, age) * (1.0 - 1e-6) - 1e-9
        )


def test_a_straight_law_by_an_outside_integrator():
    """10 um at 1 um a year, from year 4 on at twice that: gone after 7 years."""
    solved = solve_ivp(
        lambda t, y: [1.0 + (t > 4.0)], (0.0, 20.0), [0.0], max_step=0.01, events=lambda t, y: y[0] - 10.0
    )
    law = TimeLaw(1.0, 1.0, np.inf)
    factor = factor_to_depth(law, 10.0, 0.0, [(1.0, 4.0)])
    assert float(law.scaled(factor).years_to(10.0)) == pytest.approx(float(solved.t_events[0][0]), rel=1e-3)


def test_a_neighbor_that_outlasts_the_layer_or_never_goes_bare_adds_nothing():
    law = TimeLaw(np.array([1.0, 1.0, 1.0]), np.ones(3), np.inf)
    factor = factor_to_depth(law, 10.0, 0.0, [(np.full(3, 2.0), np.array([10.0, 50.0, np.inf]))])
    assert factor.tolist() == [1.0, 1.0, 1.0]
    assert factor_to_age(law, 30.0, 0.0, [(2.0, np.inf)]).tolist() == [1.0, 1.0, 1.0]
    assert factor_to_depth(law, 0.0, 0.0, [(2.0, 0.0)]).tolist() == [1.0, 1.0, 1.0]
    idle = TimeLaw(0.0, 1.0, 20.0)
    assert np.isinf(idle.scaled(factor_to_depth(idle, 5.0, 0.0, [(2.0, np.inf)])).years_to(5.0))
