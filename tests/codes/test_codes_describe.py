from __future__ import annotations

from functools import cache

import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.codes.describe import RuleView, describe_rule
from longhold.codes.packs import list_packs


@cache
def every_view() -> list[RuleView]:
    ids = {rule.id for pack in list_packs().values() for rule in pack.rules}
    return [view for name in sorted(ids) for view in describe_rule(name)]


def test_a_demand_is_shown_with_a_part_that_passes_and_one_that_fails() -> None:
    (view,) = describe_rule("us-irc-05")
    good, bad = view.examples
    assert (good.verdict, bad.verdict) == ("pass", "fail")
    assert "the kind of part is a connector" in good.asked_because
    assert "the finish is sheet zinc-coated at the mill" in good.met_because
    assert "ASTM A653 G185 sheet" in bad.would_pass_with
    assert "ASTM A653 G90 sheet" not in bad.would_pass_with
    assert view.scope[0].startswith("US-IRC-01: ")


def test_almost_every_demand_has_both_examples() -> None:
    always_met = {"CA-WPC-03", "DM-04", "NZ-T41-OT"}  # they accept any finish
    for view in every_view():
        if view.kind == "demand":
            wanted = ["pass"] if view.id in always_met else ["pass", "fail"]
            assert [one.verdict for one in view.examples] == wanted, view.id
            assert bool(view.demand) == (view.id not in always_met), view.id


def test_an_example_is_the_evaluators_own_word_for_that_rule() -> None:
    for view in every_view():
        for example in view.examples:
            assert example.rule_id == view.id
            assert not example.missing_facts


def test_editions_and_clauses_are_all_there() -> None:
    for view in every_view():
        assert all(one.number and one.editions for one in view.clauses)
        assert view.says
        assert view.source
        assert view.mark in Mark


def test_a_rule_from_memory_says_so_in_its_example() -> None:
    (view,) = describe_rule("US-IRC-19")
    assert view.examples
    assert all("from memory" in one.rests_on for one in view.examples)


def test_a_frame_names_the_rules_below_it() -> None:
    (deck,) = describe_rule("US-IRC-14")
    assert "US-IRC-19" in deck.holds
    assert deck.examples == ()


def test_guidance_is_called_so() -> None:
    (view,) = describe_rule("GP-01")
    assert view.packs == {"good_practice": "Good practice for metal in timber, guidance"}


@pytest.mark.parametrize(
    ("asked", "near"), [("US-IRC-5", "US-IRC-05"), ("usirc05", "US-IRC-05"), ("DM-05", "DM-05.part")]
)
def test_a_near_miss_is_answered_with_what_is_near(asked: str, near: str) -> None:
    with pytest.raises(InputError, match=near):
        describe_rule(asked)


def test_nothing_near_says_how_to_look() -> None:
    with pytest.raises(InputError, match="longhold codes list"):
        describe_rule("")
