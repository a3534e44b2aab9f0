"""Sampling of lots and repair of bare spots against figures from outside."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.inspect.acceptance import limits_of_label
from longhold.inspect.repair import Spot, repair
from longhold.inspect.sampling import plan_for, standard_named
from longhold.validate import validate_file

DATA = Path(__file__).parent / "data"


def test_every_published_row_is_answered_right():
    result = validate_file("acceptance", DATA / "acceptance_checks.csv")
    assert result.rows == result.answered == result.right == 5


@pytest.mark.parametrize(
    ("lot", "articles"),
    # ASTM A123's table of sampling, from a galvanizers' association's knowledge base: both ends of each row
    [
        *((1, 1), (3, 3), (4, 3), (500, 3), (501, 5), (1200, 5)),
        *((1201, 8), (3200, 8), (3201, 13), (10_000, 13), (10_001, 20), (5_000_000, 20)),
    ],
)
def test_articles_of_a_lot_by_a123(lot, articles):
    plan = plan_for(standard_named("ASTM A123/A123M"), lot)
    assert (plan.pieces, plan.readings) == (articles, 5)


@pytest.mark.parametrize(
    ("batch", "thickness", "adhesion", "appearance"),
    # ASTM F2329-15, Table 1, as a fastener trade's page reproduces it: both ends of each row
    [
        *((5, 1, 1, 1), (25, 1, 1, 1), (26, 1, 1, 2), (50, 1, 1, 2)),
        *((51, 2, 1, 2), (150, 2, 1, 2), (151, 2, 2, 2), (90_000, 2, 2, 2)),
    ],
)
def test_samples_of_a_batch_by_f2329(batch, thickness, adhesion, appearance):
    plan = plan_for(standard_named("F2329"), batch)
    assert (plan.pieces, plan.adhesion, plan.appearance) == (thickness, adhesion, appearance)


def test_large_articles_are_three_specimens():
    """More than 160 in2 (1032 cm2): three sections, each a specimen (a guide to quality control by A123)."""
    named = standard_named("A123")
    assert plan_for(named, 10, surface_cm2=160 * 6.4516).specimens == 1
    assert plan_for(named, 10, surface_cm2=161 * 6.4516).specimens == 3


@pytest.mark.parametrize(
    ("lot", "letter"),
    # ISO 2859-1, general level II, from a national standard's table that is declared equal
    [
        (15, "B"),
        (25, "C"),
        (50, "D"),
        (90, "E"),
        (150, "F"),
        (280, "G"),
        (500, "H"),
        (1200, "J"),
        (3200, "K"),
    ],
)
def test_letters_of_iso_2859(lot, letter):
    assert plan_for(standard_named("ISO 2859-1"), lot).letter == letter


@pytest.mark.parametrize(
    ("label", "mean", "each"),
    [
        ("ASTM A153 class D", 1.7, 1.4),  # mil: average and individual, ASTM A153 Table 1
        ("ASTM A153 class C", 2.1, 1.7),
    ],
)
def test_what_a153_asks_of_average_and_individual(label, mean, each):
    limits = limits_of_label(label)
    assert limits.mean_um == pytest.approx(mean * 25.4, abs=0.5)
    assert limits.each_um == pytest.approx(each * 25.4, abs=0.5)


@pytest.mark.parametrize(
    ("spots", "surface_cm2", "verdict"),
    # ISO 1461:2009, 6.3, a page copy: at most 0.5 % in all and 10 cm2 each
    [
        ((10.0,), 20_000.0, "allowed"),
        ((10.1,), 20_000.0, "not_allowed"),
        ((10.0,) * 10, 20_000.0, "allowed"),
        ((10.0,) * 11, 20_000.0, "not_allowed"),
        ((5.0,), 1_000.0, "allowed"),
        ((5.1,), 1_000.0, "not_allowed"),
    ],
)
def test_repair_by_iso_1461(spots, surface_cm2, verdict):
    found = repair(standard_named("ISO 1461"), [Spot(one) for one in spots], surface_cm2=surface_cm2)
    assert found.verdict == verdict
    assert found.thickness == "at least 100 µm"


def test_older_repairs_are_measured_by_the_local_thickness():
    """30 um over the least local thickness: ISO 1461:1999 (a guideline) and AS/NZS 4680 (an association)."""
    for name, edition in (("ISO 1461", "1999"), ("AS/NZS 4680", "")):
        found = repair(standard_named(name), [Spot(1.0)], surface_cm2=5_000.0, local_um=70.0, edition=edition)
        assert found.thickness.startswith("at least 100 µm")


def test_the_file_of_rows_names_its_sources():
    with (DATA / "acceptance_checks.csv").open(encoding="utf-8", newline="") as file:
        assert all(row["source"] and row["mark"] == "verified" for row in csv.DictReader(file))
