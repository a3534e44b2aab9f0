import pytest

from longhold.strength.ec5_answers import answer_ec5
from longhold.strength.ec5_case_words import read_case
from longhold.strength.ec5_told import NotToldError

NAIL = "smooth round nail 3.1x80 fu 600, C16 35 mm to C24 60 mm, no predrill, head 7 mm, SC3 permanent"
BOLT = "M12 bolt fuk 400, As 84.3 mm2, C24 fc90 2.5"


def ask(case, quantity, unit):
    return answer_ec5({"case": case, "quantity": quantity, "unit": unit})


@pytest.mark.parametrize(
    ("case", "quantity", "unit", "by_hand"),
    [
        ("M12 4.6 bolt, C24, 60 deg", "fh,a,k", "N/mm2", 25.256 / (1.53 * 0.75 + 0.25)),
        ("hardwood D30 M12 bolt", "fh,90,k", "MPa", 0.082 * 0.88 * 530.0 / 1.08),
        ("smooth nail 3.4x90 predrilled C24", "fh,k", "N/mm2", 0.082 * 0.966 * 350.0),
        (NAIL, "fh,1,k", "N/mm2", 0.082 * 310.0 * 3.1**-0.3),
        (NAIL, "fh,2,k", "N/mm2", 0.082 * 350.0 * 3.1**-0.3),
        ("plywood rho 500, nail 3.1 mm", "fh,k", "N/mm2", 0.11 * 500.0 * 3.1**-0.3),
        ("OSB 15 mm, nail 3.1x60 fu 600", "fh,k", "N/mm2", 65.0 * 3.1**-0.7 * 15.0**0.1),
        ("M20 bolt 8.8", "My,Rk", "Nm", 0.3 * 800.0 * 20.0**2.6 / 1000.0),
        (BOLT, "F1,ax,Rk", "kN", 33.72),
        (f"{BOLT}, washer 44 mm", "F2,ax,Rk", "kN", 0.0075 * 0.785398 * (44.0**2 - 13.0**2)),
        ("screws 6x100, n = 4", "nef", "-", 4.0**0.9),
        ("4 nails in a row, spacing 40 mm, d = 4 mm", "nef (8.17)", "-", 4.0**0.85),
        ("nails 4 mm, a1=40 mm", "kef", "-", 0.85),
        ("C24 M12 bolt", "k90 (8.33)", "-", 1.53),
        ("SC3 short-term", "kmod", "-", 0.7),
        ("service class 2, long-term", "kmod (Table 3.1)", "-", 0.7),
        (NAIL, "Fax,Rk", "N", 20e-6 * 350.0**2 * 3.1 * 45.0),
        ("screw 8x120, d1 = 5.3, lef = 70 mm, C24", "d_ef", "mm", 5.83),
        (
            "ring-shank nail 4x100 fu 600, C24 38+71, fax 10, fhead 20, head 9 mm",
            "Fax,Rd kmod 0.9",
            "N",
            1121.54,
        ),
        ("4x60 nail fu 600, 2 mm steel plate on C24, no rope", "Fv,Rk", "kN", 1.1513),
    ],
)
def test_a_case_in_words_is_read(case, quantity, unit, by_hand):
    assert ask(case, quantity, unit) == pytest.approx(by_hand, rel=1e-4)


def test_a_design_value_takes_class_and_duration_from_the_case():
    assert ask(NAIL, "Fv,Rd", "N") == pytest.approx(ask(NAIL, "Fv,Rk", "N") * 0.5 / 1.3)
    assert ask(NAIL, "Fv,Rd kmod 0.8 gM 1.25", "N") == pytest.approx(ask(NAIL, "Fv,Rk", "N") * 0.8 / 1.25)


def test_a_named_mode_gives_its_own_value():
    modes = {mode: ask(NAIL, f"Fv,Rk mode {mode}", "N") for mode in "abcdef"}
    assert min(modes.values()) == ask(NAIL, "Fv,Rk", "N")
    assert modes["a"] == pytest.approx(0.082 * 310.0 * 3.1**0.7 * 35.0)


