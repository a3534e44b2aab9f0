from __future__ import annotations

import pytest

import longhold
from longhold.assessment.prepare import prepare, protections
from longhold.assessment.rule_facts import (
    air_category,
    joint_named,
    part_named,
    read_facts,
    rule_facts,
    timbers_touched,
)
from longhold.base.errors import InputError
from longhold.labels.read import read_label

DECK = longhold.load("demo/boardwalk.toml")
PREPARED = prepare(DECK)


def facts(joint_id: str, part_id: str, label: str = "") -> dict[str, object]:
    joint = joint_named(DECK, joint_id)
    part = part_named(joint, part_id)
    own = protections(part, PREPARED.readings[joint.id, part.id])[0]
    metal = read_label(label, item=part.kind).readings[0].protection if label else own
    return rule_facts(DECK, PREPARED, joint, part, joint.main, metal, "C5")


def test_what_the_place_and_the_site_entail() -> None:
    found = facts("J02", "hanger")
    assert found["service_class"] == "3"
    assert found["indoor_controlled"] is False
    assert found["air_category"] == "C5"
    assert found["water_kind"] == "surf"
    assert found["retention_above_ground_contact"] is False  # UC4A is ground contact itself


def test_zinc_nail_in_a_zinc_hanger_is_one_family_and_stainless_is_not() -> None:
    assert facts("J02", "nail")["partner_metal_family"] == "zinc"
    stainless = facts("J02", "nail", "316 stainless")
    assert (stainless["metal_family"], stainless["partner_metal_family"]) == ("stainless", "zinc")
    assert facts("J02", "nail")["partner_item"] == "connector"


def test_a_single_part_touches_no_other_metal() -> None:
    assert facts("J01", "lag")["has_partner"] is False
    assert facts("J01", "lag")["washer_under_head"] is False


def test_timbers_touched_are_two_only_for_what_passes_through() -> None:
    joint = joint_named(DECK, "J01")
    assert timbers_touched(joint, joint.parts[0]) == ("band", "ledger")
    hangers = joint_named(DECK, "J02")
    assert timbers_touched(hangers, hangers.parts[0]) == ("ledger",)


def test_the_air_by_the_sea_has_a_category() -> None:
    assert air_category(PREPARED) in {"C2", "C3", "C4", "C5", "CX"}


def test_advice_on_the_part_as_it_is_says_nothing_of_another_finish() -> None:
    joint = joint_named(DECK, "J02")
    advised = joint.parts[0].model_copy(update={"maker_advice": "accepts"})
    other = read_label("316 stainless", item="hanger").readings[0].protection
    own = protections(advised, PREPARED.readings["J02", "hanger"])[0]
    assert "maker_advice" not in rule_facts(DECK, PREPARED, joint, advised, "ledger", other)
    assert rule_facts(DECK, PREPARED, joint, advised, "ledger", own)["maker_advice"] == "accepts"


def test_ids_near_a_wrong_one_are_named() -> None:
    with pytest.raises(InputError, match=r"J02"):
        joint_named(DECK, "J002")
    with pytest.raises(InputError, match=r"There are: J01"):
        joint_named(DECK, "ledger")
    with pytest.raises(InputError, match=r"part of joint J02 with this id\. Near it: hanger"):
        part_named(joint_named(DECK, "J02"), "hangr")
    assert joint_named(DECK, "j02").id == "J02"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("nz_zone", "must read name=value"),
        ("zone=C", "near it: nz_zone"),
        ("nz_zone=Q", "must be one of B, B_or_C, C, D, E"),
        ("barrier=perhaps", "must be true or false"),
        ("wood_moisture_pct=wet", "must be a number in %"),
        ("wood_moisture_pct=nan", "must be a number in %"),
    ],
)
def test_facts_that_cannot_be_told_so(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_facts([text])
