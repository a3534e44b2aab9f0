import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.wood.depth import depth_facts, depth_profile


@settings(deadline=None)
@given(st.floats(0.0, 500.0), st.floats(0.0, 500.0))
def test_profile_is_a_share_that_never_rises_with_depth(one, other):
    shallow, deep = depth_profile(sorted((one, other)))
    assert 0.0 <= deep <= shallow <= 1.0


def test_mean_over_a_38_mm_board_by_hand():
    depth = np.linspace(0.0, 38.0, 38_001)
    assert depth_profile(depth).mean() == pytest.approx((5.0 + 7.5) / 38.0, abs=1e-4)


def test_facts_are_verified_and_negative_depth_is_refused():
    assert {fact.mark for fact in depth_facts().values()} == {Mark.VERIFIED}
    with pytest.raises(InputError, match="depth_mm"):
        depth_profile(-0.1)