@pytest.mark.parametrize(
    ("case", "quantity", "unit", "why"),
    [
        ("nail 3.4x90 in glued pine, C24", "fh,k", "N/mm2", "'glued pine' in the case"),
        ("nail 3.4x90, C24, 3 sides", "fh,k", "N/mm2", "3"),
        ("nail 3.4x90, C99", "fh,k", "N/mm2", "C99"),
        ("nail 3.4x90", "fh,k", "N/mm2", "density is not told"),
        ("nail 3.4x90, C24, rho 380", "fh,k", "N/mm2", "density is told twice"),
        ("C24, 30 deg, perpendicular to grain, M12 bolt", "fh,k", "N/mm2", "angle is told twice"),
        ("3.4x90, C24", "fh,k", "N/mm2", "kind is not told"),
        ("nail 3.4x90 C24", "My,Rk", "Nmm", "fu is not told"),
        ("nail 3.4x90 fu 600 C24", "My,Rk", "N", "in 'N'"),
        ("nail 3.4x90 fu 600 C24", "My,Rk", "lb", "unit"),
        ("nail 3.4x90 fu 600 C24", "slip modulus", "N/mm", "unit"),
        ("nail 3.4x90 fu 600 C24", "Kser", "N", "quantity"),
        ("nail 3.4x90 fu 600 C24", "My,Rk after corrosion", "Nmm", "after corrosion"),
        ("nail 3.4x90 fu 600, C24 38+71", "Fv,Rk of 3", "N", "3"),
        ("nail 3.4x90 fu 600, C24 38+71", "Fv,Rk mode g", "N", "does not belong"),
        ("nail 3.4x90 fu 600, C24 38+71", "Fv,Rk", "N", "smooth"),
        ("smooth nail 3.4x90 fu 600, C24 38+71", "Fv,Rk", "N", "head is not told"),
        ("ring-shank nail 3.4x90 fu 600, C24 38+71", "Fv,Rk", "N", "threaded nail"),
        ("screw 6x100 fu 800, root 4 mm, C24 30+90", "Fv,Rk", "N", "head"),
        ("M12 bolt fu 400, C24 45+90", "Fv,Rk", "N", "is not told"),
        ("nail 4x60 fu 600, steel plate, C24, no rope", "Fv,Rk", "N", "thickness of the plate"),
        ("M12 bolt fu 400, 8 mm steel plate, C24, no rope", "Fv,Rk", "N", "t1 is not told"),
        ("dowel 12 mm fu 400, 8 mm plate, C24 80 mm, double shear", "Fv,Rk", "N", "outside or in the middle"),
        ("smooth nail 4x100 fu 600, C24 38+71+50, no rope", "Fv,Rk", "N", "outer members differ"),
        ("smooth nail 4x60 fu 600, C24 50+71, no rope", "Fv,Rk", "N", "asks for at least"),
        (NAIL.replace("permanent", ""), "Fv,Rd", "N", "duration is not told"),
        ("screw 5x100, C24, lef 55 mm", "fax,k", "N/mm2", "6 to 12 mm"),
        ("nails 4 mm, n=3", "nef", "-", "spacing is not told"),
        ("splitting beam h=300 b=140", "F90,Rk", "N", "he is not told"),
        ("screw 6x100 C30, head 12 mm, fhead 10.5", "Fhead,Rk", "N", "declared"),
    ],
)
def test_what_is_not_understood_is_named_and_not_answered(case, quantity, unit, why):
    with pytest.raises(NotToldError, match=why):
        ask(case, quantity, unit)


def test_every_number_must_find_its_meaning():
    assert read_case("nail 3.4x90 fu 600 C24 17").left == "17"
    assert read_case("smooth round nail 3.4x90, C24 38 mm to C24 71 mm").left == ""
