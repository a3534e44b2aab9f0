from __future__ import annotations

from typing import Any

import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.codes import evaluate

NAIL: dict[str, Any] = {"item": "nail", "size_mm": 3.3, "treatment": "acq", "exposure": "exterior_exposed"}
A153_D = {"finish": "hot_dip_zinc", "zinc_standard": "ASTM A153", "a153_class": "D"}


def test_a_missing_fact_that_decides_is_named() -> None:
    answer = evaluate("us_irc", "2021", {**NAIL, **A153_D, "application": "deck"})
    assert answer.verdict == "refer"
    assert answer.missing_facts == ("distance_to_salt_water_m",)


def test_a_missing_fact_that_decides_nothing_is_not_asked_for() -> None:
    stainless = {**NAIL, "finish": "stainless", "application": "deck"}
    assert evaluate("us_irc", "2021", stainless).verdict == "pass"
    plain = {**NAIL, "finish": "plain_steel", "application": "deck"}
    assert evaluate("us_irc", "2021", plain).verdict == "fail"


def test_not_knowing_whether_the_pass_stops_refers() -> None:
    answer = evaluate("us_irc", "2021", {**NAIL, **A153_D, "distance_to_salt_water_m": 9000})
    assert answer.verdict == "refer"
    assert "application" in answer.missing_facts


def test_nothing_told_is_all_missing_and_never_a_pass() -> None:
    for pack, edition in (("us_irc", "2021"), ("us_ibc", "2018"), ("eu_ec5", "2004+A2"), ("nz_3604", "2011")):
        answer = evaluate(pack, edition, {})
        assert answer.verdict == "refer"
        assert answer.missing_facts


def test_fail_counts_over_refer_and_refer_over_pass() -> None:
    connector = {
        "item": "connector",
        "treatment": "acq",
        "exposure": "exterior_exposed",
        "application": "deck",
        "finish": "mill_zinc_sheet",
        "distance_to_salt_water_m": 9000,
    }
    weak = evaluate("us_irc", "2021", {**connector, "mill_total_g_m2": 275})
    assert [v.verdict for v in weak.verdicts] == ["fail", "refer"]
    assert weak.verdict == "fail"
    strong = evaluate("us_irc", "2021", {**connector, "mill_total_g_m2": 564})
    assert [v.verdict for v in strong.verdicts] == ["pass", "refer"]
    assert strong.verdict == "refer"


def test_a_verdict_says_why() -> None:
    facts = {**NAIL, "finish": "electroplated_zinc", "application": "deck", "distance_to_salt_water_m": 9000}
    answer = evaluate("us_irc", "2021", facts)
    verdict = answer.deciding[0]
    assert verdict.rule_id == "US-IRC-15"
    assert "the use is a deck" in verdict.asked_because
    assert "the finish is electroplated zinc" in verdict.failed_because
    assert verdict.failed_because[-1] == f"asked: {verdict.says}"
    assert verdict.pack == "us_irc"
    assert any("deck table" in line for line in verdict.interpretation)


def test_exceptions_that_helped_and_that_nearly_did_are_told() -> None:
    bolt = {**NAIL, "item": "bolt", "finish": "plain_steel", "application": "other"}
    freed = evaluate("us_irc", "2015", {**bolt, "size_mm": 12.7}).deciding[0]
    assert freed.exceptions[0].startswith("US-IRC-06: ")
    short = evaluate("us_irc", "2015", {**bolt, "size_mm": 9.5}).deciding[0]
    assert short.exceptions[0].startswith("US-IRC-06 does not help")
    assert "not at least 12.7 mm" in short.exceptions[0]
    nail = evaluate("us_irc", "2015", {**NAIL, "finish": "plain_steel", "application": "other"}).deciding[0]
    assert nail.exceptions == ()


def test_suggestions_are_tried_and_pass_when_taken() -> None:
    facts = {**NAIL, "finish": "plain_steel", "application": "deck", "distance_to_salt_water_m": 9000}
    answer = evaluate("us_irc", "2021", facts)
    assert answer.would_pass_with == (
        "hot-dip zinc to ASTM A153 Class D",
        "hot-dip zinc to ASTM A153 Class C",
        "stainless 304",
        "stainless 316",
        "stainless 2205",
        "stainless 2507",
        "silicon bronze",
        "copper",
    )
    near = evaluate("us_irc", "2021", {**facts, "distance_to_salt_water_m": 20})
    assert near.would_pass_with == ("stainless 304", "stainless 316", "stainless 2205", "stainless 2507")
    table = next(v for v in near.verdicts if v.rule_id == "US-IRC-15")
    assert "copper" in table.would_pass_with


