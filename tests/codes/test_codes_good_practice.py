"""Advice that holds anywhere, and the packs of codes that say little."""

from __future__ import annotations

from typing import Any

import pytest

from longhold.codes.evaluator import evaluate
from longhold.codes.packs import list_packs

ZINC = {"finish": "hot_dip_zinc", "metal_family": "zinc"}
BOLT = {
    "item": "bolt",
    "has_partner": False,
    "exposure": "exterior_exposed",
    "distance_to_salt_water_m": 90_000,
}


@pytest.mark.parametrize(
    ("facts", "verdict", "rule"),
    [
        ({**BOLT, **ZINC, "washer_under_head": True}, "pass", "GP-06"),
        ({**BOLT, **ZINC, "washer_under_head": False}, "fail", "GP-06"),
        ({**BOLT, **ZINC}, "refer", "GP-06"),
        ({**BOLT, **ZINC, "distance_to_salt_water_m": 8000, "washer_under_head": True}, "fail", "GP-04"),
        (
            {**BOLT, "finish": "stainless", "stainless_type": "410", "distance_to_salt_water_m": 8000,
             "washer_under_head": True}, "fail", "GP-04",
        ),
        (
            {**BOLT, "finish": "stainless", "stainless_type": "316", "distance_to_salt_water_m": 8000,
             "washer_under_head": True}, "pass", "GP-04",
        ),
        (
            {"item": "nail", "finish": "stainless", "stainless_type": "304", "has_partner": True,
             "partner_metal_family": "zinc", "distance_to_salt_water_m": 90_000}, "fail", "GP-01",
        ),
        (
            {"item": "flashing", "finish": "aluminium", "treatment": "acq", "has_partner": False,
             "barrier": False}, "fail", "GP-02",
        ),
        (
            {"item": "flashing", "finish": "aluminium", "treatment": "acq", "has_partner": False,
             "barrier": True}, "pass", "GP-02",
        ),
        (
            {"item": "flashing", "finish": "aluminium", "treatment": "mca", "has_partner": False,
             "exposure": "exterior_exposed"}, "pass", "GP-02.micronized",
        ),
        (
            {"item": "flashing", "finish": "aluminium", "treatment": "mca", "has_partner": False,
             "exposure": "ground_contact", "barrier": False}, "fail", "GP-02.micronized",
        ),
        (
            {"item": "nail", "finish": "plain_steel", "treatment": "ca", "has_partner": False,
             "barrier": False, "exposure": "interior_dry"}, "fail", "GP-03",
        ),
    ],
)  # fmt: skip
def test_good_practice(facts: dict[str, Any], verdict: str, rule: str) -> None:
    answer = evaluate("good_practice", "as read", facts)
    assert answer.verdict == verdict
    assert rule in answer.rules
    assert answer.kind == "guidance"


def test_drying_and_holes_are_remarks_that_no_fact_tests() -> None:
    facts = {**BOLT, **ZINC, "treatment": "acq", "washer_under_head": True}
    notes = [note.rule_id for note in evaluate("good_practice", "as read", facts).notes]
    assert notes == ["GP-05", "GP-07.bolt"]


def test_advice_is_never_in_a_code() -> None:
    for pack in list_packs().values():
        if pack.kind == "code":
            assert not any(rule.id.startswith(("GP", "DM", "US-SPC", "US-FEMA")) for rule in pack.rules)


