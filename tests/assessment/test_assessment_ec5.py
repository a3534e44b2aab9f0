import json

import pytest

from longhold.assessment.line import assess
from longhold.assessment.strength_standard import assumed_standard, strength_standard
from longhold.base.tables import load_csv, number
from longhold.model.structure import Structure
from longhold.model.timber import StrengthClass
from longhold.strength.ec5_capacity import ec5_capacity_n
from longhold.strength.ec5_connection import Ec5Connection, Ec5Member

NAIL = {
    "id": "nail",
    "kind": "nail",
    "label": "hot-dip galvanized, 50 um",
    "diameter": "3.4 mm",
    "length": "90 mm",
    "head_diameter": "8 mm",
}
BOARD = {"species": "Norway spruce", "preservative": "none", "thickness": "38 mm", "strength_class": "C24"}


def structure(**changes):
    data = {
        "name": "deck",
        "units": "si",
        "design_life": "50 years",
        "code": {"pack": "eu_ec5", "edition": "2004+A2"},
        "site": {
            "name": "x",
            "jurisdiction": "EU",
            "distance_to_salt_water": "5 km",
            "climate": {"station": "Wilmington NC"},
        },
        "timbers": {"board": BOARD, "beam": {**BOARD, "thickness": "71 mm"}},
        "joints": [
            {
                "id": "J",
                "name": "j",
                "place": "open_to_rain",
                "main": "beam",
                "side": "board",
                "demand": "300 N",
                "parts": [NAIL],
            }
        ],
        **changes,
    }
    return Structure.model_validate_json(json.dumps(data))


US = {"pack": "us_irc", "edition": "2021"}
NZ = {"pack": "nz_3604", "edition": "2011"}
UNGRADED = {
    name: {**BOARD, "thickness": thickness, "strength_class": None}
    for name, thickness in (("board", "38 mm"), ("beam", "71 mm"))
}


@pytest.mark.parametrize(
    ("changes", "standard", "why"),
    [
        ({}, "en1995", "strength class C24"),
        ({"timbers": UNGRADED}, "en1995", "codes of Europe"),
        ({"timbers": UNGRADED, "code": US}, "nds", "codes of the United States"),
        ({"code": US}, "en1995", "strength class C24"),
        ({"timbers": UNGRADED, "code": NZ}, "nds", "stands in"),
    ],
)
def test_the_standard_follows_code_and_grading_and_is_listed(changes, standard, why):
    made = structure(**changes)
    assert strength_standard(made) == standard
    [assumed] = assumed_standard(made)
    assert why in assumed.because


def test_a_standard_that_is_asked_for_is_no_assumption():
    made = structure(strength_standard="nds")
    assert (strength_standard(made), assumed_standard(made)) == ("nds", ())


def test_the_classes_that_can_be_named_are_those_of_the_table():
    columns = {
        "name": str,
        "density_k_kg_m3": number,
        "density_mean_kg_m3": number,
        "wood": str,
        "material": str,
        "note": str,
    }
    rows = load_csv("strength/en1995_2004/strength_classes.csv", columns)
    assert [row["name"] for row in rows] == list(StrengthClass.__args__)


@pytest.fixture(scope="module")
def graded():
    return assess(structure(), draws=200)


def strength_of(found):
    return found.findings[0].parts[0].strength


def test_the_design_capacity_is_the_hand_value_with_kmod_and_gamma(graded):
    # the published nail: 988.8 N; open to rain is service class 3, medium term 0.65; gammaM 1.3
    assert strength_of(graded).capacity_new_n == pytest.approx(988.79 * 0.65 / 1.3, abs=0.01)
    assert strength_of(graded).mode_new == "mode f: two hinges"
    assert strength_of(graded).ends_at == pytest.approx(300.0 / 494.396, abs=1e-5)


def test_what_was_taken_is_listed(graded):
    said = {one.where: one for one in graded.findings[0].assumptions}
    assert "medium term" in said["joints.J.load_duration"].value
    assert said["joints.J.nail, tensile strength"].value.startswith("600")
    assert (
        "kmod 0.65 (service class 3, medium term) over gammaM 1.3" in said["joints.J.nail.rated_load"].because
    )
    assert any(one.where == "strength_standard" for one in graded.assumptions)


