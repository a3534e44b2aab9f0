import pytest

from longhold.labels.grammar import phrases, read_number
from longhold.labels.tidy import tidy


def kinds(text):
    return [
        (claim.what, claim.name)
        for claim in phrases(tidy(text).text)
        if claim.what not in ("word", "break", "sign")
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ASTM A153/A153M-16a", [("standard", "a153")]),
        ("a 153", [("standard", "a153")]),
        ("BS EN ISO 1461:2009", [("standard", "n1461")]),
        ("AS/NZS 4680:2006", [("standard", "as4680")]),
        ("DX51D+Z600-N-A", [("sheet_steel", "DX51D"), ("sheet_class", "Z600")]),
        ("g-60", [("sheet_class", "G60")]),
        ("40G/00G", [("per_side", "40G/00G")]),
        ("Fe//Zn//12//A", [("iron_zinc", "Fe/Zn 12")]),
        ("Fe/ER(24)190/Zn 8", [("iron_zinc", "Fe/Zn 8")]),
        ("FeZn25c", [("iron_zinc", "Fe/Zn 25")]),
        ("class B-3", [("class_of", "B-3")]),
        ("cl. 65", [("class_of", "65")]),
        ("SS304", [("alloy", "304")]),
        ("305 stainless steel", [("alloy", "305")]),
        ("A4-80", [("alloy", "a4")]),
        ("18-8", [("alloy", "18-8")]),
        ("#9 x 2-1/2 in", [("size", "screw_number")]),
        ("M12x100", [("size", "metric_thread")]),
        ("flZnnc-480h", [("flake", "")]),
        ("flZnyc 480 h", [("flake", "yc")]),
        ("copper azole", [("note", "preservative")]),
    ],
)
def test_phrases(text, expected):
    assert kinds(text) == expected


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1.85 oz/ft2", 1.85 * 305.15),
        ("1.85 oz./sq.ft.", 1.85 * 305.15),
        ("1.85 ounces per square foot", 1.85 * 305.15),
        ("275 g/m²", 275.0),
        ("275 gsm", 275.0),
        ("275 grams per square metre", 275.0),
        ("25 µm", 25.0),
        ("25um", 25.0),
        ("1 mil", 25.4),
        ("2,5 mm", 2.5),
        ("2-1/2 in", 63.5),
        ('3/8"', 9.525),
    ],
)
def test_figures_come_out_in_the_inside_unit(text, number):
    (claim,) = phrases(tidy(text).text)
    assert claim.number == pytest.approx(number)


@pytest.mark.parametrize(
    ("text", "sense"),
    [("at least 25 um", "least"), ("25 um min.", "least"), ("avg 25 um", "mean"), ("max 25 um", "most")],
)
def test_qualifiers(text, sense):
    (claim,) = phrases(tidy(text).text)
    assert claim.extra == sense


@pytest.mark.parametrize("text", ["xg90", "g90x", "g90é", "ss304z", "zinco", "hdga", "275 g/m2x"])
def test_part_of_a_word_is_no_designation(text):
    assert all(
        claim.what in ("word", "sign", "bare", "either", "figure") for claim in phrases(tidy(text).text)
    )
    assert not [claim for claim in phrases(tidy(text).text) if claim.name == "mass"]


@pytest.mark.parametrize(("text", "value"), [("1/2", 0.5), ("1/0", None), ("x", None), ("12", 12.0)])
def test_numbers(text, value):
    assert read_number(text) == value
