"""The edges of the two United States packs."""

from __future__ import annotations

from typing import Any

import pytest

from longhold.base.errors import InputError
from longhold.base.quantities import parse_quantity
from longhold.codes import CodeAnswer, evaluate

PLAIN = {"finish": "plain_steel"}
A153_D = {"finish": "hot_dip_zinc", "zinc_standard": "ASTM A153", "a153_class": "D"}
A153_C = {**A153_D, "a153_class": "C"}
B695 = {"finish": "mechanical_zinc", "zinc_standard": "ASTM B695", "b695_class": 55}
G185 = {"finish": "mill_zinc_sheet", "zinc_standard": "ASTM A653", "mill_total_g_m2": 564.6}
G90 = {**G185, "mill_total_g_m2": 274.6}
SS316 = {"finish": "stainless", "stainless_type": "316", "stainless_family": "austenitic"}
TOPCOAT = {"finish": "topcoat_over_zinc"}

OUTDOORS: dict[str, Any] = {"treatment": "acq", "exposure": "exterior_exposed", "application": "other"}
DECK: dict[str, Any] = {**OUTDOORS, "application": "deck", "distance_to_salt_water_m": 50000}


def irc(edition: str, finish: dict[str, Any], **facts: Any) -> CodeAnswer:
    return evaluate("us_irc", edition, {**finish, **facts})


def ibc(edition: str, finish: dict[str, Any], **facts: Any) -> CodeAnswer:
    return evaluate("us_ibc", edition, {**finish, **facts})


@pytest.mark.parametrize(
    ("distance", "verdict"),
    [("300 ft", "fail"), ("299 ft", "fail"), ("0 ft", "fail"), ("301 ft", "pass"), ("91.5 m", "pass")],
)
def test_within_300_ft_includes_300_ft(distance: str, verdict: str) -> None:
    metres = parse_quantity(distance, "distance_m")
    answer = irc("2021", A153_D, item="nail", size_mm=3.3, **{**DECK, "distance_to_salt_water_m": metres})
    assert answer.verdict == verdict
    assert ("US-IRC-19" in answer.rules) is (verdict == "fail")


def test_the_salt_note_is_about_decks_from_2018_on() -> None:
    near = {**DECK, "distance_to_salt_water_m": 20}
    assert irc("2015", A153_D, item="nail", size_mm=3.3, **near).verdict == "pass"
    assert irc("2018", A153_D, item="nail", size_mm=3.3, **near).verdict == "fail"
    off_deck = irc("2018", A153_D, item="nail", size_mm=3.3, **{**near, "application": "other"})
    assert off_deck.verdict == "pass"
    assert "US-IRC-29" in [note.rule_id for note in off_deck.notes]


@pytest.mark.parametrize("item", ["bolt", "lag_screw"])
@pytest.mark.parametrize(
    ("finish", "size", "verdict"),
    [
        (A153_D, 9.525, "pass"),
        (A153_D, 9.6, "fail"),
        (A153_D, 12.7, "fail"),
        (A153_C, 9.525, "pass"),
        (A153_C, 12.7, "pass"),
        (B695, 12.7, "pass"),
        ({**B695, "b695_class": 50}, 12.7, "fail"),
    ],
)
def test_deck_bolts_and_lags_by_class_and_diameter(
    item: str, finish: dict[str, Any], size: float, verdict: str
) -> None:
    assert irc("2021", finish, item=item, size_mm=size, **DECK).verdict == verdict


@pytest.mark.parametrize(("size", "verdict"), [("3/8 in", "fail"), ("1/2 in", "pass"), ("5/8 in", "pass")])
def test_half_inch_bolt_is_freed_off_the_deck(size: str, verdict: str) -> None:
    size_mm = parse_quantity(size, "length_mm")
    answer = irc("2015", PLAIN, item="bolt", size_mm=size_mm, **{**OUTDOORS, "exposure": "interior_dry"})
    assert answer.verdict == verdict
    assert "US-IRC-06" in answer.rules
    assert irc("2015", PLAIN, item="lag_screw", size_mm=size_mm, **OUTDOORS).verdict == "fail"


def test_half_inch_bolt_exception_does_not_reach_the_deck_table() -> None:
    answer = irc("2021", PLAIN, item="bolt", size_mm=12.7, **DECK)
    assert answer.verdict == "fail"
    assert answer.rules == ("US-IRC-16", "US-IRC-14")


