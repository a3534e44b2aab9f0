"""What holds a fastener along its axis, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from longhold.forecast.along import Profile
from longhold.forecast.pull import AxialCase, axial_loads


def test_a_sheet_is_pulled_over_what_is_left_of_a_head():
    """1.5 t dw Fu / 3 (AISI S100): a head of 8 mm that has lost 1 mm all round is one of 6 mm."""
    case = AxialCase(None, 0.5, 0.5, 0.5, 90_000.0, 0.0, 0.0, 8.0 / 25.4, None, None, 0.5, 310.0, 1.0, 1.0)
    flat, nothing = Profile(np.array([0.0]), np.array([1.0])), np.zeros((1, 1))
    new, worn = (
        axial_loads(case, flat, nothing, nothing, np.full((1, 1), um), nothing).load_n[0, 0]
        for um in (0.0, 1000.0)
    )
    assert new == pytest.approx(1.5 * 0.5 * 8.0 * 310.0 / 3.0)
    assert worn == pytest.approx(1.5 * 0.5 * 6.0 * 310.0 / 3.0)
