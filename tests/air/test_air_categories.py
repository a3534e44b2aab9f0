"""Categories: closed at the upper end, monotone in loss, and no ceiling at CX."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.air.categories import (
    ABOVE,
    CATEGORIES,
    bounds_mark,
    bounds_um,
    category,
    category_shares,
    mass_loss_g_m2,
)
from longhold.air.metals import METALS
from longhold.base.errors import InputError
from longhold.base.marks import Mark

ORDER = (*CATEGORIES, ABOVE)
losses = st.floats(0.0, 2000.0)
metals = st.sampled_from(METALS)


@settings(deadline=None)
@given(metal=metals, one=losses, other=losses)
def test_more_loss_is_never_a_lower_category(metal, one, other):
    low, high = sorted((one, other))
    assert ORDER.index(category(metal, low)) <= ORDER.index(category(metal, high))


@settings(deadline=None)
@given(metal=metals, loss=losses)
def test_a_loss_lies_within_the_bounds_of_its_category(metal, loss):
    name = category(metal, loss)
    if name == ABOVE:
        assert loss > bounds_um(metal)["CX"][1]
    else:
        low, high = bounds_um(metal)[name]
        assert low < loss <= high or (loss == 0.0 and name == "C1")


@pytest.mark.parametrize("metal", ["carbon_steel", "zinc", "copper"])
def test_cx_is_no_ceiling(metal):
    top = bounds_um(metal)["CX"][1]
    assert category(metal, top) == "CX"
    assert category(metal, np.nextafter(top, np.inf)) == ABOVE


def test_aluminium_has_no_upper_bound_and_no_loss_in_c1():
    assert category("aluminium", 0.0) == "C1"
    assert category("aluminium", 1e-9) == "C2"
    assert category("aluminium", 1e9) == "CX"
    assert bounds_mark("aluminium") is Mark.MEMORY


@settings(deadline=None)
@given(metal=metals, draws=st.lists(losses, min_size=1, max_size=50))
def test_shares_count_the_draws(metal, draws):
    shares = category_shares(metal, draws)
    assert list(shares) == list(ORDER)
    assert sum(shares.values()) == pytest.approx(1.0)
    for name in ORDER:
        assert shares[name] == pytest.approx(sum(category(metal, d) == name for d in draws) / len(draws))


def test_no_draws_and_no_numbers_are_refused():
    with pytest.raises(ValueError, match="no losses"):
        category_shares("zinc", [])
    with pytest.raises(InputError):
        category("zinc", -0.1)
    with pytest.raises(InputError):
        category_shares("zinc", [1.0, float("nan")])
    with pytest.raises(InputError):
        bounds_um("tin")


def test_mass_and_depth():
    assert mass_loss_g_m2("zinc", [1.0, 2.0]) == pytest.approx([7.14, 14.28])