@pytest.mark.parametrize(
    ("pack", "edition", "facts", "verdict"),
    [
        ("us_nds", "2018", {"item": "bolt", "finish": "plain_steel"}, "not_governed"),
        ("us_ubc", "1997", {"item": "bolt", "finish": "mechanical_zinc", "treatment": "cca"}, "fail"),
        ("us_ubc", "1997", {"item": "bolt", "finish": "copper", "treatment": "frt"}, "pass"),
        ("us_ubc", "1997", {"item": "bolt", "finish": "copper", "treatment": "none"}, "not_governed"),
        ("us_crc", "as read", {"item": "nail", "finish": "plain_steel", "treatment": "acq",
                               "exposure": "exterior_exposed"}, "fail"),
        ("us_crc", "as read", {"item": "nail", "finish": "plain_steel", "treatment": "sbx",
                               "exposure": "interior_dry"}, "pass"),
        ("us_crc", "as read", {"item": "bolt", "size_mm": 12.7, "finish": "plain_steel", "treatment": "acq",
                               "exposure": "exterior_exposed"}, "pass"),
        ("us_crc", "as read", {"item": "connector", "finish": "mill_zinc_sheet", "mill_total_g_m2": 275,
                               "treatment": "acq", "maker_advice": "none"}, "fail"),
        ("us_fema", "2010", {"item": "nail", "finish": "electroplated_zinc", "treatment": "acq",
                             "coastal_building": True}, "fail"),
        ("us_fema", "2010", {"item": "nail", "finish": "electroplated_zinc", "treatment": "acq"}, "refer"),
        ("us_association", "as read", {"item": "nail", "finish": "hot_dip_zinc", "treatment": "acq",
                                       "distance_to_salt_water_m": 9e4,
                                       "retention_above_ground_contact": True}, "fail"),
        ("au_1684", "2010", {"item": "connector", "finish": "mill_zinc_sheet", "mill_total_g_m2": 100,
                             "exposure": "interior_dry", "treatment": "none"}, "fail"),
        ("au_1684", "2010", {"item": "connector", "finish": "mill_zinc_sheet", "mill_total_g_m2": 275,
                             "exposure": "interior_dry", "treatment": "none"}, "pass"),
        ("au_1684", "2010", {"item": "connector", "finish": "mill_zinc_sheet", "mill_total_g_m2": 275,
                             "exposure": "exterior_exposed", "treatment": "none"}, "refer"),
        ("au_1720", "2010", {"item": "nail"}, "refer"),
        ("au_ncc", "2022", {"item": "fabricated_part"}, "refer"),
        ("au_ncc", "2022", {"item": "nail"}, "not_governed"),
    ],
)  # fmt: skip
def test_packs_that_say_little(pack: str, edition: str, facts: dict[str, Any], verdict: str) -> None:
    assert evaluate(pack, edition, facts).verdict == verdict


@pytest.mark.parametrize(
    ("pack", "edition", "facts", "given"),
    [
        ("eu_14592", "2022", {"wood_moisture_pct": 10}, ("t_category", "T1")),
        ("eu_14592", "2022", {"wood_moisture_pct": 10.5}, ("t_category", "T2")),
        ("eu_14592", "2022", {"wood_moisture_pct": 18, "wood_ph": 4.5}, ("t_category", "T3")),
        ("eu_14592", "2022", {"wood_moisture_pct": 18, "wood_ph": 4}, ("t_category", "T4")),
        ("eu_14592", "2022", {"wood_moisture_pct": 21}, ("t_category", "T5")),
        ("eu_335", "2013", {"exposure": "interior_dry"}, ("eu_use_class", "1")),
        ("eu_335", "2013", {"exposure": "exterior_exposed", "dries_quickly": False}, ("eu_use_class", "3.2")),
        ("eu_335", "2013", {"exposure": "immersed", "salt_immersion": True}, ("eu_use_class", "5")),
        ("eu_12944", "2018", {"zinc_first_year_um": 0.7}, ("air_category", "C2")),
        ("eu_12944", "2018", {"zinc_first_year_um": 2.2}, ("air_category", "C4")),
        ("us_awpa", "as read", {"application": "wood_foundation"}, ("use_category_needed", "UC4B")),
        (
            "us_awpa",
            "as read",
            {"application": "deck", "treatment": "acq", "exposure": "exterior_exposed", "access": "hard"},
            ("use_category_needed", "UC4A"),
        ),
        (
            "us_awpa",
            "as read",
            {
                "application": "deck", "treatment": "acq", "exposure": "exterior_exposed", "access": "easy",
                "height_above_ground_mm": 152.4, "kept_wet": False, "dries_quickly": True,
            },
            ("use_category_needed", "UC3A"),
        ),
    ],
)  # fmt: skip
def test_classes_of_wood_and_air(
    pack: str, edition: str, facts: dict[str, Any], given: tuple[str, str]
) -> None:
    name, value = given
    assert evaluate(pack, edition, facts).given[name] == value


def test_a_class_that_hangs_on_a_fact_names_it() -> None:
    answer = evaluate("eu_14592", "2022", {"wood_moisture_pct": 18})
    assert answer.verdict == "refer"
    assert answer.missing_facts == ("wood_ph",)


def test_loss_beyond_every_category_gives_none() -> None:
    assert evaluate("eu_12944", "2018", {"zinc_first_year_um": 26.0}).given == {}