def test_a_pass_suggests_nothing() -> None:
    facts = {**NAIL, **A153_D, "application": "other"}
    assert evaluate("us_irc", "2021", facts).would_pass_with == ()


def test_mark_is_the_weakest_that_decided() -> None:
    treated = evaluate("us_irc", "2021", {**NAIL, **A153_D, "application": "other"})
    assert (treated.mark, treated.edition_mark) == (Mark.VERIFIED, Mark.VERIFIED)
    assert evaluate("us_irc", "2015", {**NAIL, **A153_D, "application": "other"}).edition_mark is Mark.MEMORY
    near = {**NAIL, **A153_D, "application": "deck", "distance_to_salt_water_m": 20}
    assert evaluate("us_irc", "2021", near).mark is Mark.MEMORY


def test_derived_class_is_used_and_told() -> None:
    fixing = {
        "item": "bolt",
        "finish": "hot_dip_zinc",
        "treatment": "cca",
        "hazard_class": "H3.2",
        "nz_env": "exposed",
        "height_above_ground_mm": 1500,
        "distance_to_salt_water_m": 450,
        "water_kind": "open_coast",
    }
    answer = evaluate("nz_3604", "2011", fixing)
    assert answer.given == {"nz_zone": "D"}
    assert answer.verdict == "fail"
    assert answer.deciding[0].rule_id == "NZ-T41-D"
    told = evaluate("nz_3604", "2011", {**fixing, "nz_zone": "C"})
    assert told.given == {}


def test_class_that_cannot_be_derived_names_the_facts_behind_it() -> None:
    fixing = {"item": "bolt", "finish": "hot_dip_zinc", "treatment": "none", "nz_env": "exposed"}
    answer = evaluate("nz_3604", "2011", {**fixing, "height_above_ground_mm": 1500})
    assert {"nz_zone", "distance_to_salt_water_m", "offshore_island"} <= set(answer.missing_facts)
    assert set(answer.not_given["nz_zone"]) == {"distance_to_salt_water_m", "offshore_island", "water_kind"}


def test_sum_waits_for_all_its_parts() -> None:
    told = {
        "indoor_controlled": False,
        "road_tunnel": False,
        "salted_road_m": 5000,
        "coast": "other_european",
        "distance_to_salt_water_m": 100,
    }
    half = evaluate("eu_1993_1_4", "2015", told)
    assert half.given == {"f1": -15}
    assert "sulphur_dioxide_ug_m3" in half.not_given["crf"]
    whole = evaluate("eu_1993_1_4", "2015", {**told, "sulphur_dioxide_ug_m3": 8, "washing": "neither"})
    assert (whole.given["crf"], whole.given["crc"]) == (-22, "V")


def test_guidance_is_kept_apart_from_codes() -> None:
    assert evaluate("us_irc", "2021", NAIL).kind == "code"
    assert evaluate("dissimilar_metals", "Canada", NAIL).kind == "guidance"


def test_second_generation_is_referred_not_guessed() -> None:
    answer = evaluate("eu_ec5", "2025", {**NAIL, "finish": "stainless", "service_class": "3"})
    assert answer.verdict == "refer"
    assert answer.rules == ("EU-G2-01",)


def test_bad_facts_are_refused() -> None:
    with pytest.raises(InputError, match=r"facts\.finish"):
        evaluate("us_irc", "2021", {"finish": "gold"})


def test_silence_is_no_leave() -> None:
    """A finish of which a pack says nothing is not offered in place of one that it leaves open."""
    stainless = {"item": "bolt", "finish": "stainless", "stainless_type": "304"}
    assert evaluate("eu_1993_1_4", "2015", stainless).verdict == "refer"
    assert "plain steel" not in evaluate("eu_1993_1_4", "2015", stainless).would_pass_with


def test_wood_of_which_nothing_is_asked_lets_any_listed_finish_pass() -> None:
    film = {"item": "nail", "finish": "film_on_steel", "treatment": "none", "application": "other"}
    answer = evaluate("us_irc", "2015", film)
    assert answer.verdict == "refer"
    assert "plain steel" in answer.would_pass_with


def test_a_rule_from_memory_is_named_in_the_verdict() -> None:
    deck = {"item": "connector", "finish": "mill_zinc_sheet", "mill_total_g_m2": 564.5, "treatment": "none"}
    facts = deck | {"application": "deck", "distance_to_salt_water_m": 10.0}
    (verdict, *_) = evaluate("us_irc", "2021", facts).deciding
    assert verdict.rule_id == "US-IRC-19"
    assert verdict.recalled == ("US-IRC-19", "US-IRC-14")
    assert "from memory" in verdict.rests_on
