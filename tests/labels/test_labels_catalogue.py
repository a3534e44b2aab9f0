"""The tables themselves: no holes, no contradictions within them."""

from itertools import pairwise

import pytest

from longhold.labels.alloys import alloy_named, alloys, pitting_number, published_numbers
from longhold.labels.bands import exactly, parse_band
from longhold.labels.catalogue import by_size, changed_since, coats, coats_of, standards


@pytest.mark.parametrize("coat", coats(), ids=lambda coat: coat.designation)
def test_a_coat_never_promises_less_than_its_least(coat):
    pairs = [(coat.least_um, coat.nominal_um), (coat.least_g_m2, coat.nominal_g_m2)]
    assert all(least <= nominal for least, nominal in pairs if least is not None and nominal is not None)


@pytest.mark.parametrize(
    "coat", [c for c in coats() if c.density_g_cm3 and c.nominal_um], ids=lambda c: c.designation
)
def test_mass_and_thickness_agree_by_the_standards_own_ratio(coat):
    """Standards round apart by up to 6 % or half a micrometre; EN 10346 gives a guide, 8 % off at ZA255."""
    slack = max((0.08 if coat.standard == "EN10346" else 0.06) * coat.nominal_um, 0.6)
    assert coat.nominal_g_m2 / coat.density_g_cm3 == pytest.approx(coat.nominal_um, abs=slack)


def test_every_standard_of_a_coat_is_in_the_list_of_standards():
    codes = {standard.code for standard in standards().values()}
    assert {coat.standard for coat in coats()} - {"", "A653-S2"} <= codes


@pytest.mark.parametrize("item", ["plate", "strip and bar", "structural shapes", "pipe and tubing", "wire"])
def test_every_thickness_has_one_grade_of_a123(item):
    for thickness in (0.4, 1.59, 1.6, 3.19, 3.2, 4.8, 4.81, 6.39, 6.4, 15.99, 16.0, 80.0):
        for edition in ("", "17"):
            assert len(by_size("A123", [item], exactly(thickness), edition=edition)) == 1


def test_older_editions_of_a123_ask_more_never_less():
    for item in ("plate", "structural shapes"):
        for thickness in (5.0, 10.0):
            now = by_size("A123", [item], exactly(thickness))[0].token
            then = by_size("A123", [item], exactly(thickness), edition="2013")[0].token
            assert int(then.split()[1]) >= int(now.split()[1])
    assert changed_since("A123", ["plate"], exactly(10.0))
    assert not changed_since("A123", ["plate"], exactly(2.0))


@pytest.mark.parametrize(
    ("year", "changed"),
    [("24", False), ("2024", False), ("17", True), ("2017", True), ("97", True), ("02", True)],
)
def test_an_edition_is_told_by_its_year(year, changed):
    tokens = {step.token for step in by_size("A123", ["plate"], exactly(10.0), edition=year)}
    assert tokens == ({"grade 100"} if changed else {"grade 75"})


def test_hardware_of_a153_parts_at_length_and_thickness():
    def tokens(size, length):
        return [step.token for step in by_size("A153", ["hardware"], parse_band(size), parse_band(length))]

    assert tokens("6 mm", "over 381 mm") == ["class B-1"]
    assert tokens("3 mm", "over 381 mm") == ["class B-2"]
    assert tokens("3 mm", "up to 381 mm") == ["class B-3"]


def test_grades_of_a123_are_one_grade_apart():
    rows = sorted(coats_of("A123"), key=lambda coat: coat.nominal_um)
    for lower, higher in pairwise(rows):
        assert higher.least_um == lower.nominal_um


@pytest.mark.parametrize(
    "grade", [name for name, row in published_numbers().items() if row["cr_pct"] is not None]
)
def test_printed_pitting_numbers_follow_from_their_composition(grade):
    row = published_numbers()[grade]
    parts = (row[name] or 0.0 for name in ("cr_pct", "mo_pct", "n_pct"))
    assert pitting_number(*parts) == pytest.approx(row["pren"], abs=0.051)


def test_alloys_answer_to_their_own_names():
    for alloy in alloys():
        assert alloy_named(alloy.grade or alloy.base_metal) == alloy
