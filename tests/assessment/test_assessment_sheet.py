"""Sheet parts of known shape: which metal, head, edges and loads their equations reach; by hand where so."""

from __future__ import annotations

from pathlib import Path

import pytest

from longhold.assessment.line import assess
from longhold.intake.load import load
from longhold.model.parts import Part

DEMO = Path(__file__).resolve().parents[2] / "demo"
STRAP = {
    "id": "strap",
    "kind": "strap",
    "label": "G90",
    "thickness": "2 mm",
    "width": "60 mm",
    "hole_diameter": "4.2 mm",
}
# a load of no stated kind is characteristic by EN 1995: kmod 0.8 (inside, medium term) over gammaM 1.3
RATED = {"nds": 1.0, "en1995": 0.8 / 1.3}
NAILS = {"id": "nail", "kind": "nail", "size": "4.0 mm x 60 mm", "label": "A2 stainless", "count": 40}


@pytest.fixture(scope="module")
def deck():
    return load(DEMO / "boardwalk.toml")


@pytest.fixture(scope="module")
def european(deck):
    return deck.model_copy(update={"strength_standard": "en1995"})


@pytest.fixture(params=["nds", "en1995"])
def either(request, deck):
    return deck.model_copy(update={"strength_standard": request.param})


def case(structure, strap=None, nails=None, **changes):
    """A strap on the ledger of the deck, in dry air."""
    joint = next(one for one in structure.joints if one.id == "J12")
    known = {"place": "dry_inside", "role": "structural", "demand": None, "side": None, "main": "ledger"}
    parts = [Part(**{**STRAP, **(strap or {})}), Part(**{**NAILS, **(nails or {})})]
    made = joint.model_copy(update={**known, **changes, "parts": parts})
    return assess(structure.model_copy(update={"joints": [made]}), draws=200).findings[0]


def told(found, part="strap"):
    return {
        one.where.removeprefix("joints.J12.").removeprefix(part).lstrip("., "): one
        for one in found.assumptions
        if one.where.startswith(f"joints.J12.{part}")
    }


@pytest.mark.parametrize("label", ["aluminium", "copper", "silicon bronze", "brass"])
@pytest.mark.parametrize("stated", [{}, {"tensile_strength": "200 MPa", "yield_strength": "160 MPa"}])
def test_a_sheet_of_another_metal_has_no_strength_of_steel(either, label, stated):
    found = case(either, {"label": label, **stated})
    strength = found.parts[0].strength
    assert strength.capacity_new_n is None
    assert 0.0 < strength.ratio.p50 <= 1.0
    said = told(found)
    assert said["label"].value == "ratio only"
    assert label in said["label"].because
    assert not any("steel of a sheet part" in one.because for one in said.values())
    assert all(said[name].value == "not used" for name in stated)
    assert found.parts[1].strength.capacity_new_n is None


def test_a_rated_load_still_counts_for_another_metal(either):
    found = case(either, {"label": "aluminium", "rated_load": "4 kN"})
    assert found.parts[0].strength.capacity_new_n == pytest.approx(4000.0 * RATED[either.strength_standard])


@pytest.mark.parametrize(
    ("label", "reach"), [("316 stainless", True), ("A2 stainless", True), ("430 stainless", False)]
)
def test_stainless_counts_by_its_softest_grade_or_not_at_all(either, label, reach):
    """304L and 316L of ASTM A240: 25 ksi; 1.4307: 200 MPa; over 1.1, by the safety of each standard."""
    found = case(either, {"label": label})
    said = told(found)
    capacity = found.parts[0].strength.capacity_new_n
    if not reach:
        assert capacity is None
        assert "430" in said["label"].because
        return
    yields, safety = (200.0, 1.0) if either.strength_standard == "en1995" else (170.0, 1.67)
    assert capacity == pytest.approx(2.0 * 60.0 * yields / 1.1 / safety, rel=1e-3)
    assert "A653" not in " ".join(one.because for one in said.values())
    assert "EN 1993-1-4" in said["stainless"].because
    step = next(one for one in found.parts[0].strength.calculation.steps() if one.symbol == "Fu, Fy")
    assert step.mark.value == "memory"


def test_stated_strengths_of_any_stainless_count(either):
    stated = {"label": "430 stainless", "tensile_strength": "450 MPa", "yield_strength": "205 MPa"}
    safety = 1.0 if either.strength_standard == "en1995" else 1.67
    found = case(either, stated)
    assert found.parts[0].strength.capacity_new_n == pytest.approx(120.0 * 205.0 / 1.1 / safety, rel=1e-3)


