"""The edges of the packs outside the United States, and of the guidance."""

from __future__ import annotations

from typing import Any

import pytest

from longhold.codes import evaluate

PLAIN = {"finish": "plain_steel"}
FE_ZN_12 = {"finish": "electroplated_zinc", "electroplated_um": 12}
FE_ZN_25 = {"finish": "electroplated_zinc", "electroplated_um": 25}
HOT_DIP = {"finish": "hot_dip_zinc"}
SHEET = {"finish": "mill_zinc_sheet", "mill_total_g_m2": 275}
SS304 = {"finish": "stainless", "stainless_type": "304", "stainless_family": "austenitic"}


def test_table_4_1_leaves_other_coatings_to_the_approver() -> None:
    bolt = {"item": "bolt", "size_mm": 16, "service_class": "3"}
    answer = evaluate("eu_ec5", "2004+A2", {**bolt, **HOT_DIP})
    assert (answer.verdict, answer.missing_facts) == ("refer", ())
    assert evaluate("eu_ec5", "2004+A2", {**bolt, **HOT_DIP, "service_class": "2"}).verdict == "pass"
    assert evaluate("eu_ec5", "2004+A2", {**bolt, **HOT_DIP, "item": "staple"}).verdict == "fail"
    near = {"item": "staple", "service_class": "2", "finish": "mill_zinc_sheet", "mill_total_g_m2": 274.6}
    assert evaluate("eu_ec5", "2004+A2", near).verdict == "refer"


def test_service_class_may_come_from_the_moisture() -> None:
    nail = {"item": "nail", "size_mm": 3.1, **PLAIN}
    assert evaluate("eu_ec5", "2004+A2", {**nail, "wood_moisture_pct": 11}).verdict == "pass"
    assert evaluate("eu_ec5", "2004+A2", {**nail, "wood_moisture_pct": 15}).verdict == "fail"
    untold = evaluate("eu_ec5", "2004+A2", nail)
    assert set(untold.missing_facts) == {"service_class", "wood_moisture_pct"}


@pytest.mark.parametrize("finish", [PLAIN, FE_ZN_12, SS304])
def test_german_annex_sends_hard_air_and_impregnated_wood_elsewhere(finish: dict[str, Any]) -> None:
    nail = {"item": "nail", "size_mm": 3.1, "service_class": "2", "treatment": "none", **finish}
    for category in ("C3", "C4", "C5", "CX"):
        answer = evaluate("de_ec5_na", "2013-08", {**nail, "air_category": category})
        assert (answer.verdict, answer.rules) == ("refer", ("EU-DE-02",))
        assert len(answer.verdicts) == 1
    treated = evaluate("de_ec5_na", "2013-08", {**nail, "treatment": "acq", "air_category": "C2"})
    assert (treated.verdict, treated.rules) == ("refer", ("EU-DE-04",))
    mild = evaluate("de_ec5_na", "2013-08", {**nail, "air_category": "C1"})
    assert mild.verdict == ("fail" if finish is PLAIN else "pass")
    assert mild.deciding[0].edition == "2004+A2"


def test_german_annex_treats_glued_in_rods_as_bolts() -> None:
    rod = {"item": "glued_in_rod", "size_mm": 16, "treatment": "none", "air_category": "C2"}
    assert evaluate("de_ec5_na", "2013-08", {**rod, **PLAIN, "service_class": "2"}).verdict == "pass"
    assert evaluate("de_ec5_na", "2013-08", {**rod, **FE_ZN_12, "service_class": "3"}).verdict == "fail"
    assert evaluate("de_ec5_na", "2013-08", {**rod, **FE_ZN_25, "service_class": "3"}).verdict == "pass"
    assert evaluate("de_ec5_na", "2013-08", {**rod, **HOT_DIP, "service_class": "3"}).verdict == "refer"


