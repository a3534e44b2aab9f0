"""Pits of accepted stainless below its class are in no chance: papers say so beside each chance."""

import datetime
from dataclasses import replace

import pytest

from longhold.assessment.line import assess
from longhold.assessment.moved import moved
from longhold.documents.life_file import LifeFile
from longhold.documents.life_summary import life_summary
from longhold.documents.moved_view import joint_views
from longhold.documents.receipt_words import effect_rows
from longhold.documents.visit_view import planned_rows, stop_rows
from longhold.inspect.consequence import consequences
from longhold.inspect.decide import Asked
from longhold.inspect.delivery import check_delivery
from longhold.inspect.plan import plan_readings
from longhold.intake.delivery import order_of_structure
from longhold.model.costs import Costs
from longhold.model.delivery import DeliveredLine
from longhold.model.structure import Structure

SAID = "pits not computed"
REASON = "looked at every spring"


def walk(first="316 stainless", accepted=REASON, **told):
    """A stainless strap below its class, accepted knowingly, beside a zinc one."""

    def joint(id_, label, **part):
        strap = {"id": "strap", "kind": "strap", "size": "16 ga", "label": label, "faces": "wall"} | part
        return {
            "id": id_,
            "name": "a strap",
            "place": "open_to_rain",
            "main": "joist",
            "role": "other",
            "parts": [strap],
            "quantity": 4,
        }

    return Structure.model_validate(
        {
            "name": "a walk",
            "design_life": "50 years",
            "build_date": datetime.date(2006, 1, 1),
            "code": {"pack": "us_irc", "edition": "2021"},
            "site": {
                "name": "a shore",
                "distance_to_salt_water": "100 m",
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
            "joints": [
                joint("J1", first, class_short_accepted=accepted),
                joint("J2", "ASTM A653 G185"),
            ],
        }
        | told
    )


def test_a_comparison_of_versions_says_it_of_the_version_that_has_them():
    found = moved(walk("ASTM A653 G185", None), walk(), draws=200)
    (view,) = joint_views(found)
    (chance,) = (one for one in view.lines if one.what.startswith("Chance that strength lasts"))
    assert SAID not in chance.was
    assert chance.now.endswith(SAID)
    (back,) = joint_views(moved(walk(), walk("ASTM A653 G185", None), draws=200))
    (chance,) = (one for one in back.lines if one.what.startswith("Chance that strength lasts"))
    assert chance.was.endswith(SAID)
    assert SAID not in chance.now


def test_a_life_file_says_it_beside_the_chance_of_each_joint():
    structure = walk()
    answer = assess(structure, draws=200)
    life = LifeFile(structure, "", answer, (), (), (), (), (), (), datetime.date(2026, 11, 27))
    chances = {row[0].text: row[-1].text for row in life_summary(life).paper.tables[0].rows}
    assert SAID in chances["J1"]
    assert SAID not in chances["J2"]


def test_a_delivery_says_it_of_what_was_ordered_and_not_of_zinc_that_came():
    structure = walk()
    order = order_of_structure(structure)
    (line,) = (one for one in order.lines if "stainless" in one.part.label)
    came = DeliveredLine("line 2", "", "strap", "16 ga", "ASTM A653 G90", 4, part=line.part)
    receipt = check_delivery(order, [came])
    (row,) = effect_rows(consequences(receipt, structure, draws=200), [None])
    assert SAID in row.chance_ordered
    assert SAID not in row.chance_came


@pytest.mark.slow
def test_a_plan_says_it_at_the_joint_that_is_read_and_at_those_that_a_reading_turns_besides():
    costs = Costs(currency="USD", labor_per_joint=45.0, visit_per_joint=4.0)
    plan = plan_readings(walk(), costs, Asked(datetime.date(2026, 11, 1), 5.0), draws=400)
    at = {one.prospect.life.ids[0]: one for one in plan.stops}
    said = {row.ids[0]: row.unread for row in stop_rows(plan)}
    assert SAID in said["J1"]
    assert SAID not in said["J2"]
    first = replace(plan.considered[0], others=(("J1", 4, 0.2), ("J2", 4, 0.1)))
    (row,) = planned_rows(replace(plan, readings=(first,)))
    also = [one for one in row.turns if one.startswith("also turns")]
    assert [SAID in one for one in also] == [at[id_].prospect.life.leaves_pits_out for id_ in ("J1", "J2")]
    assert [SAID in one for one in also] == [True, False]
