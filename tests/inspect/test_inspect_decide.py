"""Decisions on joints that stand: present values by hand, safe first, and bad questions."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.documents.decide_view import assumed_rows, decision_rows
from longhold.inspect.actions import prospect
from longhold.inspect.decide import Asked, Decisions, decide, decided
from longhold.inspect.lives import JointLife
from longhold.intake.load import load
from longhold.model.costs import Costs
from longhold.model.structure import Joint

JOINT = Joint.model_validate(
    {
        "id": "J",
        "name": "strap",
        "place": "open_to_rain",
        "main": "joist",
        "access": "easy",
        "parts": [{"id": "s", "kind": "strap", "size": "16 ga", "label": "ASTM A653 G90"}],
    }
)
ON = datetime.date(2030, 6, 1)


def life(years, *, strength=True, load=None, bare=None, hidden=None, refer=(), paint=None):
    given = [None if one is None else np.asarray(one, float) for one in (years, load, bare, hidden, paint)]
    years, load, bare, hidden, paint = given
    return JointLife(JOINT, ("J",), 1, years, refer, strength, load, bare, hidden, paint_years=paint)


def costs(**given):
    return Costs(currency="USD", **{"labor_per_joint": 100.0, "rate": 0.03, **given})


def test_present_values_are_those_by_hand():
    """At age 10, next visit in 5 years, over 20 years; one life ends at 12, one has ended, one never does."""
    found = prospect(life([12.0, 8.0, np.inf]), 10.0, 5.0, 20.0, costs())
    pv = 1.03**-1.0
    assert found.costs["keep"] == pytest.approx(
        [
            100 * (pv**2 + pv**14),  # renewed when it ends, and 12 years on
            100 * (pv**5 + pv**13),  # its end is found at the next visit; then every 8 years
            0.0,
        ]
    )
    assert found.costs["renew_now"] == pytest.approx([100 * (1 + pv**12), 100 * (1 + pv**8 + pv**16), 100.0])
    # ends before or at the visit are met as they are when it is kept; only the third is renewed ahead
    assert found.costs["renew_next"] == pytest.approx([*found.costs["keep"][:2], 100 * pv**5])
    assert found.below_now == pytest.approx(1 / 3)
    assert found.below == pytest.approx({"keep": 2 / 3, "renew_now": 0.0, "renew_next": 2 / 3})


def test_a_failure_costs_at_each_end_that_goes_unnoticed():
    told = costs(failure=1000.0, unnoticed=0.1)
    found = prospect(life([12.0, 8.0]), 10.0, 5.0, 10.0, told)
    pv = 1.03**-1.0
    assert found.costs["keep"] == pytest.approx([200 * pv**2, 200 * pv**5])
    assert found.costs["renew_next"] == pytest.approx(found.costs["keep"])
    assert found.costs["renew_now"] == pytest.approx([100, 100 + 200 * pv**8])


def test_paint_lengthens_only_what_it_reaches():
    """Paint adds its life in the same draw; a face in the wood ends as it would; lost zinc is lost."""
    film = 5.0
    bare, hidden = [20.0, 20.0, 5.0], [90.0, 20.0 + film / 2, 90.0]
    known = life([20.0, 20.0, 5.0], strength=False, bare=bare, hidden=hidden, paint=[film, film, film])
    for years, ended in ((9.9, [False, False, True]), (10.0, [False, False, True])):
        assert prospect(known, 10.0, years, 30.0, costs()).ended["paint"].tolist() == ended
    assert prospect(known, 10.0, 10.0, 30.0, costs()).ended["keep"].tolist() == [True, True, True]
    later = 10.0 + 0.75 * film
    assert prospect(known, 10.0, later, 30.0, costs()).ended["paint"].tolist() == [False, True, True]
    last = 10.0 + film
    assert prospect(known, 10.0, last, 30.0, costs()).ended["paint"].tolist() == [True, True, True]


def test_each_thing_costs_what_it_takes_by_hand():
    """Hard to reach, 5 times the labor; hardware for 30; a new one would end at 13 years, within the 20."""
    stated = costs(material_per_joint=30.0, fixing_per_joint=40.0, failure=1000.0, unnoticed=0.1)
    hard = JOINT.model_copy(update={"access": "hard"})
    known = life([13.0], strength=False, bare=[13.0], paint=[4.0])
    found = prospect(replace(known, joint=hard), 10.0, 5.0, 20.0, stated)
    pv = 1.03**-1.0
    renewing, unnoticed = 5 * 100 + 30, 0.1 * 1000
    again = renewing + unnoticed
    assert {action: float(cost[0]) for action, cost in found.costs.items()} == pytest.approx(
        {
            "keep": again * (pv**3 + pv**16),
            "paint": 0.35 * 5 * 100 + again * pv**7,  # the zinc holds 4 years longer; the next end is past
            "strengthen": 5 * 40 + 30 + again * pv**13,
            "renew_now": renewing + again * pv**13,
            "renew_next": again * (pv**3 + pv**16),  # its end comes before the visit
        }
    )
    cheapest = decided(replace(found), 0.05)
    assert cheapest.answer == min(cheapest.mean_costs, key=cheapest.mean_costs.get) == "strengthen"


def test_paint_lasts_as_iso_12944_says_of_low_durability(small_structure):
    """ISO 12944-1: low durability is up to 7 years; most draws lie within it, and they differ."""
    built = small_structure().model_copy(update={"build_date": datetime.date(2020, 6, 1)})
    found = decide(built, costs(), Asked(ON, 5.0), draws=2000)
    years = found.each[0].prospect.life.paint_years
    assert 0.85 < np.mean(years <= 7.0) < 0.95
    assert len(np.unique(years)) == 2000


def test_what_is_assumed_of_paint_stands_where_paint_is_weighed():
    walk = load(Path(__file__).parents[2] / "demo" / "standing_walk.toml")
    known = life([12.0, 30.0], strength=False, bare=[12.0, 30.0], paint=[4.0, 5.0])
    for one, told in ((known, True), (replace(known, paint_years=None), False)):
        made = decided(prospect(one, 10.0, 5.0, 20.0, costs()), 0.05)
        found = Decisions(walk, Asked(ON, 5.0), costs(), 10.0, 20.0, (made,), "", 1, 2)
        rows = {what: f"{taken}; {why}" for what, taken, why in assumed_rows(found, stated_next=True)}
        assert ("paint" in rows) is told
        assert "labor alone" in rows["costs: material per joint"]
        assert "strengthening is not weighed" in rows["costs: fixing per joint"]
    stated = Decisions(walk, Asked(ON, 5.0), costs(material_per_joint=9.0), 10.0, 20.0, (made,), "", 1, 2)
    assert "costs: material per joint" not in {row[0] for row in assumed_rows(stated, stated_next=True)}


def test_below_its_load_it_is_made_safe_whatever_money_says():
    below = np.where(np.arange(100) < 6, 5.0, 90.0)
    for failure in (0.0, 1.0, 1e9):
        one = prospect(life(below, load=below), 10.0, 5.0, 30.0, costs(failure=failure, labor_per_joint=1e8))
        assert decided(one, 0.05).answer == "make_safe"
        assert decided(one, 0.07).answer != "make_safe"


def test_what_is_not_computed_hides_no_danger():
    below = np.full(100, 5.0)
    one = prospect(
        life(below, load=below, refer=("the other part is not computed",)), 10.0, 5.0, 30.0, costs()
    )
    assert decided(one, 0.05).answer == "make_safe"
    one = prospect(life(below, refer=("the load is not checked",)), 10.0, 5.0, 30.0, costs())
    assert decided(one, 0.05).answer == "refer"
    assert decided(prospect(life(None), 10.0, 5.0, 30.0, costs()), 0.05).answer == "refer"


def test_a_looser_limit_never_costs_more_and_a_dearer_failure_never_keeps_longer():
    years = np.random.default_rng(2).lognormal(np.log(25.0), 0.5, 4000)
    one = prospect(life(years), 12.0, 5.0, 30.0, costs())
    answers = [decided(one, limit) for limit in (0.001, 0.02, 0.1, 0.3, 0.9)]
    paid = [found.mean_costs[found.answer] for found in answers]
    assert paid == sorted(paid, reverse=True)
    assert answers[0].answer == "renew_now"
    assert answers[-1].answer == "keep"
    order = ("keep", "renew_next", "renew_now")
    by_failure = [
        order.index(decided(prospect(life(years), 12.0, 5.0, 30.0, costs(failure=one)), 0.9).answer)
        for one in (0.0, 100.0, 1000.0, 1e4, 1e6)
    ]
    assert by_failure == sorted(by_failure)
    assert by_failure[0] == 0
    assert by_failure[-1] == 2


def test_protection_that_decides_rules_nothing_out():
    years = np.full(200, 11.0)
    found = decided(prospect(life(years, strength=False), 10.0, 5.0, 4.0, costs()), 0.05)
    assert found.answer == "keep"


def test_a_stated_load_that_is_not_checked_is_no_danger(small_structure):
    """A strap's capacity is not computed, so its demand is held against nothing; it is referred."""
    structure = small_structure()
    joint = structure.joints[0].model_copy(update={"demand": 5000.0})
    built = {"joints": [joint], "build_date": datetime.date(1960, 6, 1)}
    found = decide(structure.model_copy(update=built), costs(), Asked(ON, 5.0), draws=200)
    assert found.each[0].prospect.life.load_years is None
    assert found.each[0].answer == "refer"


