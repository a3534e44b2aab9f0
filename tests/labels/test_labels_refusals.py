"""Labels that are misspelt, at odds with themselves, or nonsense: refused with a reason, never guessed."""

import pytest

from longhold.base.errors import InputError
from longhold.labels import LabelError, read_label
from longhold.labels.spelling import edits, nearest

MISSPELT = {
    "G158": "G185",
    "Z257": "Z275",
    "A635 G90": "A653",
    "G91": "G90",
    "ASTM A135 class C": "A153",
    "B659 class 55": "B695",
    "galvanzied": "galvanized",
    "stainles steel": "stainless",
    "SS318": "316",
    "1.4302": "1.4301",
    "Fe/Zn 13": "Fe/Zn 12",
    "A653 Z257": "Z275",
    "HDG per A154": "A153",
    "xG90": "G90",
    "bronze": "silicon bronze",
}


@pytest.mark.parametrize(("label", "meant"), MISSPELT.items())
def test_a_misspelt_label_is_refused_with_what_is_near(label, meant):
    with pytest.raises(LabelError) as error:
        read_label(label)
    assert meant in error.value.nearest
    assert meant in str(error.value)
    assert "Did it mean" in str(error.value)


AT_ODDS = {
    "Z275 per face": "total of both faces",
    "G90 each side": "total of both faces",
    "A153 class C, total of both sides": "one face",
    "flZn/480h read as 480 um": "hours",
    "G185 and A153": "two finishes",
    "G185, A153": "two finishes",
    "G90 G185": "several coating classes",
    "Z100 purlin, Z350": "several coating classes",
    "304 G185 stainless": "one or the other",
    "copper G90": "one or the other",
    "304 316": "one grade",
    "A2 A4 screws": "one grade",
    "brass 316 stainless": "two metals",
    "copper and aluminium": "two metals",
    "SC1 Fe/Zn 12": "different thicknesses",
    "B633 SC2, Fe/Zn 25": "different thicknesses",
    "B695 class 55 class 70": "several classes",
    "B633 B695": "different ways",
    "electroplated A153": "another way",
    "hot-dip B633": "another way",
    "mechanically galvanized G90": "another way",
    "galvannealed G90": "another way",
    "G90, spun": "mill coat",
    "G90, 40 um": "does not fit",
    "Z275 40 um": "does not fit",
    "G90 0.9 oz/ft2 per face": "does not fit",
    "A153 Class C 610 g/m2": "does not fit",
    "ISO 1461 8 mm plate 40 um": "does not fit",
    "uncoated G90": "uncoated",
    "00G/00G": "not both",
    "F2329, 10d nail": "leaves out nails",
    "EN 10346 Z305": "not of EN 10346",
    "A653 Z100": "not of ASTM A653",
    "flZn 480h 720h": "several test times",
}


@pytest.mark.parametrize(("label", "why"), AT_ODDS.items())
def test_a_label_at_odds_with_itself_is_refused(label, why):
    with pytest.raises(LabelError) as error:
        read_label(label)
    assert why in str(error.value)


OUTSIDE = {
    "A123 Grade 84": "grades of ASTM A123 are 35, 45",
    "A153 class E": "classes of ASTM A153 are A, B-1",
    "B695 Class 56": "classes of ASTM B695 are 110",
    "SC5": "service conditions",
    "flZn 500h": "hours of EN ISO 10683",
    "HDG650": "HDG600",
    "A1059 class 30": "classes of ASTM A1059",
    "A767 class 3": "classes of ASTM A767 are I and II",
    "A641 class 2 wire": "held here of ASTM A641",
    "A591 class D": "does not have",
    "thermal diffusion class 99": "neither",
    "F1941 Fe/Zn 4": "classes held",
    "75G A879": "no",
    "6000 g/m2 zinc": "no coat is above",
}


@pytest.mark.parametrize(("label", "why"), OUTSIDE.items())
def test_a_class_that_does_not_exist_is_refused(label, why):
    with pytest.raises(LabelError) as error:
        read_label(label)
    assert why in str(error.value)


NOTHING = [
    "",
    "   ",
    "\x00",
    "hello world",
    "HU26",
    "M12 x 100",
    "10d nail",
    "copper azole",
    "12 um",
    "80 g/m2 paper",
    "16 oz",
    "316 pcs",
    "drawing A4, sheet 3",
    "C3 environment",
    "A325 bolt",
    "A90",
    "nickel plated",
    "zinc-nickel",
    "zinc alloy anchor",
    "brass plated screw",
    "not galvanized",
    "non-stainless",
    "equivalent to G90",
    "exceeds A153",
    "compatible with hot-dip galvanized hangers",
    "class C",
    "grade 85",
    "Type II",
    "A2K",
]


@pytest.mark.parametrize("label", NOTHING)
def test_words_that_promise_nothing_are_refused(label):
    with pytest.raises(LabelError):
        read_label(label)


@pytest.mark.parametrize("thing", [None, 5, b"G90", ["G90"]])
def test_only_text_is_read(thing):
    with pytest.raises(LabelError, match="must be text"):
        read_label(thing)


def test_a_label_is_no_document():
    assert read_label(("G90" + " " * 497)[:500]).settled
    with pytest.raises(LabelError, match="600 characters; a label has at most 500"):
        read_label("G90 " * 150)


def test_the_error_is_one_a_person_can_act_on():
    with pytest.raises(InputError) as error:
        read_label("G158")
    (problem,) = error.value.problems
    assert (problem.where, problem.value) == ("label", "G158")
    assert problem.do == "Did it mean G185?"


def test_other_coats_are_not_hidden_by_a_known_one():
    with pytest.raises(LabelError, match="nickel plated"):
        read_label("G90, nickel plated")


@pytest.mark.parametrize(
    ("a", "b", "distance"), [("g158", "g185", 1), ("kitten", "sitting", 3), ("a", "abcd", 9)]
)
def test_edits(a, b, distance):
    assert edits(a, b) == edits(b, a) == distance


def test_nothing_is_near_to_nonsense():
    assert nearest("qwertyuiop") == ()
