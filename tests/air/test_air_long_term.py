"""Figures of the long-term law in open air."""

from __future__ import annotations

import pytest

from longhold.air.long_term import exponent, exponent_mark, straight_after_years
from longhold.air.metals import METALS
from longhold.base.errors import InputError
from longhold.base.marks import Mark


@pytest.mark.parametrize("metal", METALS)
def test_the_cautious_exponent_is_the_larger_and_both_slow_down(metal):
    assert 0.0 < exponent(metal, "B1") < exponent(metal, "B2") < 1.0
    assert exponent_mark(metal) is Mark.MEMORY


def test_a_metal_that_the_law_does_not_know_is_refused():
    with pytest.raises(InputError, match="carbon_steel"):
        exponent("titanium")


def test_the_law_goes_straight_after_twenty_years():
    assert straight_after_years() == 20.0
