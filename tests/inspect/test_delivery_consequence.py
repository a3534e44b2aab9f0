"""A refused line, used all the same: computed with the labels exchanged, on the same draws."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from longhold.assessment.ends import deciding
from longhold.assessment.line import assess
from longhold.inspect.consequence import consequences, cost_move, placed
from longhold.inspect.delivery import check_delivery
from longhold.inspect.instead import instead
from longhold.intake import starter
from longhold.intake.delivery import order_of_structure
from longhold.intake.load import load, loads
from longhold.model.delivery import DeliveredLine, Order, OrderedLine
from longhold.model.offer import Offer

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def structure():
    return loads(starter())


def delivered(line: OrderedLine, label: str) -> DeliveredLine:
    part = line.part
    return DeliveredLine("line 2", "", part.kind, part.size or "", label, line.quantity, part=part)


def wrong_nails(structure):
    order = order_of_structure(structure)
    nails = next(line for line in order.lines if line.part.kind == "nail")
    return check_delivery(order, [delivered(nails, "electroplated zinc ASTM B633 SC1")]), nails


@pytest.mark.slow
def test_the_effect_is_that_of_two_assessments(structure):
    receipt, nails = wrong_nails(structure)
    assert receipt.lines[0].wrong_metal
    (found,) = consequences(receipt, structure, draws=200)
    assert found.joints
    places = dict(nails.places)
    for effect in found.joints:
        id = effect.came.joint.id
        joint = next(one for one in structure.joints if one.id == id)
        parts = [
            part.model_copy(update={"label": "electroplated zinc ASTM B633 SC1"})
            if part.id == places[id]
            else part
            for part in joint.parts
        ]
        changed = structure.model_copy(update={"joints": [joint.model_copy(update={"parts": parts})]})
        (alone,) = assess(changed, draws=200).findings
        assert deciding(alone) == (effect.years[1], effect.chances[1])
        before, after = effect.years
        assert before is not None
        assert after is not None
        assert after.p10 < before.p10  # the early end: thinner zinc is gone sooner


def test_nothing_is_computed_where_no_joint_is_told(structure):
    receipt, nails = wrong_nails(structure)
    loose = Order("test", (OrderedLine("", nails.part, nails.quantity),))
    receipt = check_delivery(loose, [delivered(nails, "electroplated zinc ASTM B633 SC1")])
    (found,) = consequences(receipt, structure, draws=200)
    assert (found.joints, found.why_not) == ((), "the order does not tell for which joints it is")


def test_an_order_is_placed_by_kind_and_size(structure):
    whole = order_of_structure(structure)
    bare = Order("test", tuple(OrderedLine("", line.part, line.quantity) for line in whole.lines))
    assert [line.places for line in placed(bare, structure).lines] == [line.places for line in whole.lines]
    gone = Order("test", (OrderedLine("", whole.lines[0].part, 1, places=(("nowhere", "x"),)),))
    assert placed(gone, structure).lines[0].places == ()


def test_what_came_is_priced_by_the_offer_that_it_equals(structure):
    receipt, nails = wrong_nails(structure)
    (line,) = receipt.lines

    def offer(item, label, price):
        return Offer(
            item=item, kind="nail", size=nails.part.size, label=label, price=price, currency="USD", pack=100
        )

    listed = [offer("A", nails.part.label, 5.0), offer("B", "electroplated zinc ASTM B633 SC1", 2.0)]
    found = cost_move(line, listed)
    assert found is not None
    assert (found.item, found.currency) == ("B", "USD")
    assert found.ordered == pytest.approx(0.05 * nails.quantity)
    assert found.came == pytest.approx(0.02 * nails.quantity)
    assert cost_move(line, listed[:1]) is None


@pytest.mark.slow
def test_what_may_take_the_place_of_a_refused_line():
    """Each offer is held against the structure with its label, assessed by itself."""
    whole = load(DEMO / "boardwalk.toml")
    small = [joint for joint in whole.joints if joint.id in ("J07", "J09")]
    walk = whole.model_copy(update={"joints": small})
    order = order_of_structure(walk)
    lines = {line.part.kind: line for line in order.lines}
    screws, nails = lines["wood_screw"], lines["nail"]
    wrong = [delivered(one, "electroplated zinc ASTM B633 SC1") for one in (screws, nails)]
    receipt = check_delivery(Order("test", tuple(replace_label(one) for one in order.lines)), wrong)
    assert [one.wrong_metal for one in receipt.lines] == [True, True]
    labels = {
        "plated": "electroplated zinc ASTM B633 SC1",
        "316": "316 stainless",
        "dear": "316 stainless",
        "304": "304 stainless",
        "dipped": "ASTM A153 class D",
        "unread": "rustproof forever",
    }
    listed = [
        Offer(item=item, kind=line.part.kind, size=size, label=label, price=price, currency="USD", pack=100)
        for line, size in ((screws, screws.part.size), (nails, "60d common"))
        for price, (item, label) in enumerate(labels.items(), start=2)
    ]
    used = consequences(receipt, walk, draws=200)
    found = instead(used, receipt.order, walk, listed, draws=200)
    holding = set()
    for item in ("316", "304", "dipped"):
        joint = next(one for one in small if one.id == "J07")
        parts = [part.model_copy(update={"label": labels[item]}) for part in joint.parts]
        changed = walk.model_copy(update={"joints": [joint.model_copy(update={"parts": parts})]})
        (alone,) = assess(changed, draws=200).findings
        if alone.outcome == "holds":
            holding.add((item, deciding(alone)))
    assert holding
    assert {(one.offer.item, deciding(one.worst.came)) for one in found} == holding
    packs = -(-screws.quantity // 100)
    assert all((one.packs, one.cost) == (packs, packs * one.offer.price) for one in found)
    assert [one.cost for one in found] == sorted(one.cost for one in found)


def replace_label(line: OrderedLine) -> OrderedLine:
    return replace(line, part=line.part.model_copy(update={"label": "316 stainless"}))
