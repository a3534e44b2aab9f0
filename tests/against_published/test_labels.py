"""Labels against the standards' own figures, as printed in copies and reproductions."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from longhold.labels import LabelError, read_label
from longhold.labels.alloys import alloy_named, pitting_number
from longhold.labels.catalogue import coats
from longhold.labels.conversions import convert, one_side_least

DATA = Path(__file__).parent / "data"
TOLERANCE_UM = 0.15  # the printed figures are rounded to 0.1 um
ROUNDED_G_M2 = 2.5  # ASTM A123 prints masses rounded to 5 g/m2; the list multiplies by 7.067
ELSEWHERE_G_M2 = 0.06


def rows(name, kind=""):
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if not kind or row["kind"] == kind]


def ids(found):
    return [next(row[name] for name in ("input", "designation") if name in row) for row in found]


def optional(text):
    return float(text) if text else None


LABELS = rows("labels_checks.csv", "label_parse")
REFUSED = {"reject", "contradiction"}


@pytest.mark.parametrize("row", LABELS, ids=ids(LABELS))
def test_a_label_promises_what_its_standard_says(row):
    nominal, least = re.fullmatch(r"nominal (.+) ; minimum (.+)", row["expected"]).groups()
    if nominal in REFUSED:
        with pytest.raises(LabelError) as error:
            read_label(row["input"])
        word = {"hours, not um": "hours", "Z275 is total of both faces": "total of both faces"}[least]
        assert word in str(error.value)
        return
    reading = read_label(row["input"])
    if nominal == "unknown":
        assert [one.coat.nominal_um for one in reading.readings] == [None, None]
        assert {one.coat.process for one in reading.readings} == {"mill_dip", "dip_after_making"}
        assert "sheet" in reading.question
        assert "after making" in reading.question
        return
    assert reading.settled
    coat = reading.readings[0].coat
    assert coat.nominal_um == pytest.approx(float(nominal), abs=TOLERANCE_UM)
    if least == "unknown":
        assert coat.least_um is None
        assert any("least on one face" in line for line in reading.not_promised)
    else:
        assert coat.least_um == pytest.approx(float(least), abs=TOLERANCE_UM)


CONVERSIONS = rows("labels_checks.csv", "convert")


@pytest.mark.parametrize("row", CONVERSIONS, ids=ids(CONVERSIONS))
def test_conversions(row):
    value, unit, wanted = re.fullmatch(r"(\S+) (\S+)(?: zinc)? -> (\S+)", row["input"]).groups()
    digits = len(row["expected"].partition(".")[2])
    assert convert(float(value), unit, wanted) == pytest.approx(float(row["expected"]), abs=0.5 * 10**-digits)


ONE_SIDE = rows("labels_checks.csv", "one_side_min")


@pytest.mark.parametrize("row", ONE_SIDE, ids=ids(ONE_SIDE))
def test_least_face_is_two_fifths_of_the_single_spot(row):
    token, single_spot = re.fullmatch(r"(\w+): 0.40 x single-spot ([\d.]+)", row["input"]).groups()
    assert one_side_least(float(single_spot)) == pytest.approx(float(row["expected"]), abs=1e-9)
    (coat,) = [coat for coat in coats() if coat.standard == "A653" and coat.token == token]
    printed = float(row["expected"])
    printed_g_m2 = convert(printed, "oz/ft2", "g/m2") if token.startswith("G") else printed
    assert coat.least_g_m2 == pytest.approx(printed_g_m2, abs=0.06)


NUMBERS = rows("labels_checks.csv", "PREN")


@pytest.mark.parametrize("row", NUMBERS, ids=ids(NUMBERS))
def test_pitting_numbers(row):
    found = dict(re.findall(r"(Cr|Mo|N) ([\d.]+)", row["input"]))
    made = pitting_number(*(float(found.get(name, 0.0)) for name in ("Cr", "Mo", "N")))
    assert made == pytest.approx(float(row["expected"]), abs=0.051)  # printed to one digit
    name = row["input"].split(":")[0].split()[0] if "fastener" in row["input"] else row["input"].split(":")[0]
    assert alloy_named(name).pren == pytest.approx(float(row["expected"]), abs=1e-9)


@pytest.mark.parametrize(
    ("grade", "printed"),
    [
        ("304", 18.1),
        ("316", 24.1),
        ("317L", 28.4),
        ("317LMN", 33.6),
        ("904L", 34.2),
        ("6 % Mo", 43.3),
        ("2304", 25.6),
        ("2205", 35.0),
        ("2507", 42.5),
    ],
)
def test_pitting_numbers_of_the_association_table(grade, printed):
    """Source pren-table, verified."""
    (reading,) = read_label(f"{grade} stainless" if grade[0] != "6" else "stainless 6 % Mo").readings
    assert reading.alloy.pren == printed


DESIGNATIONS = rows("labels_designations.csv")
NO_COAT = {row["designation"] for row in DESIGNATIONS if not row["nominal_um"]}
COATS = [row for row in DESIGNATIONS if row["nominal_um"]]
# The row says that its least is one grade lower by A123 6.1, and the table of grades has 60 below 65.
ONE_GRADE_LOWER = {"A123 plate t 1.6 to <3.2 mm": 60.0}


@pytest.mark.parametrize("row", COATS, ids=ids(COATS))
def test_every_designation_reads_to_its_row(row):
    """As it stands in the list of designations; where it names no standard, its own is among the readings."""
    readings = read_label(row["designation"]).readings
    wanted = float(row["nominal_um"]), ONE_GRADE_LOWER.get(row["designation"], optional(row["least_um"]))
    mass = float(row["nominal_g_m2"]), optional(row["least_g_m2"])
    within_g_m2 = ROUNDED_G_M2 if row["designation"].startswith("A123 ") else ELSEWHERE_G_M2
    assert any(fits(one.coat, wanted, mass, within_g_m2) for one in readings)
    if len(readings) > 1:
        assert len({one.protection.standard for one in readings}) == len(readings)


def fits(coat, um, mass, within_g_m2):
    pairs = [(coat.nominal_um, um[0], TOLERANCE_UM), (coat.nominal_g_m2, mass[0], within_g_m2)]
    if um[1] is not None:
        pairs.append((coat.least_um, um[1], TOLERANCE_UM))
    if mass[1] is not None:
        pairs.append((coat.least_g_m2, mass[1], within_g_m2))
    return all(got is not None and abs(got - want) <= within for got, want, within in pairs)


def test_every_printed_coat_is_in_the_tables_as_printed():
    """The figures of each row of the list stand unchanged in exactly one place of the tables."""
    held = [(c.nominal_g_m2, c.nominal_um, c.least_g_m2, c.least_um, c.as_written) for c in coats()]
    missing = []
    for row in COATS:
        if row["designation"].startswith("A123 ") and "grade" not in row["designation"]:
            continue  # these lead to a grade by thickness; the test above walks them
        figures = (
            *(optional(row[name]) for name in ("nominal_g_m2", "nominal_um", "least_g_m2", "least_um")),
        )
        if not any(figures == entry[:4] for entry in held):
            missing.append(row["designation"])
    assert missing == []


GRADE_LISTS = {"D2/D4/D6/D8": ["D2", "D4", "D6", "D8"], "1.4401 / 1.4404": ["1.4401", "1.4404"]}


@pytest.mark.parametrize("designation", sorted(NO_COAT - {"A90", "F1136 Grade 3"} - set(GRADE_LISTS)))
def test_alloys_read_to_one_bare_metal(designation):
    reading = read_label(designation)
    assert reading.settled
    assert reading.protection.layers == ()


@pytest.mark.parametrize(("designation", "grades"), GRADE_LISTS.items())
def test_a_list_of_grades_is_a_question(designation, grades):
    reading = read_label(designation)
    assert [one.protection.grade for one in reading.readings] == grades
    assert reading.question


def test_a_test_method_is_no_designation():
    with pytest.raises(LabelError, match="promises no coat"):
        read_label("A90")


def test_a_grade_of_hours_tells_no_mass():
    (reading,) = read_label("F1136 Grade 3").readings
    assert reading.coat.kind == "zinc_flake"
    assert reading.coat.nominal_um is None


@pytest.mark.parametrize(
    ("first", "second", "higher"),
    [("G185", "A153 class D", "A153 class D"), ("B633 SC3", "A153 class C", "A153 class C")],
)
def test_near_neighbours_keep_their_order(first, second, higher):
    """G185 carries 39.5 um on a face, A153 class D 43; SC3 is under a third of class C (all verified)."""
    um = {text: read_label(text).readings[0].coat.nominal_um for text in (first, second)}
    assert max(um, key=um.get) == higher
