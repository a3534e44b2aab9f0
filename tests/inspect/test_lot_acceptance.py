"""Plans and decisions: the rules by hand, the gauge's uncertainty, and what is never guessed."""

from __future__ import annotations

import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.inspect.acceptance import Gauge, Specimen, judge, limits_of_demand, limits_of_label
from longhold.inspect.check import check_lot
from longhold.inspect.repair import Spot, repair
from longhold.inspect.sampling import plan_for, standard_named, standards

PLATE = "ASTM A123, plate 5 mm"
EXACT = Gauge(0.0, 0.1, Mark.OWN)


def sample(*means: float, readings: int = 5) -> list[Specimen]:
    return [Specimen(str(at), "", (mean,) * readings) for at, mean in enumerate(means, start=1)]


def judged(*means: float, lot: int = 400, label: str = PLATE, standard: str = "A123", gauge: Gauge = EXACT):
    return judge(plan_for(standard_named(standard), lot), limits_of_label(label), sample(*means), gauge)


@pytest.mark.parametrize(
    ("means", "decision"),
    [
        ((80.0, 78.0, 76.0), "accept"),
        ((90.0, 80.0, 66.0), "accept"),  # one specimen a grade lower is allowed: 65
        ((90.0, 90.0, 60.0), "reject"),  # a mean of 80, and one below 65
        ((78.0, 74.0, 66.0), "reject"),  # a mean of 72.7
    ],
)
def test_grade_75_of_a123(means, decision):
    assert judged(*means).decision == decision


@pytest.mark.parametrize(
    ("mean", "decision"),
    [
        (84.0, "accept"),  # 84 - 8.4 = 75.6
        (83.0, "measure_again"),  # 83 - 8.3 = 74.7
        (69.0, "measure_again"),  # 69 + 6.9 = 75.9
        (68.0, "reject"),  # 68 + 6.8 = 74.8
    ],
)
def test_the_gauge_leaves_a_band_in_which_nothing_is_decided(mean, decision):
    assert judged(mean, mean, mean, gauge=Gauge.usual()).decision == decision


def test_the_band_is_that_of_its_bounds():
    fails, passes = Gauge.usual().bounds(75.0)
    assert judged(fails - 0.01, fails - 0.01, fails - 0.01, gauge=Gauge.usual()).decision == "reject"
    assert judged(passes + 0.01, passes + 0.01, passes + 0.01, gauge=Gauge.usual()).decision == "accept"


def test_a_large_article_is_judged_by_itself():
    """Each article's mean to the grade: one of 70 does not hide behind two of 90."""
    plan = plan_for(standard_named("A123"), 400, surface_cm2=3_000.0)
    rows = [
        Specimen(str(piece), str(part), (mean,) * 5)
        for piece, mean in enumerate((90.0, 90.0, 70.0), start=1)
        for part in (1, 2, 3)
    ]
    assert judge(plan, limits_of_label(PLATE), rows, EXACT).decision == "reject"
    alone = plan_for(standard_named("A123"), 400)
    assert judge(alone, limits_of_label(PLATE), sample(90.0, 90.0, 70.0), EXACT).decision == "accept"


def test_missing_pieces_and_readings_are_counted_and_nothing_is_decided():
    few = judged(80.0, 80.0)
    assert few.decision == "too_few"
    assert "1 of 3 pieces were not measured" in few.why
    assert few.by_rule is None
    plan = plan_for(standard_named("A123"), 3)
    short = judge(plan, limits_of_label(PLATE), sample(90.0, 90.0, 90.0, readings=4), EXACT)
    assert short.decision == "too_few"
    assert "fewer than 5 readings" in short.why


@pytest.mark.parametrize("name", ["A1059", "B602"])
def test_what_was_not_found_is_referred(name):
    plan = plan_for(standard_named(name), 100)
    assert plan.pieces is None
    assert plan.refer
    limits = limits_of_label("ASTM A153 class D")
    assert judge(plan, limits, sample(80.0, 80.0)).decision == "refer"
    assert check_lot(plan, limits).bad is None


