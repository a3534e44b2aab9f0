"""Amounts as people write them: in inches, on both faces and on one, and in the user's own unit."""

import pytest

from longhold.labels import LabelError, format_protection, read_label


@pytest.mark.parametrize(
    ("label", "um"),
    [
        ("zinc 0.0017 in per face", 43.18),
        ("0.0017 inch zinc plated", 43.18),
        ('zinc .0017"', 43.18),
        ("0.0017-inch zinc", 43.18),
        ("1.7-mil zinc", 43.18),
        ("1.7 mil zinc", 43.18),
        ("zinc 0.043 mm", 43.0),
        ("zinc 0.017 in per face", 431.8),
    ],
)
def test_a_thickness_in_inches_beside_zinc_is_the_zinc(label, um):
    (reading,) = read_label(label).readings
    assert reading.coat.nominal_um == pytest.approx(um)
    assert reading.thickness_mm is None
    assert read_label(format_protection(reading.protection)).protection == reading.protection


@pytest.mark.parametrize("label", ["zinc >= 0.0017 in", "zinc at least 0.0017 in", "zinc over 0.0017 inch"])
def test_a_least_thickness_in_inches_is_a_least(label):
    assert read_label(label).readings[0].coat.least_um == pytest.approx(43.18)


def test_a_greatest_thickness_in_inches_promises_nothing():
    assert read_label("zinc under 0.0017 in").readings[0].coat.least_um is None


@pytest.mark.parametrize(
    ("label", "why"),
    [
        ("zinc 0.5 in per face", "no coat is above"),
        ("G185, 0.0004 in", "0.0004 in does not fit"),
    ],
)
def test_a_thickness_in_inches_that_cannot_be_is_refused(label, why):
    with pytest.raises(LabelError, match=why):
        read_label(label)


def test_the_size_of_a_part_stays_a_size():
    (reading,) = read_label("G185 hanger, 0.048 in").readings
    assert reading.thickness_mm == pytest.approx(1.2192)
    assert read_label("0.005 in 316 stainless shim").readings[0].coat is None


@pytest.mark.parametrize(
    "label",
    [
        "G185, 1.85 oz/ft2 both sides, 0.925 oz/ft2 per face",
        "G185, 0.925 oz/ft2 per face, 1.85 oz/ft2 both sides",
        "both sides: 1.85 oz/ft2, per face: 0.925 oz/ft2, G185",
        "G185 1.85 oz/ft2 (565 g/m2) total both sides (0.925 oz/ft2 per face)",
        "G185 1.85 oz/ft2 both sides, 1.56 mil per face",
    ],
)
def test_figures_of_both_kinds_that_agree_are_accepted(label):
    (reading,) = read_label(label).readings
    assert reading.protection.designation == "ASTM A653 G185"


@pytest.mark.parametrize(
    ("label", "why"),
    [
        ("G185, 1.85 oz/ft2 both sides, 0.8 oz/ft2 per face", ": 0.8 oz/ft2 does not fit ASTM A653 G185"),
        ("G185, 1.85 oz/ft2 per face, 0.925 oz/ft2 both sides", "0.925 oz/ft2 do not fit ASTM A653 G185"),
        ("zinc 1.85 oz/ft2 both sides, 0.8 oz/ft2 per face", "do not fit each other"),
    ],
)
def test_figures_of_both_kinds_that_clash_are_refused(label, why):
    with pytest.raises(LabelError, match=why):
        read_label(label)


def test_figures_of_both_kinds_without_a_class_are_one_amount():
    (reading,) = read_label("zinc 1.85 oz/ft2 both sides (0.925 oz/ft2 per face)").readings
    assert reading.zinc_oz_ft2_per_face == pytest.approx(0.925)
    assert reading.counted == "one face"
    assert reading.as_written == "0.925 oz/ft2 on one face"


@pytest.mark.parametrize("label", ["304 or 316", "304/316 stainless", "304/316L"])
def test_a_number_that_is_the_grade_of_any_reading_is_understood(label):
    for one in read_label(label).readings:
        assert one.ignored == ()
        assert " ".join(label[start:end] for start, end in one.spans).count("316") == 1


@pytest.mark.parametrize(
    ("label", "as_written"),
    [
        ("1.7 mil zinc", "1.7 mil"),
        ('zinc 0.0017"', '0.0017"'),
        ("zinc at least 25 um", "at least 25 um"),
        ("zinc 275 g/m2 both sides", "275 g/m2 total of both faces"),
    ],
)
def test_as_written_keeps_the_unit_of_the_label(label, as_written):
    assert read_label(label).readings[0].as_written == as_written