def test_half_inch_bolt_is_not_freed_by_the_building_code() -> None:
    answer = ibc("2012", PLAIN, item="bolt", size_mm=15.9, **OUTDOORS)
    assert answer.verdict == "fail"
    assert "US-IBC-07" in answer.rules
    assert any("frees no steel bolt" in line for line in answer.deciding[0].exceptions)


def test_staples_by_edition() -> None:
    staple = {"item": "staple", "size_mm": 1.6, **OUTDOORS}
    assert irc("2015", A153_D, **staple).verdict == "pass"
    assert irc("2018", A153_D, **staple).verdict == "fail"
    assert ibc("2012", A153_D, **staple).verdict == "pass"
    assert ibc("2018", A153_D, **staple).verdict == "fail"
    unknown = ibc("2015", A153_D, **staple)
    assert unknown.verdict == "refer"
    assert unknown.rules == ("US-IBC-03.2015", "US-IBC-01")
    assert ibc("2015", SS316, **staple).verdict == "pass"


def test_mechanical_zinc_reaches_further_in_the_residential_code() -> None:
    screw = {"item": "wood_screw", "size_mm": 5, **OUTDOORS}
    assert irc("2018", B695, **screw).verdict == "pass"
    assert ibc("2018", B695, **screw).verdict == "fail"
    assert irc("2003", B695, **screw).verdict == "fail"
    assert irc("2006", B695, **screw).verdict == "pass"
    assert irc("2018", B695, **{**screw, "item": "nail"}).verdict == "fail"


def test_connectors_follow_their_maker_first() -> None:
    hanger = {"item": "connector", "size_mm": 1.5, **OUTDOORS}
    assert irc("2012", G90, **hanger, maker_advice="accepts").verdict == "pass"
    assert irc("2012", G185, **hanger, maker_advice="refuses").verdict == "fail"
    assert irc("2012", G90, **hanger, maker_advice="none").verdict == "fail"
    assert irc("2012", G185, **hanger, maker_advice="none").verdict == "pass"
    silent = irc("2012", G185, **hanger)
    assert silent.verdict == "refer"
    assert silent.missing_facts == ("maker_advice",)


def test_connectors_inside_are_the_residential_code_s_business_only() -> None:
    inside = {
        **OUTDOORS,
        "exposure": "interior_dry",
        "item": "connector",
        "size_mm": 1.5,
        "maker_advice": "none",
    }
    assert irc("2012", G90, **inside).verdict == "fail"
    answer = ibc("2012", G90, **inside)
    assert answer.verdict == "not_governed"
    assert "US-IBC-05" in answer.rules


@pytest.mark.parametrize(
    ("edition", "clause"),
    [("2006", "R319.3"), ("2009", "R317.3.1"), ("2021", "R317.3.1"), ("2024", "R304.3.1")],
)
def test_clause_numbers_change_with_the_edition(edition: str, clause: str) -> None:
    answer = irc(edition, PLAIN, item="nail", size_mm=3.3, **OUTDOORS)
    assert answer.verdict == "fail"
    assert answer.deciding[0].clause == clause
    assert answer.edition == answer.deciding[0].edition == edition


def test_r507_2_3_is_another_clause_in_2012() -> None:
    old = irc("2012", PLAIN, item="nail", size_mm=3.3, **{**DECK, "treatment": "none"})
    assert old.verdict == "not_governed"
    assert all("R507.2.3" not in verdict.clause for verdict in old.verdicts)
    assert "lateral load" in next(note.says for note in old.notes if note.rule_id == "US-IRC-31")
    new = irc("2018", PLAIN, item="nail", size_mm=3.3, **{**DECK, "treatment": "none"})
    assert new.verdict == "fail"
    assert new.deciding[0].clause == "Table R507.2.3 row 1"


def test_edition_that_does_not_exist() -> None:
    with pytest.raises(InputError, match="2024"):
        irc("2010", PLAIN, item="nail", **OUTDOORS)


def test_unlisted_coating_is_asked_before_everything_else() -> None:
    for facts in (
        DECK,
        OUTDOORS,
        {**OUTDOORS, "treatment": "none"},
        {**OUTDOORS, "application": "wood_foundation"},
    ):
        answer = irc("2021", TOPCOAT, item="nail", size_mm=3.3, **facts)
        assert answer.verdict == "refer"
        assert answer.rules == ("US-IRC-30",)
        assert answer.missing_facts == ()
    assert ibc("2021", TOPCOAT, item="nail", **OUTDOORS).rules == ("US-IRC-30",)


