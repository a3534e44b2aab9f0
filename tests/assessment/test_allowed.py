from __future__ import annotations

import pytest

import longhold
from longhold.assessment.allowed import AllowedPart, allowed_at
from longhold.assessment.designations import designations_for_part

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
