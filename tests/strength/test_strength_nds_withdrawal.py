import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.strength.nds_withdrawal import combined_load_lb, head_pull_through_lb, withdrawal_lb_per_in

FASTENERS = ["lag_screw", "wood_screw", "nail", "stainless_nail", "ring_shank_nail"]


@pytest.mark.parametrize("fastener", FASTENERS)
def test_withdrawal_rises_with_density_and_diameter_and_takes_arrays(fastener):
    g, d = np.linspace(0.31, 0.73, 12), np.linspace(0.1, 1.0, 12)
    whole = withdrawal_lb_per_in(fastener, g[:, None], d)
    assert np.all(np.diff(whole, axis=0) > 0.0)
    assert np.all(np.diff(whole, axis=1) > 0.0)
    assert whole[3, 5] == float(withdrawal_lb_per_in(fastener, float(g[3]), float(d[5])))


def test_stainless_nails_keep_the_stated_share():
    share = withdrawal_lb_per_in("stainless_nail", 0.55, 0.131) / withdrawal_lb_per_in("nail", 0.55, 0.131)
    assert float(share) == pytest.approx(465 / 1380 / 0.55, rel=1e-12)


def test_a_lag_loses_by_the_power_of_three_quarters():
    share = withdrawal_lb_per_in("lag_screw", 0.5, 0.25) / withdrawal_lb_per_in("lag_screw", 0.5, 0.5)
    assert float(share) == pytest.approx(0.5**0.75, rel=1e-12)


def test_pull_through_stops_at_two_and_a_half_heads():
    t = np.array([0.5, 0.78, 1.5, 3.0])
    value = head_pull_through_lb(0.5, 0.312, t)
    assert value[0] < value[1]
    assert value[1] == pytest.approx(value[2], rel=1e-12)
    assert float(value[3]) == pytest.approx(1725 * np.pi * 0.312**2 * 0.25, rel=1e-12)


@pytest.mark.parametrize(
    ("fastener", "expected"), [("wood_screw", 133.3), ("lag_screw", 133.3), ("nail", 94.3)]
)
def test_combined_load_at_45_degrees(fastener, expected):
    assert float(combined_load_lb(fastener, 200.0, 100.0, 45.0)) == pytest.approx(expected, abs=0.05)


@given(st.sampled_from(FASTENERS), st.floats(1.0, 1e4), st.floats(1.0, 1e4))
@settings(deadline=None)
def test_combined_load_ends_at_shear_and_withdrawal(fastener, pull, shear):
    ends = combined_load_lb(fastener, pull, shear, np.array([0.0, 90.0]))
    assert ends == pytest.approx([shear, pull], rel=1e-9)
