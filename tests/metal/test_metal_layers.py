"""Layers in sequence: film, zinc, base metal."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.metal.laws import TimeLaw
from longhold.metal.layers import FaceLayers

NEVER = float("inf")
AGES = np.array([0.0, 1.0, 5.0, 10.0, 25.0, 50.0])


def face(film=0.0, zinc=20.0, zinc_rate=2.0, steel_rate=25.0, exponent=1.0, kink=NEVER):
    return FaceLayers(
        np.array([film]),
        np.array([zinc]),
        TimeLaw(np.array([zinc_rate]), np.array([exponent]), kink),
        TimeLaw(np.array([steel_rate]), np.array([exponent]), kink),
    )


def test_by_hand_twenty_um_at_two_a_year_then_steel_at_25():
    layers = face()
    assert layers.protection_years.tolist() == [10.0]
    assert layers.base_loss_um(AGES)[0].tolist() == [0.0, 0.0, 0.0, 0.0, 375.0, 1000.0]
    assert layers.zinc_left_um(AGES)[0].tolist() == [20.0, 18.0, 10.0, 0.0, 0.0, 0.0]


def test_a_film_delays_everything_by_its_own_life_and_no_more():
    layers = face(film=5.0)
    assert layers.protection_years.tolist() == [15.0]
    assert layers.zinc_left_um(np.array([5.0, 6.0]))[0].tolist() == [20.0, 18.0]


def test_the_clock_of_steel_starts_when_its_zinc_is_gone():
    layers = face(zinc=0.0, exponent=0.5)
    later = face(zinc=20.0, exponent=0.5)
    gone = float(later.protection_years[0])
    assert gone == pytest.approx(100.0)  # 20 = 2 t^0.5
    assert later.base_loss_um(gone + 4.0)[0, 0] == pytest.approx(layers.base_loss_um(4.0)[0, 0])


def test_zinc_that_never_goes_protects_for_ever():
    layers = face(zinc_rate=0.0)
    assert layers.protection_years.tolist() == [NEVER]
    assert (layers.base_loss_um(AGES) == 0.0).all()


@settings(deadline=None)
@given(
    st.floats(0.0, 80.0),
    st.floats(0.1, 40.0),
    st.floats(0.01, 30.0),
    st.floats(0.1, 300.0),
    st.floats(0.3, 1.0),
)
def test_more_zinc_never_shortens_life_and_never_adds_loss(zinc, more, zinc_rate, steel_rate, exponent):
    thin = face(zinc=zinc, zinc_rate=zinc_rate, steel_rate=steel_rate, exponent=exponent)
    thick = face(zinc=zinc + more, zinc_rate=zinc_rate, steel_rate=steel_rate, exponent=exponent)
    assert thick.protection_years[0] >= thin.protection_years[0]
    assert (thick.base_loss_um(AGES) <= thin.base_loss_um(AGES) + 1e-9).all()
    assert (np.diff(thin.base_loss_um(AGES)[0]) >= -1e-9).all()
