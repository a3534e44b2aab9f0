"""The program against every choice tried one by one."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.choose.programme import cheapest
from longhold.choose.purchase import Box, Candidate, Taken, cost_of

ITEMS = ("a", "b", "c", "d")
prices = st.integers(1, 60).map(float)
boxes = st.fixed_dictionaries(
    {item: st.builds(Box, prices, st.integers(1, 40), st.sampled_from([1, 1, 2, 7])) for item in ITEMS}
)
later = st.integers(0, 80).map(float)
taken = st.builds(Taken, st.sampled_from(ITEMS), st.integers(1, 90), later)
candidates = st.builds(Candidate, st.lists(taken, min_size=1, max_size=2).map(tuple), later)
groups = st.lists(st.lists(candidates, min_size=1, max_size=4), min_size=1, max_size=4)


@st.composite
def _promising(draw):
    """Groups some of which ask the same, with options that any items for their parts make."""
    kinds = draw(st.lists(st.lists(ways, min_size=1, max_size=2), min_size=1, max_size=2))
    made = [
        [
            Candidate(parts, base, promise)
            for promise, (base, by_part) in enumerate(some)
            for parts in product(*by_part)
        ]
        for some in kinds
    ]
    return [made[draw(st.integers(0, len(made) - 1))] for _ in range(draw(st.integers(1, 3)))]


ways = st.tuples(
    later, st.lists(st.lists(taken, min_size=1, max_size=3, unique=True), min_size=1, max_size=2)
)


def _one(item, pieces, later=0.0):
    return Candidate((Taken(item, pieces),), later)


@given(
    st.one_of(groups, _promising()),
    boxes,
    st.sampled_from([0.0, 0.05, 0.5]),
    st.sampled_from([0.0, 7.0, 90.0]),
)
@settings(max_examples=200, deadline=None)
def test_no_choice_tried_by_brute_force_is_cheaper(made, priced, spare, each_item):
    found = cheapest(made, priced, spare=spare, each_item=each_item)
    every = product(*(range(len(group)) for group in made))
    least = min(cost_of(made, one, priced, spare=spare, each_item=each_item)[0] for one in every)
    assert found.cost == pytest.approx(least, abs=1e-6)
    assert found.gap <= 1e-9


def test_a_price_on_each_item_makes_for_fewer_of_them():
    made = [[_one("a", 10), _one("b", 10)], [_one("b", 10)]]
    priced = {"a": Box(1.0, 10), "b": Box(1.5, 10)}
    assert set(cheapest(made, priced, spare=0.0, each_item=0.0).packs) == {"a", "b"}
    assert set(cheapest(made, priced, spare=0.0, each_item=1.0).packs) == {"b"}


def test_fewer_packs_than_are_sold_at_once_are_not_bought():
    made = [[_one("a", 10), _one("b", 10)]]
    priced = {"a": Box(1.0, 10, 6), "b": Box(5.0, 10)}
    assert cheapest(made, priced, spare=0.0, each_item=0.0).packs == {"b": 1}
    assert cheapest([[made[0][0]]], priced, spare=0.0, each_item=0.0).packs == {"a": 6}


def test_packs_are_whole_and_cover_the_spare():
    made = [[_one("a", 100)]]
    found = cheapest(made, {"a": Box(1.0, 100)}, spare=0.05, each_item=0.0)
    assert found.packs == {"a": 2}


@given(st.one_of(groups, _promising()), boxes, st.sampled_from([0.0, 0.05]), st.sampled_from([0.0, 30.0]))
@settings(max_examples=40, deadline=None)
def test_out_of_time_the_bound_still_lies_below_the_least_and_the_answer_above(
    made, priced, spare, each_item
):
    found = cheapest(made, priced, spare=spare, each_item=each_item, seconds=0.0)
    every = product(*(range(len(group)) for group in made))
    least = min(cost_of(made, one, priced, spare=spare, each_item=each_item)[0] for one in every)
    assert found.bound <= least + 1e-6
    assert found.cost >= least - 1e-6
    assert found.cost == pytest.approx(
        cost_of(made, found.chosen, priced, spare=spare, each_item=each_item)[0]
    )


def test_a_programme_too_large_for_its_time_says_how_far_it_may_be_off():
    items = [f"i{n}" for n in range(60)]
    priced = {item: Box(10.0 + (7 * n) % 13, 5 + (11 * n) % 17) for n, item in enumerate(items)}
    made = [
        [_one(items[(g * 5 + k * 7) % 60], 3 + (g + k) % 9, float((g * k) % 5)) for k in range(12)]
        for g in range(80)
    ]
    found = cheapest(made, priced, spare=0.05, each_item=20.0, seconds=0.01)
    assert not found.proved
    assert 0.0 < found.gap < 1.0
