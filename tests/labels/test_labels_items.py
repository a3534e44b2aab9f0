import pytest

from longhold.base.errors import InputError
from longhold.labels import read_label
from longhold.labels.items import named_item


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("joist hanger", "hanger"),
        ("anchor bolt", "bolt"),
        ("lag_screw", "screw"),
        ("wood_screw", "screw"),
        ("post_base", "base"),
        ("nail_plate", "plate"),
        ("cap screw", "screw"),
        ("hanger nails", "nail"),
    ],
)
def test_the_last_word_names_the_part(words, kind):
    assert named_item(words).kind == kind


@pytest.mark.parametrize("words", [None, "", "gizmo"])
def test_unknown_parts(words):
    assert named_item(words) is None


@pytest.mark.parametrize(
    ("label", "item", "diameter_mm", "thickness_mm"),
    [
        ("A153, 10d nail 3.76 mm", "nail", 3.76, None),
        ("A153 #9 x 2-1/2 in", "screw", pytest.approx(4.5, abs=0.01), None),
        ("A153, 16d common nails", "nail", pytest.approx(4.11, abs=0.01), None),
        ("A153, 1/2 x 6 in bolt", "bolt", 12.7, None),
        ("A153, 3/8 bolt", "bolt", 9.525, None),
        ("A153, M12x100", "bolt", 12.0, None),
        ("A153 class D 2-1/2 in screw", "screw", None, None),
        ("G90 hanger, 18 ga", "hanger", None, pytest.approx(1.146, abs=0.001)),
        ("A123 plate 5 mm", "plate", None, 5.0),
        ("A123 3/16 in strap", "strap", None, pytest.approx(4.7625)),
    ],
)
def test_part_and_size_come_with_the_reading(label, item, diameter_mm, thickness_mm):
    reading = read_label(label).readings[0]
    assert (reading.item, reading.diameter_mm, reading.thickness_mm) == (item, diameter_mm, thickness_mm)


@pytest.mark.parametrize(
    ("label", "given", "designations"),
    [
        ("ASTM A153", {"item": "nail"}, ["ASTM A153 class D"]),
        ("ASTM A153", {"item": "bolt", "diameter_mm": 12.7}, ["ASTM A153 class C"]),
        ("ASTM A153", {"item": "bolt", "diameter_mm": 9.525}, ["ASTM A153 class D"]),
        ("ASTM A153", {"item": "bolt"}, ["ASTM A153 class D", "ASTM A153 class C"]),
        (
            "ASTM A153",
            {"item": "hanger", "thickness_mm": 1.2},
            ["ASTM A153 class B-3", "ASTM A153 class B-2"],
        ),
        ("A123", {"item": "hanger", "thickness_mm": 1.2}, ["ASTM A123, plate under 1.6 mm"]),
        ("A123-17", {"item": "plate", "thickness_mm": 10}, ["ASTM A123-17, plate from 6.4 to under 16 mm"]),
        ("HDG", {"item": "nail"}, ["zinc dipped and spun, amount not stated", "ASTM A153 class D"]),
        ("EN ISO 1461", {"item": "post_base", "thickness_mm": 4}, ["EN ISO 1461, steel over 3 to 6 mm"]),
        ("G185", {"item": "hanger", "thickness_mm": 1.2}, ["ASTM A653 G185"]),
    ],
)
def test_what_the_caller_knows_narrows_the_reading(label, given, designations):
    assert [one.protection.designation for one in read_label(label, **given).readings] == designations


def test_the_caller_wins_over_the_label():
    assert (
        read_label("A153 M8 bolt", diameter_mm=16).readings[0].protection.designation == "ASTM A153 class C"
    )


@pytest.mark.parametrize("size", [0, -1, float("inf"), float("nan")])
def test_a_size_is_above_zero(size):
    with pytest.raises(InputError, match="more than zero"):
        read_label("A153", diameter_mm=size)
