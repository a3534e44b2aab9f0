from __future__ import annotations

from dataclasses import replace

import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.codes.facts import (
    complete_facts,
    facts_from_item,
    facts_from_partner,
    facts_from_protection,
    facts_from_treatment,
)
from longhold.codes.vocabulary import check_facts
from longhold.model.protection import Layer, Protection

FILM = Layer("organic", "painted", None, None, 60.0, None, None, "own", Mark.OWN)


def zinc(process: str = "not_told", kind: str = "zinc", **figures: float) -> Layer:
    blank = dict.fromkeys(("nominal_g_m2", "least_g_m2", "nominal_um", "least_um", "density_g_cm3"))
    return Layer(kind, process, **{**blank, **figures}, source="own", mark=Mark.OWN)  # type: ignore[arg-type]


def part(*layers: Layer, base: str = "carbon_steel", **more: str) -> Protection:
    return Protection("test", base, layers=layers, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ("plain_steel", {"finish": "plain_steel", "metal_family": "bare_steel"}),
        ("A153_D", {"finish": "hot_dip_zinc", "zinc_standard": "ASTM A153", "a153_class": "D"}),
        ("A153_C", {"a153_class": "C"}),
        ("B695_55", {"finish": "mechanical_zinc", "b695_class": 55.0, "metal_family": "zinc"}),
        ("FeZn12c", {"finish": "electroplated_zinc", "electroplated_um": 12.0}),
        ("electroplated_5um", {"finish": "electroplated_zinc", "electroplated_um": 5.0}),
        ("G90", {"finish": "mill_zinc_sheet", "mill_total_g_m2": 274.6, "zinc_standard": "ASTM A653"}),
        ("Z275", {"finish": "mill_zinc_sheet", "mill_total_g_m2": 275.0, "zinc_standard": "EN 10346"}),
        ("ISO1461_45um", {"finish": "hot_dip_zinc", "zinc_standard": "ISO 1461", "zinc_least_um": 45.0}),
        ("SS304", {"finish": "stainless", "stainless_type": "304", "stainless_family": "austenitic"}),
        ("SS410", {"stainless_type": "410", "stainless_family": "martensitic"}),
        ("silicon_bronze", {"finish": "silicon_bronze", "metal_family": "copper"}),
        ("copper", {"finish": "copper"}),
        ("aluminium", {"finish": "aluminium", "metal_family": "aluminium"}),
        ("organic_topcoat_over_zinc", {"finish": "topcoat_over_zinc", "metal_family": "zinc"}),
    ],
)
def test_designations(finishes: dict[str, Protection], text: str, facts: dict[str, object]) -> None:
    found = facts_from_protection(finishes[text])
    check_facts(found)
    assert {name: found.get(name) for name in facts} == facts


def test_zinc_to_a123_is_counted_on_both_faces() -> None:
    dipped = part(zinc("dip_after_making", nominal_g_m2=320.0), standard="ASTM A123/A123M")
    assert facts_from_protection(dipped)["a123_oz_ft2"] == pytest.approx(2.097, abs=0.001)


def test_what_is_not_told_is_left_out() -> None:
    assert facts_from_protection(part(zinc("dip_after_making"))) == {
        "finish": "hot_dip_zinc",
        "metal_family": "zinc",
    }
    assert facts_from_protection(part(zinc())) == {"finish": "zinc_process_not_told", "metal_family": "zinc"}
    unnamed = facts_from_protection(Protection("stainless", "stainless"))
    assert "stainless_type" not in unnamed


def test_film_counts_for_nothing_but_does_not_hide_a_listed_zinc() -> None:
    sheet = part(FILM, zinc("mill_dip", nominal_g_m2=282.3), standard="ASTM A653/A653M")
    assert facts_from_protection(sheet)["finish"] == "mill_zinc_sheet"
    for layer in (zinc("electroplate", least_um=8.0), zinc(), zinc("mill_dip", nominal_g_m2=282.3)):
        assert facts_from_protection(part(FILM, layer))["finish"] == "topcoat_over_zinc"
    assert facts_from_protection(part(FILM))["finish"] == "film_on_steel"