@pytest.mark.parametrize(
    ("item", "size", "service_class", "finish", "verdict"),
    [
        ("nail", 3.8, "1", PLAIN, "pass"),
        ("staple", 1.8, "1", PLAIN, "fail"),
        ("staple", 1.8, "1", FE_ZN_12, "pass"),
        ("nail", 4, "2", PLAIN, "fail"),
        ("nail", 4.1, "2", PLAIN, "pass"),
        ("steel_plate", 3, "2", PLAIN, "fail"),
        ("steel_plate", 4, "2", PLAIN, "pass"),
        ("bolt", 12, "3", FE_ZN_12, "fail"),
        ("steel_plate", 2, "3", FE_ZN_25, "pass"),
        ("staple", 1.8, "3", FE_ZN_25, "fail"),
        ("nail_plate", 1.2, "3", SS304, "pass"),
        ("bolt", 12, "3", HOT_DIP, "refer"),
    ],
)
def test_spanish_table(
    item: str, size: float, service_class: str, finish: dict[str, Any], verdict: str
) -> None:
    facts = {"item": item, "size_mm": size, "service_class": service_class, **finish}
    assert evaluate("es_cte", "edition not named in source", facts).verdict == verdict


@pytest.mark.parametrize(
    ("exposure", "finish", "verdict"),
    [
        ("occasional_damp", SHEET, "pass"),
        ("occasional_damp", FE_ZN_12, "fail"),
        ("occasional_damp", {"finish": "thermal_diffusion_zinc"}, "refer"),
        ("likely_wetting", SHEET, "fail"),
        ("likely_wetting", SS304, "pass"),
        ("exterior_exposed", {**SS304, "stainless_family": "martensitic"}, "fail"),
        ("exterior_exposed", {**SS304, "stainless_family": "duplex"}, "refer"),
        ("interior_dry", PLAIN, "not_governed"),
    ],
)
def test_nhbc(exposure: str, finish: dict[str, Any], verdict: str) -> None:
    facts = {"item": "connector", "treatment": "acq", "exposure": exposure, "application": "other", **finish}
    assert evaluate("uk_nhbc", "2020", facts).verdict == verdict


def test_nhbc_timber_frame_wall() -> None:
    nail = {
        "item": "nail",
        "treatment": "none",
        "exposure": "exterior_sheltered",
        "application": "wall_sheathing",
    }
    for finish in (SS304, HOT_DIP, {"finish": "thermal_diffusion_zinc"}):
        assert evaluate("uk_nhbc", "2020", {**nail, **finish}).verdict == "pass"
    assert evaluate("uk_nhbc", "2020", {**nail, **FE_ZN_12}).verdict == "fail"
    assert evaluate("uk_nhbc", "2020", {**nail, **HOT_DIP, "item": "staple"}).verdict == "fail"


@pytest.mark.parametrize(
    ("distance", "water", "zone"),
    [
        (500, "open_coast", "D"),
        (501, "open_coast", "B_or_C"),
        (450, "harbour", "D"),
        (100, "estuary", "D"),
        (101, "estuary", "B_or_C"),
        (101, "sheltered_inlet", "B_or_C"),
    ],
)
def test_new_zealand_zones(distance: float, water: str, zone: str) -> None:
    facts = {"distance_to_salt_water_m": distance, "water_kind": water, "offshore_island": False}
    assert evaluate("nz_3604", "2011", facts).given["nz_zone"] == zone
    assert evaluate("nz_3604", "2011", {**facts, "offshore_island": True}).given["nz_zone"] == "D"


def test_new_zealand_copper_azole_comes_first() -> None:
    nail = {"item": "nail", "treatment": "ca", "hazard_class": "H3.2", "nz_zone": "B", **HOT_DIP}
    assert evaluate("nz_3604", "2011", {**nail, "nz_env": "closed"}).rules == ("NZ-4.4.4-b",)
    assert evaluate("nz_3604", "2011", {**nail, "nz_env": "sheltered"}).rules == ("NZ-4.4.4-a",)
    unknown = evaluate("nz_3604", "2011", {**nail, "nz_env": "closed", "treatment": "copper_based"})
    assert unknown.rules == ("NZ-4.4.4.which",)
    weaker = {**nail, "hazard_class": "H3.1", "nz_env": "sheltered", "height_above_ground_mm": 900}
    assert evaluate("nz_3604", "2011", weaker).rules == ("NZ-T43-BC",)


