"""Of several ways of a fastener the weakest counts, draw by draw, and newtons meet newtons only."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.forecast.strength import StrengthDraws, weakest_draws


def way(ratio, capacity_n, mode):
    draws = np.array(ratio)
    return StrengthDraws(draws, capacity_n, mode, mode, np.zeros(draws.shape, dtype=np.intp), (mode,))


def test_by_hand_the_weakest_way_changes_from_draw_to_draw():
    thick = way([[1.0, 0.2], [1.0, 1.0], [1.0, 0.9]], 1000.0, "thick")
    thin = way([[1.0, 0.9], [1.0, 0.5], [1.0, 0.9]], 800.0, "thin")
    draws, which = weakest_draws([thick, thin], 1)
    assert draws.capacity_new_n == 800.0
    assert (draws.ratio * 800.0).tolist() == [[800.0, 200.0], [800.0, 400.0], [800.0, 720.0]]
    assert which[:, 1].tolist() == [0, 1, 1]
    assert draws.mode_new == "thin"
    governs, words = draws.governs
    assert [words[i] for i in governs[:, 1]] == ["thick", "thin", "thin"]


@pytest.mark.parametrize("small", [0.5, 500.0])
def test_a_way_without_a_capacity_is_never_compared_in_newtons(small):
    """One newton is no ratio: a way of 500 N whose ratio is 0.9 is not stronger than one of ratio 0.5."""
    known, unknown = way([[1.0, 0.9]], small, "known"), way([[1.0, 0.5]], None, "ratio only")
    draws, _ = weakest_draws([known, unknown], 1)
    assert draws.capacity_new_n is None
    assert draws.ratio.tolist() == [[1.0, 0.5]]
    assert draws.mode_aged == "ratio only"