@pytest.mark.parametrize(
    ("thickness", "yields"),
    [("2 mm", 140.0), ("5 mm", 235.0), ("16 mm", 215.0)],
    ids=["sheet", "plate", "thick"],
)
def test_by_eurocode_an_unstated_grade_is_a_european_one(european, thickness, yields):
    """DX51D as EN 1993-1-3 Table 3.1b assumes it; S235 by EN 10025-2, 235 MPa up to 16 mm (from memory)."""
    found = case(european, {"thickness": thickness, "tensile_strength": "510 MPa"}, {"count": 400})
    said = told(found)
    assert "EN 1" in said["yield_strength"].because
    assert "ASTM" not in " ".join(one.because for one in said.values())

    got = found.parts[0].strength.capacity_new_n
    assert got == pytest.approx(float(thickness.split()[0]) * 60.0 * yields, rel=1e-3)


THIN = {"thickness": "1 mm", "tensile_strength": "360 MPa", "yield_strength": "280 MPa", "width": "200 mm"}
HEADED = {"count": 10, "head_diameter": "9 mm", "label": "ASTM A153 Class D"}
PULLED = {"demand": 3000.0, "demand_withdrawal": 3000.0}


def test_by_eurocode_shear_and_pull_share_the_fasteners(european):
    """8.3(8): 5 nails bear 5 x 1.6 x 360 x 4 / 1.25 N and hold 5 x 0.5 x 9 x 360 / 1.25 N; at 45 degrees."""
    found = case(european, THIN, HEADED, **PULLED).parts[0].strength
    bears, holds = 5 * 1.6 * 360.0 * 4.0 / 1.25, 5 * 0.5 * 9.0 * 360.0 / 1.25
    assert found.capacity_new_n == pytest.approx(2.0**0.5 / (1.0 / bears + 1.0 / holds), rel=1e-6)
    assert "while their heads pull through" in found.mode_new


def test_a_head_that_nobody_states_is_a_small_one_and_listed(either):
    known, unknown = (
        case(either, THIN, {**HEADED, "head_diameter": head}, **PULLED) for head in ("9 mm", None)
    )
    assert unknown.parts[0].strength.capacity_new_n < known.parts[0].strength.capacity_new_n
    assert told(unknown, "nail")["head_diameter, in the sheet"].value in ("6 mm", "0.236 in")
    assert "head_diameter, in the sheet" not in told(known, "nail")


def test_what_has_no_head_holds_no_sheet_down(either):
    dowels = {"kind": "dowel", "size": None, "diameter": "6 mm", "length": "80 mm", "count": 10}
    found = case(either, THIN, {**dowels, "label": "304 stainless"}, **PULLED)
    assert found.parts[0].strength.capacity_new_n is None
    assert any("whose head is not known" in one for one in found.parts[0].refer)
    rated = case(either, {**THIN, "rated_load": "9 kN"}, {**dowels, "label": "304 stainless"}, **PULLED)
    assert rated.parts[0].strength.capacity_new_n == pytest.approx(9000.0 * RATED[either.strength_standard])
    assert 0.0 < rated.parts[0].strength.ratio.p50 <= 1.0


@pytest.mark.parametrize(
    ("strap", "nails", "word"),
    [
        ({"clear_edge": "1 mm"}, {}, "end distance 3.1 mm"),
        ({"holes_across": 6}, {}, "width 60 mm"),
        ({}, {"size": None, "diameter": "2.8 mm", "length": "60 mm"}, "diameter 2.8 mm"),
    ],
)
def test_by_eurocode_fasteners_outside_the_tables_are_referred(european, strap, nails, word):
    found = case(european, strap, nails)
    assert found.parts[0].strength.capacity_new_n is None
    assert any(word in one for one in found.parts[0].refer)
    assert found.outcome in ("refer", "fails")


def test_by_eurocode_distances_that_nobody_states_are_listed(european):
    assert "clear_edge" in told(case(european))["distances"].because
    known = case(european, {"clear_edge": "20 mm"})
    assert "clear_edge" not in told(known)["distances"].because
    assert known.parts[0].strength.capacity_new_n is not None


def test_a_single_angle_under_a_load_is_left_to_a_person_unless_its_load_is_rated(either):
    """Mechanics: its load passes beside the fasteners of either leg, so it turns and bends at its corner."""
    angle = {"kind": "angle"}
    alone = case(either, strap=angle, demand=300.0).parts[0]
    assert any("single angle" in why for why in alone.refer)
    for spared in (
        case(either, strap={**angle, "rated_load": "2 kN"}, demand=300.0),
        case(either, strap={**angle, "count": 2}, demand=300.0),
        case(either, demand=300.0),
    ):
        assert not any("single angle" in why for why in spared.parts[0].refer)