def test_a153_needs_an_agreed_number():
    named, limits = standard_named("A153"), limits_of_label("ASTM A153 class D")
    assert judge(plan_for(named, 100), limits, sample(60.0, 60.0)).decision == "refer"
    assert judge(plan_for(named, 100, pieces=2), limits, sample(60.0, 60.0)).decision == "accept"


def test_thin_plate_is_beyond_the_gauge():
    """1.5 um is 30 % of 5 um."""
    limits = limits_of_demand("5 um", standard_named("A153"))
    plan = plan_for(standard_named("A153"), 10, pieces=3)
    warned = judge(plan, limits, sample(5.0, 5.2, 5.1)).warnings
    assert "30 %" in warned[0]
    assert judge(plan, limits_of_label("A153 class D"), sample(50.0, 50.0, 50.0)).warnings == ()


def test_a_demand_is_a_grade_of_a123_and_else_asked_of_each():
    grade = limits_of_demand("45um", standard_named("A123"))
    assert (grade.mean_um, grade.each_um) == (45.0, 35.0)
    plain = limits_of_demand("45um", standard_named("ISO 1461"))
    assert (plain.mean_um, plain.each_um) == (45.0, 45.0)
    both = limits_of_demand("average 43 um, at least 36 um", standard_named("A153"))
    assert (both.mean_um, both.each_um) == (43.0, 36.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: standard_named("A777"), "must be one of ASTM A123/A123M"),
        (lambda: plan_for(standard_named("A123"), 0), "must be 1 to"),
        (lambda: plan_for(standard_named("A123"), 5, pieces=6), "at most the lot"),
        (lambda: plan_for(standard_named("A123"), 5, surface_cm2=0.0), "more than 0"),
        (lambda: limits_of_demand("47 um", standard_named("A123")), "is no grade"),
        (lambda: limits_of_demand("275 g/m2 both faces", standard_named("A123")), "is a mass"),
        (lambda: limits_of_label("316 stainless"), "no thickness of a coat"),
        (lambda: judge(plan_for(standard_named("A123"), 5), limits_of_label(PLATE), []), "no reading"),
        (lambda: repair(standard_named("A123"), [], surface_cm2=1.0), "is not given"),
        (lambda: repair(standard_named("A123"), [Spot(2.0)], surface_cm2=1.0), "at most 1 cm2"),
        (
            lambda: repair(standard_named("ISO 1461"), [Spot(1.0)], surface_cm2=9.0, edition="2022"),
            "not held",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_an_edition_that_is_not_held_is_said():
    plan = plan_for(standard_named("ISO 1461:2022"), 100, edition="2022")
    assert "Edition 2022 is not held here" in plan.notes[0]
    assert not any("not held" in note for note in plan_for(standard_named("A123"), 5, edition="24").notes)


def test_repair_of_a123_takes_the_lesser_area_and_the_narrow_side():
    """256 cm2 for each tonne: 3.07 cm2 for 12 kg, less than half a percent of half a square meter."""
    named = standard_named("A123")
    wide = Spot(3.0, 26.0)
    assert repair(named, [wide], surface_cm2=5_000.0, mass_kg=12.0).verdict == "not_allowed"
    assert repair(named, [Spot(3.0, 25.0)], surface_cm2=5_000.0, mass_kg=12.0).verdict == "allowed"
    assert repair(named, [Spot(3.1, 25.0)], surface_cm2=5_000.0, mass_kg=12.0).verdict == "not_allowed"
    assert repair(named, [Spot(3.0)], surface_cm2=5_000.0, mass_kg=12.0).verdict == "refer"
    assert repair(named, [Spot(3.0, 25.0)], surface_cm2=5_000.0).verdict == "refer"


def test_repair_that_is_not_held_is_referred():
    for name in ("A153", "A1059", "F2329"):
        assert repair(standard_named(name), [Spot(1.0)], surface_cm2=5_000.0).verdict == "refer"
    thin = repair(standard_named("ISO 1461"), [Spot(1.0)], surface_cm2=5_000.0, repaired_um=99.0)
    assert thin.verdict == "not_allowed"


def test_every_standard_is_found_by_its_name():
    for key, one in standards().items():
        assert standard_named(one.name).key == key
