"""Plans of visits: what is proposed, what is not, and why."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

from longhold.documents.visit_view import plan_lede
from longhold.inspect.decide import Asked
from longhold.inspect.information import Choice
from longhold.inspect.plan import plan_readings
from longhold.inspect.selection import Kind, Offered, Target, least_settled, scores, select
from longhold.intake.load import load
from longhold.model.costs import Costs

DEMO = Path(__file__).parents[2] / "demo"
ASKED = Asked(datetime.date(2026, 11, 1), 5.0)
COSTS = Costs(currency="USD", labor_per_joint=45.0, visit_per_joint=4.0)


@pytest.fixture(scope="module")
def walk():
    return plan_readings(load(DEMO / "standing_walk.toml"), COSTS, ASKED, draws=600)


@pytest.mark.slow
def test_stops_are_in_the_order_of_the_file_with_the_checks_that_apply(walk):
    assert [one.prospect.life.ids[0] for one in walk.stops] == ["W01", "W03", "W04", "W05", "W06", "W07"]
    checks = {one.prospect.life.ids[0]: {each.check for each in one.checks} for one in walk.stops}
    assert all("look" in each for each in checks.values())
    assert "torque" in checks["W07"]
    assert not any("torque" in each for id_, each in checks.items() if id_ != "W07")
    assert {"probe", "moisture"} <= checks["W05"]  # open to rain
    assert not {"probe", "moisture"} & checks["W04"]  # under cover


@pytest.mark.slow
def test_only_what_can_be_read_is_proposed(walk):
    methods = {(one.part.kind, one.method) for one in walk.considered}
    assert ("nail", "gauge") not in methods  # no gauge stands on the head of a nail
    assert ("hanger", "gauge") in methods
    assert ("hanger", "remove") not in methods
    for one in walk.considered:
        assert one.expected.p10 <= one.expected.p90
        assert one.cost > 0.0
        assert sum(turning.chance for turning in one.answers) == pytest.approx(1.0)


@pytest.mark.slow
def test_what_is_not_read_stays_named(walk):
    for stop in walk.stops:
        assert stop.unread == stop.prospect.life.quantity - bool(stop.readings)
    assert len(walk.readings) == sum(len(one.readings) for one in walk.stops) <= 6


@pytest.mark.slow
def test_the_same_seed_gives_the_same_plan(walk):
    again = plan_readings(load(DEMO / "standing_walk.toml"), COSTS, ASKED, draws=600)
    assert [(one.part.id, one.worth, one.turns) for one in again.considered] == [
        (one.part.id, one.worth, one.turns) for one in walk.considered
    ]


def kind(theta, slope=10.0, even=0.3, quantity=1):
    choice = Choice(np.stack([slope * theta, np.full_like(theta, slope * even)]))
    target = Target(choice, scores(-theta))
    return Kind(target, target, quantity)


def test_a_reading_that_says_the_same_is_not_taken_twice():
    generator = np.random.default_rng(4)
    theta, other = generator.standard_normal((2, 4000))
    noise = 0.05 * generator.standard_normal((2, 4000))
    offered = [
        Offered(0, 0.1, scores(theta + noise[0])),
        Offered(0, 0.1, scores(theta + noise[1])),
        Offered(1, 0.1, scores(other + noise[0])),
        Offered(1, 0.1, scores(generator.standard_normal(4000))),
    ]
    taken = select([kind(theta), kind(other)], offered, by_money=True)
    assert sorted({one.number for one in taken} & {0, 1}) in ([0], [1])
    assert 2 in {one.number for one in taken}
    assert 3 not in {one.number for one in taken}


def test_two_readings_together_are_worth_what_their_sum_says():
    """Two equal causes, each read exactly: together they are perfect information."""
    generator = np.random.default_rng(9)
    one, two = generator.standard_normal((2, 20_000))
    theta = (one + two) / np.sqrt(2.0)
    offered = [Offered(0, 0.0, scores(one)), Offered(0, 0.0, scores(two))]
    taken = select([kind(theta, even=0.0)], offered, by_money=True)
    sd = 1.0 / np.sqrt(2.0 * np.pi)  # of two actions at their even point: slope * s * phi(0)
    assert taken[0].worth == pytest.approx(10.0 * sd / np.sqrt(2.0), rel=0.05)
    assert taken[0].worth + taken[1].worth == pytest.approx(10.0 * sd, rel=0.05)


def test_the_least_settled_kinds_are_taken_where_there_are_many():
    """Two even actions are worth most to know; one that is as good as sure is worth nothing."""
    theta = np.random.default_rng(3).standard_normal(4000)
    kinds = [kind(theta, even=even) for even in (5.0, 0.0, -5.0, 0.4)]
    assert least_settled(kinds, 2, by_money=True) == [1, 3]
    assert least_settled(kinds, 2, by_money=False) == [1, 3]
    assert least_settled(kinds, 4, by_money=True) == [0, 1, 2, 3]
    many = [*kinds[:3], kind(theta, even=0.4, quantity=40)]
    assert least_settled(many, 1, by_money=True) == [3]


def of_many_kinds(structure, count):
    """A structure with so many joints that none is like another."""
    parts = structure.joints[0].parts
    joints = [
        structure.joints[0].model_copy(
            update={
                "id": f"J{i:02d}",
                "parts": [parts[0].model_copy(update={"label": "ASTM A653 G90", "id": f"p{i}"})],
            }
        )
        for i in range(count)
    ]
    return structure.model_copy(update={"joints": joints, "build_date": datetime.date(2010, 1, 1)})


@pytest.mark.slow
def test_more_kinds_than_are_weighed_are_planned_and_named(small_structure):
    found = plan_readings(of_many_kinds(small_structure(), 63), COSTS, ASKED, draws=200)
    assert len(found.stops) == 63
    assert len(found.unweighed) == 3
    assert not {one.life.joint.id for one in found.considered} & set(found.unweighed)
    said = plan_lede(found)
    assert "none was at J60 to J62" in said
    few = plan_readings(of_many_kinds(small_structure(), 3), COSTS, ASKED, draws=200)
    assert few.unweighed == ()
    assert "too many kinds" not in plan_lede(few)
