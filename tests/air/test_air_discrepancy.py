"""Ranges of the data: nothing within, one where the shift has gone, alike for steps and factors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.discrepancy import InputRange

STEP = InputRange("temperature_c", -10.0, 20.0, 30.0, 10.0, "step")
FACTOR = InputRange("chloride_mg_m2_d", 1.0, 100.0, 10.0, 10.0, "factor")


@settings(deadline=None)
@given(value=st.floats(-10.0, 20.0))
def test_within_the_range_nothing_is_out(value):
    assert STEP.out(np.array(value)) == 0.0


@pytest.mark.parametrize(
    ("value", "out"), [(-40.0, 1.0), (-25.0, 0.5), (25.0, 0.5), (30.0, 1.0), (40.0, 2.0)]
)
def test_steps_fade_on_either_side_by_their_own_length(value, out):
    assert STEP.out(np.array(value)) == pytest.approx(out)


@pytest.mark.parametrize(("value", "out"), [(0.1, 1.0), (1000.0, 1.0), (np.sqrt(1e5), 0.5)])
def test_factors_fade_by_the_logarithm(value, out):
    assert FACTOR.out(np.array(value)) == pytest.approx(out)


def test_values_are_held_within():
    assert STEP.held(np.array([-50.0, 0.0, 50.0])).tolist() == [-10.0, 0.0, 20.0]
