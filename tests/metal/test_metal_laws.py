"""The one law of time: the inverse is exact, the kink is smooth, loss only grows."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.metal.laws import TimeLaw

RATES = st.floats(1e-3, 700.0)
YEARS = st.floats(0.0, 200.0)
EXPONENTS = st.floats(0.2, 1.0)
KINKS = st.sampled_from([20.0, float("inf")])


@settings(deadline=None)
@given(RATES, YEARS, EXPONENTS, KINKS)
def test_the_inverse_gives_the_age_back(r, t, b, kink):
    law = TimeLaw(r, b, kink)
    assert float(law.years_to(law.loss_um(t))) == pytest.approx(t, rel=1e-9, abs=1e-9)


@settings(deadline=None)
@given(RATES, YEARS, st.floats(1e-3, 50.0), EXPONENTS, KINKS)
def test_loss_grows_and_after_the_first_year_never_faster_than_in_it(r, t, more, b, kink):
    law = TimeLaw(r, b, kink)
    early, late = float(law.loss_um(t)), float(law.loss_um(t + more))
    assert late > early
    if t >= 1.0:
        assert late - early <= r * more * (1 + 1e-9)


@settings(deadline=None)
@given(RATES, EXPONENTS)
def test_value_and_slope_do_not_jump_where_it_goes_straight(r, b):
    law, step = TimeLaw(r, b, 20.0), 1e-4
    before, at, after = (float(law.loss_um(t)) for t in (20.0 - step, 20.0, 20.0 + step))
    assert at - before == pytest.approx(after - at, rel=1e-4)


def test_draws_and_single_numbers_go_the_same_way():
    r, b, ages = np.array([[5.0], [45.0]]), np.array([[1.0], [0.6]]), np.array([0.0, 1.0, 10.0, 50.0])
    together = TimeLaw(r, b, 20.0).loss_um(ages)
    assert together.shape == (2, 4)
    for i in range(2):
        for j, age in enumerate(ages):
            assert together[i, j] == float(TimeLaw(r[i, 0], b[i, 0], 20.0).loss_um(age))


def test_nothing_to_lose_takes_no_time_and_no_rate_takes_forever():
    law = TimeLaw(np.array([0.0, 0.0, 5.0]), 0.5, 20.0)
    assert law.years_to(np.array([0.0, 10.0, 0.0])).tolist() == [0.0, float("inf"), 0.0]
    assert float(TimeLaw(0.0, 0.8, 20.0).loss_um(30.0)) == 0.0


def test_before_the_clock_starts_nothing_is_lost():
    assert float(TimeLaw(10.0, 0.5, 20.0).loss_um(-3.0)) == 0.0
