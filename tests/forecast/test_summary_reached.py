"""The chance of reaching an age and the age reached with a chance are two readings of the same draws."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from longhold.forecast.summary import age_reached, chance_of

lives = st.lists(st.sampled_from([5.0, 10.0, 49.9, 50.0, 70.0, np.inf]), min_size=1, max_size=60).map(
    np.array
)


@given(lives, st.floats(0.01, 0.99))
def test_the_age_reached_is_reached_with_the_chance_and_no_later_end_is(years, chance):
    age = age_reached(years, chance)
    assert chance_of(years, age) >= chance - 1e-9
    for later in years[years > age]:
        assert chance_of(years, later) < chance + 1e-9


@given(lives, st.floats(0.01, 0.99), st.sampled_from([10.0, 50.0, 60.0]))
def test_a_chance_asked_at_an_age_is_met_where_the_age_is_reached_with_it(years, chance, age):
    if abs(chance_of(years, age) - chance) > 1e-6:
        assert (chance_of(years, age) >= chance) == (age_reached(years, chance) >= age)


def test_an_end_at_the_very_age_counts_as_reached():
    assert chance_of(np.array([50.0, 40.0]), 50.0) == 0.5