@pytest.mark.parametrize(
    ("asked", "built", "said"),
    [
        (Asked(ON, 5.0), None, "State when it was built"),
        (Asked(ON, 5.0), ON, "must lie after 2030-06-01"),
        (Asked(ON, 0.0), datetime.date(2010, 1, 1), "must be more than 0 and at most 100 years"),
        (Asked(ON, 5.0, 0.0), datetime.date(2010, 1, 1), "must be a chance between 0 and 1"),
        (Asked(ON, 5.0, 1.0), datetime.date(2010, 1, 1), "must be a chance between 0 and 1"),
        (Asked(ON, 5.0, float("nan")), datetime.date(2010, 1, 1), "must be a chance between 0 and 1"),
        (Asked(ON, 5.0), datetime.date(1800, 1, 1), "At most 200 years are computed"),
    ],
)
def test_bad_questions_are_told(small_structure, asked, built, said):
    with pytest.raises(InputError, match=said):
        decide(small_structure().model_copy(update={"build_date": built}), costs(), asked, draws=200)


@pytest.mark.slow
def test_joints_alike_are_decided_once_and_joints_read_by_themselves():
    from longhold.inspect.learn import learn
    from longhold.intake.readings import read_readings

    demo = Path(__file__).parents[2] / "demo"
    structure = load(demo / "standing_walk.toml")
    asked = Asked(datetime.date(2026, 11, 1), 5.0)
    found = decide(structure, costs(), asked, draws=400)
    assert found.each[0].prospect.life.ids == ("W01", "W02")
    lesson = learn(structure, read_readings(demo / "readings.csv").readings, draws=400)
    after = decide(structure, costs(), asked, learned=lesson.learned)
    assert [one.prospect.life.ids for one in after.each][:2] == [("W01",), ("W02",)]
    answers = {id_: one.answer for one in after.each for id_ in one.prospect.life.ids}
    assert answers["W06"] == "make_safe"
    assert answers["W05"] == answers["W04"] == "keep"
    before = {id_: one.answer for one in found.each for id_ in one.prospect.life.ids}
    assert before["W05"] != answers["W05"]


def test_pits_that_no_chance_counts_are_told_beside_it():
    walk = load(Path(__file__).parents[2] / "demo" / "standing_walk.toml")
    short = replace(life([12.0, 30.0], strength=False), leaves_pits_out=True)
    for one, told in ((short, True), (life([12.0, 30.0], strength=False), False)):
        made = decided(prospect(one, 10.0, 5.0, 20.0, costs()), 0.05)
        found = Decisions(walk, Asked(ON, 5.0), costs(), 10.0, 20.0, (made,), "", 1, 2)
        (row,) = decision_rows(found)
        for words in (row.why, row.below_now, row.below_next, *(each.below for each in row.actions)):
            assert ("pits not computed" in words) is told
