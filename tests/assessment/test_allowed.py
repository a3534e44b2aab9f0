from __future__ import annotations

import pytest

import longhold
from longhold.assessment.allowed import AllowedPart, allowed_at, allowed_together
from longhold.assessment.designations import designations_for_part
from longhold.documents.allowed_view import allowed_rows

DECK = longhold.load("demo/boardwalk.toml")
JOINTS = {joint.id: joint for joint in DECK.joints}


@pytest.fixture(scope="module")
def hangers() -> tuple[AllowedPart, ...]:
    return allowed_at(DECK, JOINTS["J02"], draws=200)


def test_near_salt_water_only_stainless_passes(hangers: tuple[AllowedPart, ...]) -> None:
    for part in hangers:
        assert {one.words.split()[0] for one in part.with_verdict("pass")} == {"stainless"}


def test_every_designation_is_answered_in_order(hangers: tuple[AllowedPart, ...]) -> None:
    for part, described in zip(hangers, JOINTS["J02"].parts, strict=True):
        wanted = [one.words for one in designations_for_part(described)]
        assert [one.words for one in part.options] == wanted


def test_what_the_part_has_now_is_marked(hangers: tuple[AllowedPart, ...]) -> None:
    assert [one.words for one in hangers[0].options if one.own] == ["ASTM A653 G90"]


def test_more_zinc_lasts_longer_here_too(hangers: tuple[AllowedPart, ...]) -> None:
    years = {one.words: one.years for one in hangers[0].options}
    light, heavy = years["ASTM A653 G60"], years["ASTM A653 G185"]
    assert light is not None
    assert heavy is not None
    assert 0 < light.p50 < heavy.p50


def test_where_there_are_no_years_the_reason_is_said(hangers: tuple[AllowedPart, ...]) -> None:
    for part in hangers:
        for option in part.options:
            assert (option.years is None) == bool(option.no_years)


def test_far_from_salt_zinc_passes_too() -> None:
    inland = DECK.at(DECK.site.model_copy(update={"distance_to_salt_water": 300_000.0}))
    (hanger,) = allowed_at(inland, JOINTS["J02"], JOINTS["J02"].parts[0], draws=200)
    passing = [one.words for one in hanger.with_verdict("pass")]
    assert passing[0] == "ASTM A653 G185"
    assert "ASTM A653 G90" not in passing
    open_ = hanger.with_verdict("refer")
    assert open_
    assert all("left to the building official" in one.because[0] for one in open_)


def test_what_is_told_counts() -> None:
    far = {"distance_to_salt_water_m": 200_000.0}
    (hanger,) = allowed_at(DECK, JOINTS["J02"], JOINTS["J02"].parts[0], told=far, draws=200)
    assert "ASTM A653 G185" in [one.words for one in hanger.with_verdict("pass")]


@pytest.mark.parametrize("joint", ["J02", "J10"])
def test_the_chance_with_what_is_there_now_is_that_of_the_answer(joint: str) -> None:
    answer = longhold.assess(DECK.model_copy(update={"joints": [JOINTS[joint]]}), draws=400)
    for part in allowed_at(DECK, JOINTS[joint], draws=400):
        (now,) = [one for one in part.options if one.own]
        assert now.chance == answer.findings[0].strength_chance


def test_nothing_short_of_its_class_or_of_the_chance_asked_for_is_said_to_pass() -> None:
    together = allowed_together(DECK, JOINTS["J02"], draws=400)
    assert together is not None
    for part in (together, *allowed_at(DECK, JOINTS["J02"], draws=400)):
        for one in part.standing("enough"):
            assert not one.short
            assert one.chance is not None
            assert one.chance >= DECK.target_chance
            assert one.verdict != "fail"
    # EN 1993-1-4, Annex A, as recalled: up to 0.25 km from the sea F1 is -15, washed F3 is 0: class IV;
    # 304 is of class II, 316 of III, 2205 of IV, 2507 of V
    by_words = {one.words.split()[0]: one for one in together.options}
    for grade, held in (("304", "II"), ("316", "III"), ("2205", "IV"), ("2507", "V")):
        one = by_words[grade]
        assert (one.class_held, one.class_asked) == (held, "IV")
        assert (one.standing == "enough") is (grade in ("2205", "2507"))
    assert [by_words[grade].cost_step for grade in ("304", "316", "2205", "2507")] == [
        (1, 5),
        (2, 5),
        (3, 5),
        (4, 5),
    ]


def test_what_is_enough_for_all_parts_is_what_the_answer_advises() -> None:
    answer = longhold.assess(DECK.model_copy(update={"joints": [JOINTS["J02"]]}), draws=400).findings[0]
    together = allowed_together(DECK, JOINTS["J02"], draws=400)
    assert together is not None
    assert answer.enough == together.standing("enough")[0].words
    assert allowed_together(DECK, JOINTS["J10"], draws=400) is None  # of one part


def test_the_table_is_short_and_the_paragraph_stands_behind_why() -> None:
    for part in allowed_at(DECK, JOINTS["J02"], draws=200):
        for _, rows in allowed_rows(part, DECK):
            for row in rows:
                cells = (row.code, row.chance, row.grade, row.cost)
                assert all(len(cell) <= 80 for cell in cells), row
                assert row.why
