from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from longhold.base.marks import Mark
from longhold.codes import validator
from longhold.codes.conditions import NEVER, read_condition
from longhold.codes.packs import EditionFact, Pack, Rule, load_pack
from longhold.codes.validator import check_pack, check_packs, satisfiable


def small_pack(*rules: Rule) -> Pack:
    whole = load_pack("us_irc")
    closing = next(rule for rule in whole.rules if rule.id == "US-IRC-28.rest")
    files = {rule.file for rule in (*rules, closing)}
    return replace(whole, rules=(*rules, closing), parts=tuple((file, "") for file in files))


def rule(name: str = "US-IRC-03", **change: Any) -> Rule:
    found = next(r for r in load_pack("us_irc").rules if r.id == name)
    return replace(found, **{"exceptions": (), "under": (), **change})


def test_all_is_well() -> None:
    assert check_packs() == ()


@pytest.mark.parametrize(
    ("rules", "said"),
    [
        ((rule(), rule()), "US-IRC-03: stands more than once"),
        ((rule(exceptions=("US-IRC-99",)),), "calls US-IRC-99, which is no exception"),
        ((rule("US-IRC-06"),), "is an exception that no demand calls"),
        ((rule(when=NEVER),), "can never be asked"),
        ((rule(demand=NEVER),), "can never be met"),
        ((rule(clause=dict.fromkeys(rule().editions, "R999")),), "does not lie within R317.3"),
        ((rule(topic="unheard_of"),), "is not in the table of editions"),
        ((rule(editions=("1999",), clause={"1999": "1"}),), "stands in no edition"),
        ((rule(gives={"finish": "gold"}, kind="gives"),), "gives finish = 'gold'"),
        ((rule(gives={"colour": "red"}, kind="gives"),), "gives colour, which is no fact"),
        ((rule(gives={"crf": {"sum_of": ["item"]}}, kind="gives"),), "gives crf as"),
    ],
)
def test_what_is_wrong_is_found(rules: tuple[Rule, ...], said: str) -> None:
    assert any(said in problem for problem in check_pack(small_pack(*rules)))


def test_a_rule_in_an_edition_that_lacks_it_is_found() -> None:
    pack = small_pack(rule())
    absent = {"treated_wood_fasteners": {e: EditionFact("absent", "own", Mark.OWN) for e in pack.editions}}
    assert any("is absent" in problem for problem in check_pack(replace(pack, edition_facts=absent)))


def test_a_rule_below_one_that_always_stops_is_found() -> None:
    stop = rule("US-IRC-30", id="X-1")
    wall = replace(stop, when=rule("US-IRC-28.rest").when)
    assert any("US-IRC-03: can never be asked" in problem for problem in check_pack(small_pack(wall, rule())))
    assert not any("can never be asked" in problem for problem in check_pack(small_pack(stop, rule())))


def test_a_pack_that_can_end_without_an_answer_is_found() -> None:
    pack = small_pack(rule())
    assert any("no rule closes it" in p for p in check_pack(replace(pack, rules=pack.rules[:1])))


def test_bad_lists_of_a_pack_are_found() -> None:
    pack = replace(small_pack(rule()), candidates="mars", answers=("colour",))
    found = list(check_pack(pack))
    assert any("no list 'mars'" in problem for problem in found)
    assert any("colour, which is no fact" in problem for problem in found)


def test_a_file_that_the_reader_refuses_is_reported(monkeypatch: pytest.MonkeyPatch) -> None:
    from longhold.base.errors import TableError

    def refuse(pack_id: str) -> Pack:
        raise TableError(f"{pack_id} is broken")

    monkeypatch.setattr(validator, "load_pack", refuse)
    assert "us_irc is broken" in check_packs()


def test_a_fact_that_no_rule_asks_about_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    known = validator.vocabulary()
    more = {**known, "colour": replace(known["item"], name="colour")}
    monkeypatch.setattr(validator, "vocabulary", lambda: more)
    assert check_packs() == ("facts.toml: no rule asks about or gives colour",)


@pytest.mark.parametrize(
    ("data", "possible"),
    [
        ({"item": "nail", "part_kind": "fastener"}, True),
        ({"item": "nail", "part_kind": "connector"}, False),
        ({"treatment": "frt", "preservative_treated": True}, False),
        ({"all": [{"size_mm": {"at_least": 5}}, {"size_mm": {"less_than": 5}}]}, False),
        ({"size_mm": {"more_than": 5, "less_than": 6}}, True),
        ({"all": [{"item": "nail"}, {"not": {"item": ["nail", "staple"]}}]}, False),
        ({"galvanic_order": {"at_least_fact": "partner_galvanic_order"}}, True),
    ],
)
def test_satisfiable(data: dict[str, Any], possible: bool) -> None:
    assert satisfiable(read_condition(data, "test", {})) is possible
