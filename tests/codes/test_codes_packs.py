from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from longhold.base.errors import InputError, TableError
from longhold.base.marks import Mark
from longhold.codes.packs import Rule, list_packs, load_pack, show_rule
from longhold.codes.reader import read_rules

GOOD: dict[str, Any] = {
    "id": "X-1",
    "kind": "demand",
    "clause": "1",
    "demand": {"finish": "stainless"},
    "says": "Everything is stainless.",
    "source": "own",
    "mark": "own",
}


def read(*rules: Mapping[str, Any], **more: Any) -> tuple[Rule, ...]:
    return read_rules("test.toml", {"rule": list(rules), **more}, load_pack("us_ibc"), "")


def test_packs_first_the_united_states() -> None:
    have = list_packs()
    years = ("2003", "2006", "2009", "2012", "2015", "2018", "2021", "2024")
    assert have["us_irc"].editions == have["us_ibc"].editions == years
    assert have["dissimilar_metals"].kind == "guidance"
    assert have["us_irc"].kind == have["us_ibc"].kind == have["eu_ec5"].kind == "code"


def test_edition_that_does_not_exist_names_those_that_do() -> None:
    with pytest.raises(InputError, match="2003, 2006, 2009, 2012, 2015, 2018, 2021, 2024"):
        list_packs()["us_irc"].rules_in("2010")


def test_pack_that_does_not_exist_names_those_that_do() -> None:
    with pytest.raises(InputError, match="us_irc"):
        load_pack("mars")


def test_rule_that_does_not_exist() -> None:
    with pytest.raises(InputError, match="id of no rule"):
        show_rule("US-IRC-99")


def test_one_id_may_read_differently_in_different_editions() -> None:
    early, late = show_rule("US-IRC-07")
    assert set(early.editions).isdisjoint(late.editions)
    assert "staples" in late.says
    assert "staples" not in early.says


def test_rule_in_two_packs_is_shown_once() -> None:
    assert len(show_rule("US-IRC-30")) == 1


def test_frames_pass_their_condition_on() -> None:
    (salt,) = show_rule("US-IRC-19")
    assert salt.under == ("US-IRC-14",)
    far_from_deck = {"application": "other", "distance_to_salt_water_m": 5, "part_kind": "connector"}
    assert salt.when.decide(far_from_deck).value is False
    assert salt.own_when.decide(far_from_deck).value is True


def test_borrowed_part_speaks_with_its_own_edition() -> None:
    annex = list_packs()["de_ec5_na"]
    row = next(rule for rule in annex.rules if rule.id == "EU-EC5-02.1")
    assert annex.edition_of(row, "2013-08") == "2004+A2"


def test_no_rule_is_marked_better_than_memory_without_a_source_that_was_read() -> None:
    for pack in list_packs().values():
        for rule in pack.rules:
            if rule.source.endswith("recalled"):
                assert rule.mark is not Mark.VERIFIED, rule.id


def test_good_rule_is_read() -> None:
    (rule,) = read(GOOD)
    assert rule.clause["2024"] == "1"
    assert rule.when.decide({}).value is True


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"colour": "red"}, "unknown keys"),
        ({"source": None}, "missing keys"),
        ({"kind": "wish"}, "kind 'wish'"),
        ({"kind": "note"}, "demand stands in every demand"),
        ({"demand": {"colour": "red"}}, "not in the vocabulary"),
        ({"demand": {"finish": "gold"}}, "must be one of"),
        ({"when": {"item": "spoon"}}, "must be one of"),
        ({"refer_if": {"finish": "copper"}}, "refer_if and refer_to"),
        ({"editions": ["1999"]}, "are not all in"),
        ({"clause": {"2006": "1"}}, "no clause number for edition 2003"),
        ({"clause": {"1999": "1"}}, "clause numbers are given"),
        ({"under": "X-0"}, "no single frame"),
        ({"mark": "certain"}, "certain"),
    ],
)
def test_bad_rule_is_refused(change: dict[str, Any], said: str) -> None:
    entry = {key: value for key, value in {**GOOD, **change}.items() if value is not None}
    with pytest.raises(TableError, match=said):
        read(entry)


def test_file_with_an_unknown_table_is_refused() -> None:
    with pytest.raises(TableError, match="may hold terms, editions and rule"):
        read(GOOD, wish={})


def test_term_without_a_source_is_refused() -> None:
    with pytest.raises(TableError, match="term thin needs says, source and mark"):
        read(GOOD, terms={"thin": {"size_mm": {"at_most": 4}}})