@pytest.mark.parametrize(
    ("layer", "finish"),
    [
        (zinc("painted", "zinc_flake"), "zinc_flake"),
        (zinc("mill_dip", "aluminium_zinc_55"), "mill_alloy_sheet"),
        (zinc("mill_dip", "zinc_magnesium"), "mill_alloy_sheet"),
        (zinc("mill_dip", "zinc_iron"), "mill_alloy_sheet"),
        (zinc("thermal_diffusion", "zinc_iron"), "thermal_diffusion_zinc"),
        (zinc("sprayed"), "sprayed_zinc"),
    ],
)
def test_other_coats(layer: Layer, finish: str) -> None:
    assert facts_from_protection(part(layer))["finish"] == finish


@pytest.mark.parametrize(
    ("designation", "letter"),
    [("A153_D", "D"), ("ASTM A153/A153M Class C", "C"), ("ASTM A153 class B-3", "B"), ("A153", None)],
)
def test_class_is_read_from_the_designation(designation: str, letter: str | None) -> None:
    coated = replace(part(zinc("spun_dip"), standard="ASTM A153/A153M"), designation=designation)
    assert facts_from_protection(coated).get("a153_class") == letter


@pytest.mark.parametrize(
    ("grade", "kind"),
    [
        ("316L", "316"),
        ("A4-80", "316"),
        ("A2", "304"),
        ("1.4401 / 1.4404", "316"),
        ("1.4462", "better"),
        ("XM-7", "other"),
    ],
)
def test_stainless_grades(grade: str, kind: str) -> None:
    assert facts_from_protection(Protection("s", "stainless", grade=grade))["stainless_type"] == kind


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ("SBX/DOT", {"treatment": "sbx"}),
        ("CCA_H3.2", {"treatment": "cca", "hazard_class": "H3.2"}),
        ("CuAz_H4", {"treatment": "ca", "hazard_class": "H4"}),
        ("ACQ-D", {"treatment": "acq"}),
        ("none", {"treatment": "none"}),
        ("FRT", {"treatment": "frt"}),
    ],
)
def test_treatments(text: str, facts: dict[str, str]) -> None:
    assert facts_from_treatment(text) == facts


def test_unknown_words_are_refused() -> None:
    with pytest.raises(InputError, match="acq"):
        facts_from_treatment("snake oil")
    with pytest.raises(InputError, match="bolt"):
        facts_from_item("spoon")


def test_facts_that_follow() -> None:
    whole = complete_facts(
        {"item": "nail", "treatment": "zb", "finish": "stainless", "stainless_type": "316"}
    )
    assert whole["part_kind"] == "fastener"
    assert whole["borate_treated"] is whole["preservative_treated"] is whole["driven"] is True
    assert (whole["metal_family"], whole["galvanic_order"]) == ("stainless", 18)
    assert complete_facts({"treatment": "frt"})["preservative_treated"] is False
    assert complete_facts({"treatment": "none"})["fire_retardant_treated"] is False


def test_what_is_told_stays() -> None:
    assert complete_facts({"item": "nail", "part_kind": "other"})["part_kind"] == "other"


def test_partner_and_couple(finishes: dict[str, Protection]) -> None:
    partner = facts_from_partner(finishes["G185"])
    assert partner == {"has_partner": True, "partner_metal_family": "zinc", "partner_galvanic_order": 2}
    assert complete_facts({"finish": "stainless", **partner})["same_family"] is False
    assert complete_facts({"finish": "hot_dip_zinc", **partner})["same_family"] is True


def test_every_item_and_treatment_of_the_vocabulary_is_in_its_table() -> None:
    from longhold.codes.vocabulary import vocabulary

    for item in vocabulary()["item"].values:
        check_facts(facts_from_item(item))
    for treatment in vocabulary()["treatment"].values:
        assert facts_from_treatment(treatment) == {"treatment": treatment}
    for finish in vocabulary()["finish"].values:
        assert "metal_family" in complete_facts({"finish": finish})