def test_new_zealand_row_that_was_not_read_is_referred() -> None:
    bolt = {
        "item": "bolt",
        "treatment": "cca",
        "hazard_class": "H3.2",
        "nz_zone": "B",
        "nz_env": "exposed",
        "height_above_ground_mm": 900,
        **HOT_DIP,
    }
    assert evaluate("nz_3604", "2011", bolt).missing_facts == ("subfloor",)
    assert evaluate("nz_3604", "2011", {**bolt, "subfloor": True}).verdict == "fail"
    unread = evaluate("nz_3604", "2011", {**bolt, "subfloor": False})
    assert (unread.verdict, unread.missing_facts) == ("refer", ())
    assert evaluate("nz_3604", "2011", {**bolt, **SS304}).verdict == "pass"


@pytest.mark.parametrize(
    ("distance", "water", "zone"),
    [
        (999, "surf", "sea_spray"),
        (1000, "surf", "coastal"),
        (10000, "surf", "coastal"),
        (99, "bay", "sea_spray"),
        (100, "bay", "coastal"),
        (1001, "bay", "low_hazard"),
    ],
)
def test_queensland_zones(distance: float, water: str, zone: str) -> None:
    facts = {"distance_to_salt_water_m": distance, "water_kind": water, "special_hazard": False}
    assert evaluate("au_tds35", "2015", {**facts, "corrosive_plant": False}).given["au_zone"] == zone
    assert evaluate("au_tds35", "2015", {**facts, "special_hazard": True}).verdict == "refer"


@pytest.mark.parametrize(
    ("item", "size", "local", "mean", "mass"),
    [
        ("fabricated_part", 1.4, 35, 45, 320),
        ("fabricated_part", 1.5, 45, 55, 390),
        ("fabricated_part", 3.1, 55, 70, 500),
        ("fabricated_part", 6.1, 70, 85, 600),
        ("nail", 7.9, 35, 45, 320),
        ("nail", 8, 45, 55, 390),
    ],
)
def test_zinc_after_making(item: str, size: float, local: float, mean: float, mass: float) -> None:
    given = evaluate("aunz_4680", "2006", {"item": item, "size_mm": size}).given
    assert (given["local_um"], given["mean_um"], given["mean_g_m2"]) == (local, mean, mass)


def test_threaded_parts_have_their_own_zinc() -> None:
    assert evaluate("aunz_1214", "2016", {"item": "bolt"}).given == {"local_um": 40, "mean_um": 50}
    assert evaluate("aunz_1214", "2016", {"item": "nail"}).verdict == "not_governed"


def test_canadian_guidance() -> None:
    connector = {"item": "connector", "treatment": "acq", "exposure": "exterior_exposed", **SHEET}
    assert evaluate("ca_guidance", "as read", connector).verdict == "fail"
    mild = evaluate("ca_guidance", "as read", {**connector, "treatment": "mca"})
    assert (mild.verdict, mild.rules) == ("pass", ("CA-CWC-01",))
    inside = {**connector, "treatment": "sbx", "exposure": "interior_dry", **PLAIN}
    assert evaluate("ca_guidance", "as read", inside).verdict == "pass"
    nail = {"item": "nail", "treatment": "ca", "exposure": "exterior_exposed"}
    assert (
        evaluate("ca_guidance", "as read", {**nail, **HOT_DIP, "zinc_standard": "ASTM A153"}).verdict
        == "pass"
    )
    assert evaluate("ca_guidance", "as read", {**nail, **FE_ZN_12}).verdict == "fail"


