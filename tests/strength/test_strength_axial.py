"""Load along a fastener: equations by hand, and never more with more loss."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.strength import axial
from longhold.strength.nds_geometry import geometry_factor
from longhold.strength.nds_withdrawal import withdrawal_lb_per_in

KINDS = ["nail", "stainless_nail", "ring_shank_nail", "wood_screw", "lag_screw"]
ROOT = {"wood_screw": 0.152, "lag_screw": 0.371}
DIAMETER = {"wood_screw": 0.19, "lag_screw": 0.5}
UM = st.floats(0.0, 8000.0)


def held(kind, losses, length=1.5, g=0.5):
    return axial.withdrawal_left_lb(kind, g, DIAMETER.get(kind, 0.148), ROOT.get(kind), length, losses)


@pytest.mark.parametrize("kind", KINDS)
def test_new_withdrawal_is_the_value_per_inch_times_the_length(kind):
    per_inch = float(withdrawal_lb_per_in(kind, 0.5, DIAMETER.get(kind, 0.148)))
    assert float(held(kind, [0.0] * 7)) == pytest.approx(1.5 * per_inch, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
@given(st.lists(UM, min_size=1, max_size=6), UM)
@settings(deadline=None)
def test_withdrawal_never_rises_with_loss(kind, losses, more):
    before, after = float(held(kind, losses)), float(held(kind, [one + more for one in losses]))
    assert 0.0 <= after <= before + 1e-9 <= float(held(kind, [0.0])) + 2e-9


def test_a_thread_is_gone_past_a_quarter_of_its_height_on_each_flank():
    limit_um = (0.5 - 0.371) / 4.0 * 25_400.0
    assert axial.thread_limit_um("lag_screw", 0.5, 0.371) == pytest.approx(limit_um)
    almost, past = float(held("lag_screw", [limit_um - 1.0])), float(held("lag_screw", [limit_um + 1.0]))
    assert almost > 0.8 * float(held("lag_screw", [0.0]))
    assert past == 0.0


def test_only_the_slices_that_lost_their_thread_let_go():
    new = float(held("wood_screw", [0.0]))
    assert float(held("wood_screw", [1000.0, 0.0, 0.0, 0.0])) == pytest.approx(0.75 * new)


def test_a_ring_shank_nail_without_rings_holds_as_a_smooth_one():
    assert float(held("ring_shank_nail", [100.0])) == pytest.approx(float(held("nail", [100.0])))
    assert float(held("ring_shank_nail", [50.0])) > float(held("nail", [50.0]))


@given(UM, UM)
@settings(deadline=None)
def test_head_and_shank_never_gain(loss, more):
    for load in (
        lambda x: axial.head_left_lb(0.5, 0.312, 1.5, x),
        lambda x: axial.shank_tension_lb(90_000.0, 0.148, x),
    ):
        first, second = float(load(loss)), float(load(loss + more))
        assert 0.0 <= second <= first <= float(load(0.0))


def test_the_shank_is_the_allowed_stress_on_its_area():
    assert float(axial.shank_tension_lb(45_000.0, 0.371, 0.0)) == pytest.approx(
        45_000.0 * np.pi * 0.371**2 / 4.0 / 2.0
    )


@pytest.mark.parametrize(("kind", "at_45"), [("wood_screw", 133.3), ("lag_screw", 133.3), ("nail", 94.3)])
def test_both_loads_together_as_computed_by_hand(kind, at_45):
    assert float(axial.together_lb(kind, 200.0, 100.0, 45.0)) == pytest.approx(at_45, abs=0.05)
    assert float(axial.together_lb(kind, 200.0, 100.0, 0.0)) == 100.0
    assert float(axial.together_lb(kind, 200.0, 100.0, 90.0)) == 200.0


@given(st.floats(0.0, 500.0), st.floats(0.0, 500.0), st.floats(0.0, 90.0), st.floats(0.0, 1.0))
@settings(deadline=None)
@example(pull=1.0, shear=1.5, angle=5e-324, share=5e-324)
def test_together_never_rises_when_either_falls(pull, shear, angle, share):
    for kind in ("nail", "wood_screw"):
        both = float(axial.together_lb(kind, pull, shear, angle))
        assert float(axial.together_lb(kind, share * pull, shear, angle)) <= both + 1e-6
        assert float(axial.together_lb(kind, pull, share * shear, angle)) <= both + 1e-6


def test_scalars_and_arrays_agree():
    loss = np.array([0.0, 100.0, 300.0])
    many = held("wood_screw", [loss, loss / 2.0])
    assert many.tolist() == [float(held("wood_screw", [one, one / 2.0])) for one in loss]


def test_geometry_is_the_least_share_of_the_full_distance():
    assert geometry_factor(diameter_in=0.148, angle_deg=0.0, end_distance_in=0.1) == 1.0
    found = geometry_factor(diameter_in=0.5, angle_deg=0.0, end_distance_in=2.625, spacing_in=1.75)
    assert found == pytest.approx(0.75)
    assert geometry_factor(diameter_in=0.5, angle_deg=90.0, end_distance_in=2.0) == 1.0
    assert geometry_factor(diameter_in=0.5, angle_deg=0.0, end_distance_in=40.0) == 1.0
    with pytest.raises(InputError, match="diameters"):
        geometry_factor(diameter_in=0.5, angle_deg=0.0, end_distance_in=1.0)
