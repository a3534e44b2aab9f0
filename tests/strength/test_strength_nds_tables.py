import pytest

from longhold.strength.nds_tables import answer_row

NAIL = {
    "standard": "NDS 2018",
    "table": "12N",
    "fastener": "nail",
    "designation": "16d common",
    "D_in": "0.162",
    "side_member": "sawn lumber same G",
    "ls_in": "1.5",
    "main_in": "1.62",
    "G": "0.5",
    "theta_main": "",
    "theta_side": "",
    "shear": "single",
    "quantity": "Z",
}


def test_a_row_is_answered():
    assert answer_row(NAIL) == pytest.approx(140.89, abs=0.005)


@pytest.mark.parametrize(
    "change",
    [
        {"quantity": "Zx"},
        {"quantity": ""},
        {"standard": "NDS 1997"},
        {"table": "12E"},
        {"table": "12R"},
        {"fastener": "rivet"},
        {"D_in": ""},
        {"D_in": "nan"},
        {"D_in": "-1"},
        {"D_in": "0.09"},
        {"main_in": ""},
        {"G": "soft"},
        {"theta_main": "north"},
        {"theta_main": "120"},
        {"shear": "triple"},
        {"side_member": "1/4 in steel plate"},
        {"side_member": "wood structural panel"},
        {"fastener": "wood screw"},
        {"fastener": "bolt", "quantity": "W"},
        {"quantity": "W_H", "ls_in": ""},
        {"quantity": "Cg"},
        {"quantity": "Cg", "table": "11.3.6A", "designation": "n=4"},
    ],
)
def test_what_cannot_be_answered_is_none(change):
    assert answer_row({**NAIL, **change}) is None


def test_an_empty_row_is_none():
    assert answer_row({}) is None


def test_a_worked_example_uses_unrounded_bearing():
    table = answer_row({**NAIL, "ls_in": "0.75"})
    example = answer_row({**NAIL, "ls_in": "0.75", "standard": "NDS", "table": "AWC example"})
    assert table != example
    assert table == pytest.approx(example, rel=0.005)


def test_a_side_member_of_other_wood_is_read():
    same = answer_row({**NAIL, "side_member": "sawn lumber G 0.50", "ls_in": "0.75"})
    lighter = answer_row({**NAIL, "side_member": "sawn lumber G 0.42", "ls_in": "0.75"})
    assert same == answer_row({**NAIL, "ls_in": "0.75"})
    assert lighter < same


@pytest.mark.parametrize(
    ("fastener", "designation", "expected"),
    [("nail", "0.131 stainless", 465 * 0.5**1.5 * 0.131), ("nail", "0.131 ring shank", 1800 * 0.25 * 0.131)],
)
def test_special_nails_in_withdrawal(fastener, designation, expected):
    row = {**NAIL, "quantity": "W", "fastener": fastener, "designation": designation, "D_in": "0.131"}
    assert answer_row(row) == pytest.approx(expected)
