from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import TableError
from longhold.codes.conditions import Condition, facts_of, leaves, read_condition
from longhold.codes.packs import list_packs
from longhold.codes.vocabulary import vocabulary


def cond(**data: Any) -> Condition:
    return read_condition(data, "test", {})


def test_lines_of_a_table_must_all_hold() -> None:
    thin_nail = cond(item="nail", size_mm={"at_most": 4})
    assert thin_nail.decide({"item": "nail", "size_mm": 4}).value is True
    assert thin_nail.decide({"item": "nail", "size_mm": 4.1}).value is False
    assert thin_nail.decide({"size_mm": 4.1}).value is False
    assert thin_nail.decide({"size_mm": 4}).missing == {"item"}


def test_list_means_one_of() -> None:
    assert cond(item=["nail", "staple"]).decide({"item": "staple"}).value is True
    assert cond(item=["nail", "staple"]).decide({"item": "bolt"}).value is False


def test_any_is_settled_by_one_that_holds() -> None:
    either = cond(any=[{"item": "nail"}, {"size_mm": {"at_least": 5}}])
    assert either.decide({"item": "nail"}).value is True
    assert either.decide({"item": "bolt"}).missing == {"size_mm"}
    assert either.decide({"item": "bolt", "size_mm": 4}).value is False


def test_not_turns_round_and_leaves_undecided() -> None:
    other = cond(**{"not": {"item": "nail"}})
    assert other.decide({"item": "nail"}).value is False
    assert other.decide({"item": "bolt"}).value is True
    assert other.decide({}).missing == {"item"}


def test_never_is_never() -> None:
    assert cond(never=True).decide({}).value is False


@pytest.mark.parametrize(
    ("op", "limit", "holds", "fails"),
    [("at_least", 4, 4, 3.9), ("at_most", 4, 4, 4.1), ("more_than", 4, 4.1, 4), ("less_than", 4, 3.9, 4)],
)
def test_bounds(op: str, limit: float, holds: float, fails: float) -> None:
    bound = cond(size_mm={op: limit})
    assert bound.decide({"size_mm": holds}).value is True
    assert bound.decide({"size_mm": fails}).value is False


def test_a_distance_does_not_turn_on_the_last_bit() -> None:
    near = cond(distance_to_salt_water_m={"at_most": 91.44})
    assert near.decide({"distance_to_salt_water_m": 300 * 0.3048}).value is True
    assert near.decide({"distance_to_salt_water_m": 91.45}).value is False


def test_two_facts_compared() -> None:
    nobler = cond(galvanic_order={"at_least_fact": "partner_galvanic_order"})
    assert nobler.decide({"galvanic_order": 15, "partner_galvanic_order": 2}).value is True
    assert nobler.decide({"galvanic_order": 2, "partner_galvanic_order": 15}).value is False
    assert nobler.decide({"galvanic_order": 2}).missing == {"partner_galvanic_order"}


def test_short_counts_the_statements_in_the_way() -> None:
    both = cond(item="bolt", size_mm={"at_least": 12.7})
    assert both.decide({"item": "bolt", "size_mm": 9.5}).short == 1
    assert both.decide({"item": "nail", "size_mm": 3.3}).short == 2


def test_sentences_say_what_is_and_what_was_asked() -> None:
    outcome = cond(size_mm={"at_least": 12.7}).decide({"size_mm": 9.5})
    said = "the diameter or thickness is 9.5 mm (0.374 in), not at least 12.7 mm (0.5 in)"
    assert outcome.because == (said,)


@pytest.mark.parametrize(
    "data",
    [
        {"colour": "red"},
        {"item": "spoon"},
        {"item": {"at_least": 3}},
        {"size_mm": {"about": 3}},
        {"size_mm": {}},
        {"size_mm": {"at_least": "3"}},
        {"galvanic_order": {"at_least_fact": "item"}},
        {"any": []},
        {"any": {"item": "nail"}},
        {"term": "unheard_of"},
    ],
)
def test_what_no_rule_may_say_is_refused(data: dict[str, Any]) -> None:
    with pytest.raises(TableError):
        read_condition(data, "test", {})


def _all_conditions() -> list[Condition]:
    rules = [rule for pack in list_packs().values() for rule in pack.rules]
    parts = {id(p): p for rule in rules for p in (rule.when, rule.demand, rule.allows, rule.refer_if)}
    return [part for part in parts.values() if leaves(part)]


CONDITIONS = _all_conditions()


def value_of(name: str) -> st.SearchStrategy[Any]:
    fact = vocabulary()[name]
    if fact.type == "yes_no":
        return st.booleans()
    if fact.type == "choice":
        return st.sampled_from(sorted(fact.values))
    return st.one_of(
        st.sampled_from([0.0, 4.0, 9.525, 12.7, 91.44, 500.0, 600.0]), st.floats(0, 1e4, width=32)
    )


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_what_is_decided_stays_decided_whatever_else_is_told(data: st.DataObject) -> None:
    condition = data.draw(st.sampled_from(CONDITIONS))
    names = sorted(facts_of(condition))
    whole = {name: data.draw(value_of(name)) for name in names}
    told = {name: whole[name] for name in names if data.draw(st.booleans())}
    part, full = condition.decide(told), condition.decide(whole)
    assert full.value is not None
    if part.value is None:
        assert part.missing
        assert part.missing <= set(names) - set(told)
    else:
        assert part.value is full.value


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_one_more_fact_never_asks_for_new_ones(data: st.DataObject) -> None:
    condition = data.draw(st.sampled_from(CONDITIONS))
    names = sorted(facts_of(condition))
    told = {name: data.draw(value_of(name)) for name in names if data.draw(st.booleans())}
    before = condition.decide(told)
    if before.value is not None:
        return
    name = data.draw(st.sampled_from(sorted(before.missing)))
    after = condition.decide({**told, name: data.draw(value_of(name))})
    assert after.missing <= before.missing - {name}
