"""Texts on several parts: each is read with its own finish, and what is unclear is asked."""

import pytest

from longhold.labels import LabelError, compare_labels, explain, read_label, read_parts

HANGER_AND_NAILS = "hanger G185 with 10d nails hot-dip A153 D"


@pytest.mark.parametrize(
    ("text", "kinds", "designations"),
    [
        (HANGER_AND_NAILS, ["hanger", "nail"], ["ASTM A653 G185", "ASTM A153 class D"]),
        ("Joist hanger 16 ga: G90, nails: 10d HDG A153", ["hanger", "nail"],
         ["ASTM A653 G90", "ASTM A153 class D"]),
        ("G90 strap, 316 stainless screws", ["strap", "screw"], ["ASTM A653 G90", "stainless 316"]),
        ("G185 hanger w/ bright nails", ["hanger", "nail"], ["ASTM A653 G185", "plain steel"]),
        ("M12 bolt A4-80; washer A153 class C", ["bolt", "washer"], ["stainless A4", "ASTM A153 class C"]),
        ("powder coat over G90 hanger + screws 304", ["hanger", "screw"],
         ["ASTM A653 G90 + organic topcoat", "stainless 304"]),
        ("G185 hanger, 10d nails, A153 D", ["hanger", "nail"], ["ASTM A653 G185", "ASTM A153 class D"]),
    ],
)  # fmt: skip
def test_each_part_keeps_its_own_finish(text, kinds, designations):
    found = read_parts(text)
    assert [one.kind for one in found] == kinds
    assert [one.told.protection.designation for one in found] == designations


@pytest.mark.parametrize(
    "text",
    [
        "HDG bolts, nuts and washers",
        "Box of 50, G185 joist hanger, 18 ga, zinc-coated",
        "zinc plated screws with ceramic topcoat",
        "G185 hanger, 1.85 oz/ft2 both sides",
        "hanger G185, not for use with stainless nails",
    ],
)
def test_one_finish_is_one_part(text):
    assert [one.kind for one in read_parts(text)] == [""]


def test_whose_finish_is_unclear_is_asked_and_both_are_listed():
    hanger, nail = read_parts("hanger and nails, G185, A153 D")
    assert hanger.told.question == "Which finish is on the hanger: G185 or A153 D?"
    assert hanger.told.readings[0].protection.designation == "ASTM A653 G185"
    assert {one.protection.designation for one in nail.told.readings} == {
        "ASTM A653 G185",
        "ASTM A153 class D",
    }
    for one in (hanger, nail):
        for reading in one.told.readings:
            words = " ".join(one.told.text[start:end] for start, end in reading.spans)
            assert "G185" in words or "A153" in words


def test_a_part_that_is_asked_for_is_found_in_the_text():
    assert read_label(HANGER_AND_NAILS, item="nail").protection.designation == "ASTM A153 class D"
    assert read_label(HANGER_AND_NAILS, item="hanger").protection.designation == "ASTM A653 G185"


@pytest.mark.parametrize("item", [None, "bolt"])
def test_without_the_part_the_text_is_refused_and_its_parts_are_named(item):
    with pytest.raises(LabelError, match="hanger: hanger G185; nail: 10d nails"):
        read_label(HANGER_AND_NAILS, item=item)


def test_the_explanation_shows_the_parts_apart():
    titles = [heading.title for heading in explain(HANGER_AND_NAILS)]
    assert "hanger: ASTM A653 G185" in titles
    assert "nail: ASTM A153 class D" in titles


def test_a_part_that_cannot_be_read_says_why_beside_the_other():
    titles = [heading.title for heading in explain("G185 hanger, nails to F2329")]
    assert titles[0] == "hanger: ASTM A653 G185"
    assert "nail: not readable" in titles


def test_a_part_without_a_finish_is_said_to_have_none():
    told = read_label("pre-galv Z275 strap 1.0 mm + nail 3.75x30")
    assert "whether it holds for the nail too is not stated" in told.not_promised


def test_comparing_gives_every_part_its_row():
    assert [one.text for one in compare_labels([HANGER_AND_NAILS, "G90"])] == [
        "hanger G185",
        "10d nails hot-dip A153 D",
        "G90",
    ]
