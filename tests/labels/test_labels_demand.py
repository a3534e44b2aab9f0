"""A demand, and the designations that meet it."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.labels import designations_for, read_demand
from longhold.labels.catalogue import coats


def ways(text, form=None):
    """How each designation stands to a demand."""
    return {
        one.designation: one.how
        for group in designations_for(read_demand(text), form)
        for one in group.candidates
    }


@pytest.mark.parametrize(
    ("text", "unit", "amount"),
    [
        ("at least 0.9 oz/ft2 per face", "oz/ft2", 0.9),
        ("0.9 ounces per square foot on each side", "oz/ft2", 0.9),
        ("275 g/m2 both faces", "g/m2", 137.5),
        ("1.85 oz/ft2 (565 g/m2) total", "oz/ft2", 0.925),
        ("45 um", "um", 45.0),
        ("45 microns of zinc on each face", "um", 45.0),
        ("1.8 mils min.", "mil", 1.8),
        ("zinc coating at least 610 g/m² on one face", "g/m2", 610.0),
    ],
)
def test_a_demand_is_read_for_one_face(text, unit, amount):
    demand = read_demand(text)
    assert demand.unit == unit
    assert demand.amount == pytest.approx(amount)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("0.9 oz/ft2", '"0.9 oz/ft2 per face" or "0.9 oz/ft2 both faces"'),
        ("0.9", "without a unit"),
        ("", "must be an amount"),
        ("zinc", "names no amount"),
        ("45 um max", "upper limit"),
        ("0.9 oz/ft2 45 um per face", "not the same amount"),
        ("300 g/m2 per face, 500 g/m2 per face", "not the same amount"),
        ("9999 um", "at most 5000 um"),
        ("0.00 oz/ft2 per face", "more than 0"),
        ("60 g/m2 per face and both faces", "one face and both faces"),
        ("not 45 um", "has not"),
        ("as good as 45 um", "no part of an amount"),
        ("G185", "expected to carry 39.5 um, at the least 27.4 um"),
        ("galvanized hanger", "no part of an amount"),
    ],
)
def test_what_is_no_demand_is_refused_with_what_to_do(text, words):
    with pytest.raises(InputError) as refused:
        read_demand(text)
    assert words in str(refused.value)


def test_least_expected_and_near_misses_are_told_apart():
    found = ways("0.9 oz/ft2 per face")
    assert found["ASTM A653 G300"] == "least"
    assert found["ASTM A653 G185"] == "expected"
    assert found["ASTM A153 class D"] == "expected"
    assert found["ASTM A153 class C"] == "least"
    assert found["ASTM A653 G165"] == "just misses"
    assert "ASTM A653 G90" not in found


@pytest.mark.parametrize(
    "coat", [c for c in coats() if c.nominal_um and c.kind == "zinc"], ids=lambda c: c.designation
)
def test_a_coat_meets_what_it_carries_itself(coat):
    """By its own thickness and by its own mass, however the table rounds."""
    assert ways(f"{coat.nominal_um!r} um")[coat.designation] in ("least", "expected")
    if coat.nominal_g_m2:
        assert ways(f"{coat.nominal_g_m2!r} g/m2 per face")[coat.designation] in ("least", "expected")


@pytest.mark.parametrize(
    ("demand", "designation"),
    [
        ("0.90 oz/ft2 both faces", "ASTM A653 G90"),
        ("1.85 oz/ft2 both faces", "ASTM A653 G185"),
        ("1.25 oz/ft2 per face", "ASTM A153 class C"),
        ("2.00 oz/ft2 per face", "ASTM A153 class A"),
        ("275 g/m2 both faces", "EN 10346 Z275"),
        ("1.8 mil", "ASTM A123 grade 45"),
    ],
)
def test_a_class_meets_the_figure_that_its_standard_prints(demand, designation):
    assert ways(demand)[designation] == "expected"


def test_the_two_systems_of_a653_stay_apart():
    """0.90 oz/ft2 is 274.6 g/m2: G90 just misses 275."""
    assert ways("275 g/m2 both faces")["ASTM A653 G90"] == "just misses"


def test_each_group_runs_from_least_to_most_zinc_and_forms_stay_together():
    groups = designations_for(read_demand("45 um"))
    for group in groups:
        amounts = [one.expected for one in group.candidates]
        assert amounts == sorted(amounts)
    forms = [group.form for group in groups]
    assert forms == sorted(forms, key=["sheet", "article", "fastener", "wire"].index)
    assert {group.form for group in designations_for(read_demand("45 um"), "wire")} == {"wire"}


def test_aluminium_zinc_and_flake_do_not_answer_a_demand_of_zinc():
    found = ways("5 um")
    assert not any("AZ" in name or "flZn" in name for name in found)


@given(st.floats(min_value=1.0, max_value=2000.0))
def test_more_is_met_by_fewer(amount):
    def met(asked):
        found = ways(f"{asked:.6f} g/m2 per face")
        return {name for name, how in found.items() if how != "just misses"}

    assert met(amount * 1.1) <= met(amount)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text):
    with suppress(InputError):
        assert read_demand(text).amount > 0
