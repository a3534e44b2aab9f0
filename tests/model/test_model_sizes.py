"""Trade sizes to millimeters."""

from __future__ import annotations

import pytest

from longhold.model.sizes import read_lumber_size, read_part_size


@pytest.mark.parametrize(
    ("kind", "text", "diameter_mm", "length_mm"),
    [
        ("nail", "16d common", 4.11, 88.9),
        ("nail", "10d common x 1-1/2 in", 3.76, 38.1),
        ("nail", "16d box", 3.43, 88.9),
        ("nail", "16d  Sinker", 3.76, 82.55),
        ("nail", "0.148 in x 3 in", 3.7592, 76.2),
        ("wood_screw", "#10 x 2-1/2 in", 4.83, 63.5),
        ("wood_screw", "No. 10 × 2-1/2 in", 4.83, 63.5),
        ("wood_screw", "5 x 60 mm", 5.0, 60.0),
        ("lag_screw", '1/2" x 4"', 12.7, 101.6),
        ("bolt", "1/2 x 6 in", 12.7, 152.4),
        ("bolt", "M12 x 150 mm", 12.0, 150.0),
        ("bolt", "M12", 12.0, None),
    ],
)
def test_fasteners(kind, text, diameter_mm, length_mm):
    size = read_part_size(kind, text)
    assert size.diameter_mm == pytest.approx(diameter_mm, abs=0.006)
    assert size.length_mm == (None if length_mm is None else pytest.approx(length_mm, abs=0.01))


@pytest.mark.parametrize("text", ["16 ga", "16 gauge", "54 mil", "16 GA."])
def test_sheet_by_gauge_and_mil_with_design_and_least_thickness(text):
    size = read_part_size("hanger", text)
    assert size.thickness_mm == pytest.approx(1.4376)
    assert size.least_thickness_mm == pytest.approx(0.95 * 1.4376, abs=0.002)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        ("nail", "16d", "tells no kind of nail"),
        ("nail", "7d common", "known sizes are 6d"),
        ("nail", "16d finish", "known are common, box, sinker"),
        ("wood_screw", "#11 x 2 in", "known are #6"),
        ("hanger", "17 ga", "16 ga = 54 mil"),
        ("bolt", "half an inch", "needs a number with its unit"),
        ("bolt", "1/2", "needs a"),
        ("nail", "3 lb", "does not fit"),
    ],
)
def test_what_cannot_be_read_says_what_can(kind, text, said):
    with pytest.raises(ValueError, match=said):
        read_part_size(kind, text)


@pytest.mark.parametrize(
    ("text", "thickness_mm", "width_mm"),
    [("2x8", 38.1, 184.15), ("5/4x6", 25.4, 139.7), ("6 X 6", 139.7, 139.7)],
)
def test_lumber_is_dressed(text, thickness_mm, width_mm):
    size = read_lumber_size(text)
    assert (size.thickness_mm, size.width_mm) == (pytest.approx(thickness_mm), pytest.approx(width_mm))


@pytest.mark.parametrize(
    ("text", "thickness_mm"), [("1/2 in", None), ("5/8 in", None), ("1/4 in", 6.35), ("3 mm", 3.0)]
)
def test_a_washer_is_called_by_its_bolt_unless_it_can_be_so_thick(text, thickness_mm):
    """Plate washers are up to 1/4 in thick; flat ones of the trade go by the bolt that they fit."""
    assert read_part_size("washer", text).thickness_mm == thickness_mm


def test_unknown_lumber():
    with pytest.raises(ValueError, match="nominal lumber"):
        read_lumber_size("two by eight")
    with pytest.raises(ValueError, match="not in the lumber table"):
        read_lumber_size("7x8")


@pytest.mark.parametrize(
    "text", ["45 x 195 mm", "45x195mm", "195 mm x 45 mm", "4.5 × 19.5 cm", "45 X 195 MM"]
)
def test_an_actual_size_is_read_with_its_unit_however_it_is_turned(text):
    size = read_lumber_size(text)
    assert (size.thickness_mm, size.width_mm) == (45.0, 195.0)


@pytest.mark.parametrize("text", ["45x195", "45 x 195 m", "45 in x 195 mm", "-45 x 195 mm", "x 45 mm"])
def test_an_actual_size_without_a_clear_unit_is_refused_and_shown_how(text):
    with pytest.raises(ValueError, match="45 x 195 mm"):
        read_lumber_size(text)
