"""Loss along a fastener, and which of several loads governs."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.forecast.along import Profile, losses_in_slices, mean_between_faces, peak_within
from longhold.forecast.modes import least_of, shares_by_age

PEAK_AT_3 = Profile(np.array([0.0, 3.0, 20.0]), np.array([0.5, 1.0, 0.0]))
FLAT = Profile(np.array([0.0]), np.array([1.0]))


def test_a_hinge_sees_the_peak_only_if_it_lies_within_its_zone():
    assert peak_within(7.5, PEAK_AT_3) == 1.0
    assert peak_within(1.5, PEAK_AT_3) == pytest.approx(0.75)
    assert peak_within(0.0, PEAK_AT_3) == 0.5
    assert peak_within(5.0, FLAT) == 1.0


def test_each_face_has_its_own_peak():
    one = np.array([10.0])
    nothing = np.array([0.0])
    near = mean_between_faces(38.0, PEAK_AT_3, one, PEAK_AT_3, nothing)
    both = mean_between_faces(38.0, PEAK_AT_3, one, PEAK_AT_3, one)
    assert both == pytest.approx(2.0 * near, rel=0.02)  # 38 mm apart the two do not reach each other
    assert float(near[0]) == pytest.approx(10.0 * (0.75 * 3.0 + 0.5 * 17.0) / 38.0, rel=0.02)


def test_a_profile_of_wood_that_is_always_wet_loses_everywhere_alike():
    lost = np.array([[4.0, 5.0]])
    assert mean_between_faces(50.0, FLAT, lost, FLAT, 0.0 * lost).tolist() == lost.tolist()


@given(st.floats(1.0, 100.0), st.floats(0.0, 500.0), st.floats(0.0, 500.0), st.floats(0.0, 200.0))
@settings(deadline=None)
def test_more_loss_on_either_face_is_never_less_on_the_mean(length, near, far, more):
    def mean(a, b):
        return float(mean_between_faces(length, PEAK_AT_3, np.array([a]), PEAK_AT_3, np.array([b]))[0])

    assert mean(near, far) <= mean(near + more, far) + 1e-9
    assert mean(near, far) <= mean(near, far + more) + 1e-9
    assert mean(near, far) <= max(near, far) + 1e-9


def test_slices_cover_the_length_evenly():
    slices = np.concatenate(list(losses_in_slices(0.0, 20.0, PEAK_AT_3, np.array([1.0]))))
    assert slices.mean() == pytest.approx((0.75 * 3.0 + 0.5 * 17.0) / 20.0, rel=0.02)


def test_the_least_load_governs_draw_by_draw_and_shares_add_to_one():
    loads = {"a": np.array([[3.0, 1.0], [3.0, 5.0]]), "b": np.array([[2.0, 2.0], [4.0, 4.0]])}
    found = least_of(loads)
    assert found.load_n.tolist() == [[2.0, 1.0], [3.0, 4.0]]
    assert all((found.load_n <= one).all() for one in loads.values())
    shares = shares_by_age(found.index, found.words)
    assert shares == {"a": (0.5, 0.5), "b": (0.5, 0.5)}
