"""Cases in words: read to the last word or not answered."""

import pytest

from longhold.strength.steel_rows import answer_steel_case, answer_steel_row
from longhold.strength.steel_words import NotUnderstoodError, read_case, resolve_same

SCREW = "No. 10 screw d .190, two sheets 54 mil t 0.0566 in, Fu 45000"


@pytest.mark.parametrize(
    ("case", "quantity", "unit", "expected"),
    [
        # by hand: 4.2 sqrt(t^3 d) Fu, 2.7 t d Fu, 0.85 t d Fu, 1.5 t dw Fu with the divisors written
        (SCREW, "Pns", "lb", 4.2 * (0.0566**3 * 0.19) ** 0.5 * 45_000),
        (SCREW.replace("45000", "45 ksi"), "Pns/3 shear", "lb", 4.2 * (0.0566**3 * 0.19) ** 0.5 * 15_000),
        (
            "screw d .216, t1 0.0346 in, t2 0.1017 in, Fu1 45000, Fu2 65000",
            "Pns",
            "lb",
            2.7 * 0.0346 * 0.216 * 45_000,
        ),
        ("No. 12 screw, 54 mil t 0.0566 in, Fu 65000", "Pnot/3", "lb", 0.85 * 0.0566 * 0.216 * 65_000 / 3),
        (
            "screw, t 0.0451 in, dw .375 in, Fu 45 ksi",
            "Pnov/3 pull-over",
            "lb",
            1.5 * 0.0451 * 0.375 * 15_000,
        ),
        (
            "bolt d 0.5 in, t 0.0566 in, Fu 45 ksi, with washers",
            "Pn/2.5 bearing",
            "lb",
            3 * 0.5 * 0.0566 * 18_000,
        ),
        (
            "strap 2 in wide, two .2 in holes, Fy 33 Fu 45, left t 0.05 in",
            "net Fu An/2.00",
            "lb",
            1.6 * 0.05 * 22_500,
        ),
        ("strap 2 in wide, Fy 50 Fu 65, left t 0.05 in", "gross Fy A/1.67", "lb", 2 * 0.05 * 50_000 / 1.67),
        (
            "self-tapping screw d 6.3, t 1.2 mm, fu 390, t1 >= 2.5 t",
            "Fb,Rd",
            "N",
            2.1 * 390 * 6.3 * 1.2 / 1.25,
        ),
        ("pull-through dw 16 t 0.8 fu 390 static", "Fp,Rd = dw t fu/gM2", "N", 16 * 0.8 * 390 / 1.25),
        ("pull-out d 5.5 tsup 1.25 s 1.8 fu 390", "Fo,Rd", "N", 0.45 * 5.5 * 1.25 * 390 / 1.25),
        ("cartridge pin d 4.0, t 1.0 mm, fu 360", "Fb,Rd", "N", 3.2 * 360 * 4.0 / 1.25),
    ],
)
def test_a_case_that_is_read_is_answered_by_its_equation(case, quantity, unit, expected):
    assert answer_steel_case(case, quantity, unit) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("case", "quantity", "unit"),
    [
        (f"{SCREW}, in fire", "Pns", "lb"),
        (f"not {SCREW}", "Pns", "lb"),
        (SCREW, "phi Pns", "lb"),
        (SCREW, "Pns/3 shear", "N"),
        (SCREW, "Pnv", "lb"),
        (SCREW.replace("d .190", "d .250"), "Pns", "lb"),
        (f"{SCREW}, Fu 65000", "Pns", "lb"),
        ("strap 2 in wide, Fy 33 Fu 45, left t 0.05 in", "net Fu An/2.00", "lb"),
        ("two staggered straps 2 in wide, one .2 in hole, Fy 33 Fu 45, t 0.05 in", "net Fu An/2.00", "lb"),
        ("self-tapping screw d 4.8, t 1.0 mm, fu 360", "Fb,Rd", "N"),
        ("self-tapping screw d 4.8, t 1.0 mm, fu 360, t1 = t, dynamic", "Fb,Rd", "N"),
        ("pull-through dw 14 t 1.0 fu 360, repeated wind", "dw t fu/gM2", "N"),
        ("pull-through dw 14 t 1.0 fu 360, earthquake", "Fp,Rd", "N"),
        ("pull-out d 4.8 tsup 1.5 fu 360", "Fo,Rd", "N"),
        (
            "same sheet as side plate on 0.148 nail in G .55 (NDS IV; Fes 61 850), left t 0.05660 in",
            "Z",
            "lb",
        ),
        ("bolt d 0.5 in, t 0.0566 in, Fu 45 ksi", "Pn/2.5 bearing", "lb"),
    ],
)
def test_a_case_with_a_word_or_number_too_many_or_too_few_is_not_answered(case, quantity, unit):
    with pytest.raises(NotUnderstoodError):
        answer_steel_case(case, quantity, unit)
    assert answer_steel_row({"case": case, "quantity": quantity, "unit": unit}) is None


def test_what_is_left_over_is_named():
    with pytest.raises(NotUnderstoodError, match="in fire"):
        read_case(f"{SCREW}, in fire")


def test_same_leans_on_the_case_before_of_its_kind_only():
    cases = ["pull-out d 4.8 tsup 1.5 fu 360", "pull-through same, repeated wind"]
    assert resolve_same(cases)[1] == "pull-through same, repeated wind"
    cases.insert(1, "pull-through dw 12 t 0.9 fu 390 static")
    assert resolve_same(cases)[2] == "pull-through dw 12 t 0.9 fu 390, repeated wind"