def test_the_calculation_shown_ends_in_the_ratio_that_its_losses_give(graded):
    steps = {step.symbol: step for step in strength_of(graded).calculation.steps()}
    shown = steps["F_v,Rk"].value
    hinge, bearing = ((3.4 - steps[name].value) * 500.0 for name in ("d_hinge", "d_bearing"))
    nail = Ec5Connection(
        "nail", 3.4, Ec5Member(38.0, 350.0), Ec5Member(71.0, 350.0), length_mm=90.0, head_diameter_mm=8.0
    )
    assert float(ec5_capacity_n(nail, hinge, bearing).capacity_n) == pytest.approx(shown)
    assert steps["R"].value == pytest.approx(shown / 988.79, rel=1e-5)
    assert steps["F_v,Rd"].value == pytest.approx(shown * 0.5)


OAK = {name: {**one, "species": "white oak"} for name, one in UNGRADED.items()}


@pytest.mark.parametrize(
    ("timbers", "density"),
    [(UNGRADED, 290.0), (OAK, 475.0)],  # C14 and D18 of EN 338: spruce and oak of their species have more
)
def test_timber_without_a_class_is_credited_with_no_more_than_the_least_class(timbers, density):
    made = assess(structure(timbers=timbers), draws=200)
    said = [one for one in made.findings[0].assumptions if one.where.endswith(".strength_class")]
    assert {one.value for one in said} == {f"characteristic density {density:g} kg/m3"}
    assert all("own choice" in one.because for one in said)
    nail = Ec5Connection(
        "nail", 3.4, Ec5Member(38.0, density), Ec5Member(71.0, density), length_mm=90.0, head_diameter_mm=8.0
    )
    expected = 0.5 * float(ec5_capacity_n(nail, 0.0, 0.0).capacity_n)
    assert strength_of(made).capacity_new_n == pytest.approx(expected)


def test_the_nds_still_answers_when_asked():
    made = assess(structure(strength_standard="nds"), draws=200)
    assert strength_of(made).mode_new.startswith("yield mode")


@pytest.mark.parametrize("changes", [{}, {"strength_standard": "nds"}])
def test_a_ledger_is_never_held_against_its_demand_by_yield_equations(changes):
    found = strength_of(assess(structure(application="deck_ledger", **changes), draws=200))
    assert found.ends_words != "the demand"


def test_every_kind_of_fastener_and_a_sheet_has_an_answer():
    joint = {"name": "j", "place": "under_cover", "main": "beam"}
    zinc = "hot-dip galvanized, 50 um"
    strap = {"id": "strap", "kind": "strap", "label": "Z275", "thickness": "2 mm"}
    bolt = {"id": "one", "kind": "bolt", "label": zinc, "diameter": "12 mm"}
    screw = {"id": "one", "kind": "wood_screw", "label": zinc, "diameter": "6 mm", "length": "90 mm"}
    short = {**NAIL, "id": "one", "length": "55 mm"}
    plated = {"id": "one", "kind": "nail", "label": zinc, "diameter": "4 mm", "length": "60 mm"}
    joints = [
        {**joint, "id": "bolt", "side": "board", "double_shear": True, "parts": [bolt]},
        {**joint, "id": "screw", "side": "board", "parts": [screw]},
        {**joint, "id": "short", "side": "board", "parts": [short]},
        {**joint, "id": "sheet", "parts": [plated, strap]},
        {**joint, "id": "long", "side": "board", "parts": [{**short, "length": "35 mm"}]},
    ]
    made = assess(structure(joints=joints), draws=200)
    found = {one.joint.id: one.parts[0] for one in made.findings}
    assert found["bolt"].strength.mode_new.startswith("mode j")
    assert found["sheet"].strength.mode_new == "mode b: one hinge under a thin plate"
    assert found["short"].strength.capacity_new_n is None
    assert found["long"].strength is None
    said = {one.where: one.value for finding in made.findings for one in finding.assumptions}
    assert said["joints.short.one.length"] == "ratio only"
    assert said["joints.screw.one, rope effect"] == said["joints.bolt.one, rope effect"] == "none"
    assert said["joints.screw.one.root_diameter"] == "3.96 mm"


@pytest.mark.parametrize(
    ("place", "label", "verdict"),
    [  # EN 1995-1-1 Table 4.1, steel plates up to 3 mm: Fe/Zn 12c or Z275 to class 2, stainless in class 3
        ("dry_inside", "Z275", "pass"),
        ("under_cover", "Z275", "pass"),
        ("open_to_rain", "Z275", "fail"),
        ("open_to_rain", "1.4401 stainless", "pass"),
    ],
)
def test_the_code_that_governs_knows_the_service_class_of_the_place(place, label, verdict):
    angle = {"id": "angle", "kind": "angle", "label": label, "thickness": "2 mm"}
    joint = {"id": "J", "name": "j", "place": place, "main": "beam", "parts": [angle]}
    made = assess(structure(joints=[joint]), draws=200)
    assert made.findings[0].parts[0].code.verdict == verdict
