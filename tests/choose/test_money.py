import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.choose.life_cost import LaterCosts, later_cost
from longhold.choose.money import DiscountRate


@given(st.floats(0.0, 0.2), st.floats(0.0, 80.0), st.floats(0.0, 80.0))
def test_later_money_is_never_worth_more(rate, one, other):
    factor = DiscountRate.flat(rate).factor([min(one, other), max(one, other)])
    assert factor[0] >= factor[1] >= 0.0


def test_an_endless_life_costs_nothing_even_at_no_interest():
    assert float(DiscountRate.flat(0.0).factor(np.inf)) == 0.0


@pytest.mark.parametrize("steps", [(), ((1.0, 0.03),), ((0.0, 0.03), (0.0, 0.02)), ((0.0, 1.5),)])
def test_steps_that_make_no_sense_are_refused(steps):
    with pytest.raises(InputError, match="discount"):
        DiscountRate(steps)


@given(st.floats(0.5, 120.0), st.floats(0.5, 120.0))
def test_a_longer_life_never_costs_more(one, other):
    costs = LaterCosts(renewal=100.0, failure=1000.0, unnoticed=0.1)
    shorter, longer = later_cost(np.array(sorted((one, other))), costs, DiscountRate.flat(0.03), 50.0)
    assert shorter >= longer


def test_a_life_of_nothing_is_renewed_a_bounded_number_of_times():
    cost = later_cost(np.array([0.0]), LaterCosts(renewal=1.0), DiscountRate.flat(0.0), 50.0)
    assert 300 < cost[0] < 401


def test_visits_count_by_their_present_value():
    costs = LaterCosts(renewal=0.0, visit=10.0, visit_every_years=10.0)
    cost = later_cost(np.array([np.inf]), costs, DiscountRate.flat(0.03), 35.0)
    assert cost[0] == pytest.approx(10 * sum(1.03**-t for t in (10, 20, 30)))
