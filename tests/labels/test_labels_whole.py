"""Texts with several parts, as boxes and drawings have them."""

import pytest

from longhold.labels import LabelError, read_label


@pytest.mark.parametrize(
    ("text", "designations", "item"),
    [
        (
            "18 ga, G185, dipped after welding: A123",
            ["ASTM A653 G185", "ASTM A123, plate under 1.6 mm"],
            "sheet",
        ),
        ("#9 x 2-1/2 in, 305 SS", ["stainless 305"], "screw"),
        ("10d x 1-1/2 hot-dipped galvanized ASTM A153 Class D", ["ASTM A153 class D"], "nail"),
        ("A307 3/4 x 10 in hex bolt, hot dip galv per F2329", ["ASTM F2329, fastener over 9.525 mm"], "bolt"),
        (
            'Structural screw .276 x 6", 410 SS with polymer coating',
            ["stainless 410 + organic topcoat"],
            "screw",
        ),
        ("ledger screw 5/16 x 5, mech. galv. B695 cl. 65 type II", ["ASTM B695 class 65"], "screw"),
        ("Strap 1.2 mm Z600 EN 10346 S350GD", ["EN 10346 Z600"], "strap"),
        (
            "5 mm plate, hot-dip galvanized to EN ISO 1461 after welding",
            ["EN ISO 1461, steel over 3 to 6 mm"],
            "plate",
        ),
        ("Post base: 12 ga A1011 steel, powder coated over G90", ["ASTM A653 G90 + organic topcoat"], "base"),
        ("DIN 571 8x120 A4", ["stainless A4"], ""),
        ("Ring nail 2.8x65 A4 / 316 stainless", ["stainless 316"], "nail"),
        (
            "AS/NZS 4680 HDG390 6 mm plate",
            ["AS/NZS 4680, steel from 1.5 to 3 mm", "AS/NZS 4680, steel over 3 to 6 mm"],
            "plate",
        ),
        ("M12x150 8.8 tZn ISO 10684", ["ISO 10684"], "bolt"),
    ],
)
def test_a_text_of_several_parts_is_read_whole(text, designations, item):
    reading = read_label(text)
    assert [one.protection.designation for one in reading.readings] == designations
    assert reading.readings[0].item == item
    assert bool(reading.question) == (len(designations) > 1)


def test_the_class_of_another_size_is_asked_about():
    assert "takes HDG500" in read_label("AS/NZS 4680 HDG390 6 mm plate").question
    assert read_label("AS/NZS 4680 HDG500 6 mm plate").settled


def test_a_size_without_its_leading_zero_is_a_size():
    reading = read_label('Structural screw .276 x 6", 410 SS').readings[0]
    assert reading.diameter_mm == pytest.approx(7.01, abs=0.01)
    assert reading.ignored == ("structural",)


def test_a_letter_that_told_the_class_is_not_called_left_out():
    text = "nails, hot dipped galvanised A153-D"
    reading = read_label(text).readings[0]
    assert reading.ignored == ()
    assert [text[start:end] for start, end in reading.spans][-2:] == ["A153", "D"]


def test_little_words_are_not_listed_as_left_out():
    assert read_label("hot dip galv bolt per F2329 for the deck").readings[0].ignored == ("deck",)


@pytest.mark.parametrize("text", ["32 1/2", "32½", "C4½ bolt", "A4½ bolt", "30 4 bolts"])
def test_part_of_a_number_is_no_grade(text):
    with pytest.raises(LabelError):
        read_label(text)