@pytest.mark.parametrize(
    ("body", "finish", "partner", "verdict"),
    [
        ("United States", "hot_dip_zinc", "zinc", "pass"),
        ("United States", "stainless", "zinc", "fail"),
        ("Canada", "stainless", "zinc", "fail"),
        ("Canada", "stainless", "stainless", "pass"),
        ("Europe", "stainless", "bare_steel", "fail"),
        ("Europe", "copper", "bare_steel", "not_governed"),
    ],
)
def test_couples(body: str, finish: str, partner: str, verdict: str) -> None:
    facts = {
        "item": "wood_screw",
        "finish": finish,
        "treatment": "none",
        "exposure": "exterior_exposed",
        "has_partner": True,
        "partner_item": "connector",
        "partner_metal_family": partner,
        "barrier": False,
        "joint_protected": False,
    }
    answer = evaluate("dissimilar_metals", body, facts)
    assert answer.verdict == verdict
    assert answer.kind == "guidance"
    if body == "Europe" and finish == "stainless":
        assert evaluate("dissimilar_metals", body, {**facts, "barrier": True}).verdict == "pass"


@pytest.mark.parametrize(
    ("finish", "partner_order", "partner", "verdict", "anode"),
    [("stainless", 4, "aluminium", "pass", "partner"), ("aluminium", 15, "stainless", "fail", "part")],
)
def test_small_part_is_the_nobler(
    finish: str, partner_order: float, partner: str, verdict: str, anode: str
) -> None:
    facts = {
        "item": "wood_screw",
        "finish": finish,
        "stainless_type": "304",
        "has_partner": True,
        "partner_item": "sheet",
        "partner_metal_family": partner,
        "partner_galvanic_order": partner_order,
    }
    answer = evaluate("dissimilar_metals", "military", facts)
    assert (answer.verdict, answer.given["anode"]) == (verdict, anode)


def test_aluminium_against_copper_in_wood() -> None:
    flashing = {
        "item": "flashing",
        "finish": "aluminium",
        "exposure": "exterior_exposed",
        "has_partner": False,
    }
    acq = {**flashing, "treatment": "acq"}
    assert evaluate("dissimilar_metals", "United States", {**acq, "barrier": False}).verdict == "fail"
    assert evaluate("dissimilar_metals", "United States", {**acq, "barrier": True}).verdict == "pass"
    assert evaluate("dissimilar_metals", "United States", {**flashing, "treatment": "mca"}).verdict == "pass"


def test_trade_rules_and_deck_guide() -> None:
    batten = {"item": "nail", "size_mm": 4, "application": "roof_batten", "exposure": "interior_damp"}
    assert evaluate("de_trades", "2016", {**batten, **FE_ZN_12}).verdict == "pass"
    assert evaluate("de_trades", "2016", {**batten, **PLAIN}).verdict == "fail"
    assert evaluate("de_trades", "2016", {**batten, **HOT_DIP}).missing_facts == ("zinc_least_um",)
    facade = {**batten, "application": "facade", "exposure": "exterior_exposed"}
    assert evaluate("de_trades", "2016", {**facade, **HOT_DIP}).verdict == "fail"
    deck = {"item": "bolt", "size_mm": 12.7, "application": "deck", "distance_to_salt_water_m": 900}
    basis = "2009/2012 IRC basis"
    dipped = {**deck, **HOT_DIP, "zinc_standard": "ASTM A153"}
    assert evaluate("us_dca6", basis, {**dipped, "a153_class": "D"}).verdict == "fail"
    assert evaluate("us_dca6", basis, {**dipped, "a153_class": "C"}).verdict == "pass"
    near = {"item": "nail", "treatment": "acq", "application": "other", "distance_to_salt_water_m": 8000}
    assert evaluate("us_association", "as read", {**near, **SS304}).verdict == "pass"
    assert evaluate("us_association", "as read", {**near, **HOT_DIP}).verdict == "fail"
