from __future__ import annotations

import pytest

import longhold
from longhold.assessment.across import Across, across_codes
from longhold.base.errors import InputError
from longhold.codes.packs import list_packs

DECK = longhold.load("demo/boardwalk.toml")
JOINTS = {joint.id: joint for joint in DECK.joints}


@pytest.fixture(scope="module")
def hangers() -> Across:
    return across_codes(DECK, JOINTS["J02"])


def verdicts(found: Across, pack: str) -> dict[str, str]:
    rows = (*found.codes, *found.standards, *found.guidance)
    return {edition: row.verdict for row in rows if row.pack == pack for edition in row.editions}


def test_every_edition_of_every_pack_stands_once(hangers: Across) -> None:
    asked = {pack.id: pack for pack in list_packs().values() if "compliance" in pack.checks}
    assert {row.pack for row in (*hangers.codes, *hangers.standards, *hangers.guidance)} == set(asked)
    for name, pack in asked.items():
        rows = [row for row in (*hangers.codes, *hangers.standards, *hangers.guidance) if row.pack == name]
        assert [edition for row in rows for edition in row.editions] == list(pack.editions)


def test_codes_and_guidance_are_never_mixed(hangers: Across) -> None:
    assert {row.kind for row in hangers.codes} == {"code"}
    assert {row.kind for row in hangers.guidance} == {"guidance"}
    assert {row.pack for row in hangers.standards} == {"uk_nhbc"}
    assert not any(row.strictest for row in hangers.standards)
    assert not any(row.strictest for row in hangers.guidance)


def test_the_deck_table_came_with_2018(hangers: Across) -> None:
    nail = {edition: row.parts[1].verdict for row in hangers.codes if row.pack == "us_irc"
            for edition in row.editions}  # fmt: skip
    assert nail["2015"] == "pass"
    assert nail["2018"] == nail["2024"] == "fail"


def test_the_governing_row_is_marked_and_comes_first(hangers: Across) -> None:
    (row,) = [row for row in hangers.codes if row.governs]
    assert "2021" in row.editions
    assert hangers.codes[0].pack == "us_irc"


def test_it_says_of_each_part_what_the_assessment_says() -> None:
    whole = longhold.assess(DECK, draws=200)
    for finding in whole.findings:
        found = across_codes(DECK, finding.joint, [(list_packs()["us_irc"], ("2021",))])
        (row,) = found.codes
        assert [one.verdict for one in row.parts] == [part.code.verdict for part in finding.parts]
        assert [one.rules for one in row.parts] == [part.code.rules for part in finding.parts]


def test_the_strictest_refuses_most_and_has_decided(hangers: Across) -> None:
    decided = [row for row in hangers.codes if row.verdict in ("pass", "fail")]
    best = [row for row in hangers.codes if row.strictest]
    most = max(sum(one.refused for one in row.parts) for row in decided if row.verdict == "fail")
    assert best
    assert all(row.verdict == "fail" for row in best)
    assert all(sum(one.refused for one in row.parts) == most for row in best)


def test_a_missing_fact_is_named_and_can_be_told(hangers: Across) -> None:
    (row,) = [row for row in hangers.codes if row.pack == "nz_3604"]
    assert row.verdict == "refer"
    assert "hazard_class" in row.parts[0].missing_facts
    told = {"hazard_class": "H3.2", "height_above_ground_mm": 900.0, "nz_zone": "C"}
    again = across_codes(DECK, JOINTS["J02"], [(list_packs()["nz_3604"], ("2011",))], told)
    assert again.codes[0].verdict == "fail"
    assert again.codes[0].parts[0].missing_facts == ()


def test_a_rule_from_memory_is_named(hangers: Across) -> None:
    (row,) = [row for row in hangers.codes if row.governs]
    assert "US-IRC-19" in row.parts[0].recalled


def test_an_edition_that_does_not_exist_is_refused() -> None:
    with pytest.raises(InputError, match="known here in 2003"):
        across_codes(DECK, JOINTS["J02"], [(list_packs()["us_irc"], ("2010",))])