def test_wood_foundation_is_asked_alone() -> None:
    below = {
        "item": "nail",
        "treatment": "cca",
        "exposure": "below_grade",
        "application": "wood_foundation",
        "foundation_part": "plywood",
        "foundation_position": "below_grade",
    }
    assert irc("2018", A153_D, **below).rules == ("US-IRC-24",)
    assert irc("2018", SS316, **below).verdict == "pass"
    assert irc("2018", {**SS316, "stainless_type": "410"}, **below).verdict == "fail"
    above = {**below, "foundation_position": "above_grade"}
    assert irc("2018", A153_D, **above).verdict == "pass"
    assert irc("2018", {"finish": "electroplated_zinc"}, **above).verdict == "fail"
    strap = {**above, "item": "connector"}
    assert irc("2018", G185, **strap).rules == ("US-IRC-09",)
    assert irc("2006", G185, **strap).verdict == "not_governed"
    assert ibc("2018", A153_D, **below).rules == ("US-IBC-08",)


def test_borate_inside_frees_fasteners_not_connectors() -> None:
    inside = {"treatment": "sbx", "exposure": "interior_dry", "application": "other", "maker_advice": "none"}
    assert irc("2021", PLAIN, item="nail", **inside).verdict == "pass"
    assert irc("2021", PLAIN, item="nail", **{**inside, "exposure": "interior_damp"}).verdict == "fail"
    assert irc("2006", PLAIN, item="nail", **inside).verdict == "fail"
    assert irc("2021", G90, item="connector", **inside).verdict == "fail"


def test_fire_retardant_wood() -> None:
    outside = {"treatment": "frt", "exposure": "exterior_exposed", "application": "other"}
    inside = {**outside, "exposure": "interior_dry"}
    assert irc("2012", B695, item="wood_screw", **outside).verdict == "pass"
    assert irc("2012", B695, item="nail", **outside).verdict == "fail"
    assert irc("2012", PLAIN, item="nail", **inside).missing_facts == ("maker_advice",)
    assert irc("2012", PLAIN, item="nail", **inside, maker_advice="accepts").verdict == "pass"
    assert irc("2012", PLAIN, item="nail", **inside, maker_advice="none").verdict == "fail"
    assert irc("2012", A153_D, item="nail", **inside, maker_advice="none").verdict == "pass"
    assert irc("2012", G185, item="connector", **outside, maker_advice="none").verdict == "not_governed"


def test_ledger() -> None:
    ledger = {**DECK, "application": "deck_ledger"}
    assert irc("2012", A153_C, item="lag_screw", size_mm=12.7, **ledger).verdict == "pass"
    assert irc("2012", B695, item="lag_screw", size_mm=12.7, **ledger).verdict == "fail"
    assert irc("2012", SS316, item="nail", size_mm=4, **ledger).verdict == "fail"
    assert irc("2012", A153_C, item="lag_screw", size_mm=9.5, **ledger).verdict == "fail"
    thick = irc("2012", A153_C, item="bolt", size_mm=15.9, **ledger)
    assert thick.verdict == "refer"
    assert thick.missing_facts == ()
    assert "US-IRC-16" in irc("2018", PLAIN, item="bolt", size_mm=12.7, **ledger).rules


def test_hot_dip_by_another_standard_is_left_to_the_official() -> None:
    iso = {"finish": "hot_dip_zinc", "zinc_standard": "ISO 1461", "zinc_least_um": 45}
    answer = irc("2015", iso, item="nail", **OUTDOORS)
    assert answer.verdict == "refer"
    assert answer.missing_facts == ()
    assert "building official" in answer.deciding[0].failed_because[-1]
    untold = irc("2015", {"finish": "hot_dip_zinc"}, item="nail", **OUTDOORS)
    assert untold.missing_facts == ("zinc_standard",)
    assert irc("2015", iso, item="connector", maker_advice="none", **OUTDOORS).verdict == "refer"


def test_a_screw_has_no_row_in_the_deck_table() -> None:
    plain = {**DECK, "treatment": "none"}
    assert irc("2021", PLAIN, item="wood_screw", size_mm=5, **plain).verdict == "not_governed"
    near = {**plain, "distance_to_salt_water_m": 10}
    assert irc("2021", A153_D, item="wood_screw", size_mm=5, **near).verdict == "fail"
    assert irc("2021", SS316, item="wood_screw", size_mm=5, **near).verdict == "pass"
