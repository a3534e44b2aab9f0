"""Labels as bars: the rows of words and the drawing."""

import re
import xml.etree.ElementTree as ET

import pytest

from longhold.documents.coat_chart import coat_chart
from longhold.documents.coat_rows import amounts, bar_cells, bar_most, coat_bars, coat_notes, coat_table
from longhold.labels import compare_labels

SVG = "{http://www.w3.org/2000/svg}"
LABELS = ["G185", "ASTM A153 class D", "316 stainless", "Z100", "galvanized hanger", "xyzzy", "AZ150"]


@pytest.fixture(scope="module")
def found():
    return compare_labels(LABELS)


@pytest.fixture(scope="module")
def drawn(found):
    return ET.fromstring(coat_chart(found).split("\n", 1)[1])


def texts(root):
    return [one.text for one in root.iter(f"{SVG}text")]


def test_a_row_stands_for_every_reading(found):
    bars = coat_bars(found)
    assert len(bars) == len(coat_table(found)) == 1 + 1 + 1 + 2 + 3 + 1 + 2
    assert [bar.label for bar in bars if bar.label] == LABELS
    assert all(len(row) == 7 for row in coat_table(found))


def test_an_amount_is_told_in_four_units_and_blank_where_unknown():
    assert amounts(282.3, 39.5) == ("39.5", "1.56", "282", "0.93")
    assert amounts(None, 20.0) == ("20", "0.79", "", "")
    assert amounts(None, None) == ("", "", "", "")


def test_notes_ask_what_is_open_and_name_the_weakest_mark(found):
    notes = coat_notes(found)
    assert any(note.startswith("Z100:") for note in notes)
    assert any("does not last as" in note for note in notes)
    assert "[memory]" in notes[-1]
    assert len(coat_notes(compare_labels(["G185"]))) == 2


def test_the_drawing_is_named_and_told_in_words(drawn):
    ids = {one.get("id"): one.text for one in drawn if one.get("id")}
    assert drawn.get("role") == "img"
    assert drawn.get("aria-labelledby") == "coats-title coats-desc"
    assert ids["coats-title"]
    assert "G185, read as ASTM A653 G185: least 27.4 µm, expected 39.5 µm" in ids["coats-desc"]
    assert "no designation" in ids["coats-desc"]


def test_the_table_beside_the_bars_holds_the_same_figures(drawn):
    told = texts(drawn)
    for figure in (
        "27.4",
        "1.08",
        "195",
        "0.64",
        "39.5",
        "1.56",
        "282",
        "0.93",
        "µm",
        "mil",
        "g/m²",
        "oz/ft²",
    ):
        assert figure in told


def test_bars_are_as_long_as_their_figures_and_told_apart_by_more_than_tone(drawn):
    bars = [one for one in drawn.iter(f"{SVG}rect") if one.get("class") in ("least", "expected")]
    assert {one.get("class") for one in bars} == {"least", "expected"}
    least, expected = (float(one.get("width")) for one in bars[:2])
    assert least / expected == pytest.approx(27.4 / 39.5, abs=0.001)
    style = drawn.find(f"{SVG}style").text
    assert "url(#hatch)" in style
    assert (
        texts(drawn).count("least")
        == texts(drawn).count("expected")
        == len([bar for bar in coat_bars(compare_labels(LABELS)) if bar.expected_um is not None])
    )


def test_nothing_is_drawn_outside_the_picture(drawn):
    left, top, width, height = map(float, drawn.get("viewBox").split())
    for one in drawn.iter():
        for name, low, high in (("x", left, left + width), ("y", top, top + height)):
            if one.tag in (f"{SVG}text", f"{SVG}rect") and one.get(name) is not None:
                assert low <= float(one.get(name)) <= high


def test_words_of_a_user_cannot_break_the_drawing():
    svg = coat_chart(compare_labels(["G185", "</svg><script>alert(1)</script>", "\x1b[31m", "\udc80 bolt"]))
    assert "<script>" not in svg
    assert re.search(r"[\x00-\x08\x0b\x1b]", svg) is None
    ET.fromstring(svg.split("\n", 1)[1])
    assert svg.encode("utf-8")


def test_alloys_alone_have_a_picture_without_bars():
    root = ET.fromstring(coat_chart(compare_labels(["316", "silicon bronze"])).split("\n", 1)[1])
    assert not [one for one in root.iter(f"{SVG}rect") if one.get("class")]
    assert any("PREN" in text for text in texts(root))


def test_cells_of_a_terminal_bar():
    assert [bar_cells(value, 50.0, 50) for value in (0.0, 0.1, 25.0, 50.0)] == [0, 1, 25, 50]
    assert bar_most([]) == 1.0
