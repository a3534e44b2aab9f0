"""Ways of a fastener that count no more, by the NDS: named with their reason."""

from __future__ import annotations

from pathlib import Path

import pytest

from longhold.assessment.line import assess
from longhold.intake.load import load
from longhold.model.parts import Part

DEMO = Path(__file__).resolve().parents[2] / "demo"
HANGER = {"id": "hanger", "kind": "hanger", "size": "18 ga", "label": "G90"}


def listed(length):
    """What is said of a 10d nail of some length through a hanger and a joist of 1.5 in into a ledger."""
    deck = load(DEMO / "boardwalk.toml")
    nail = {"id": "nail", "kind": "nail", "size": f"10d common x {length}", "label": "ASTM A153 Class D"}
    joint = next(one for one in deck.joints if one.id == "J12")
    known = {"place": "dry_inside", "demand": 50.0, "main": "ledger", "side": "joist"}
    parts = [Part(**HANGER), Part(**nail)]
    made = joint.model_copy(update={**known, "parts": parts})
    found = assess(deck.model_copy(update={"joints": [made]}), draws=200).findings[0]
    return {one.where: one for one in found.assumptions}


@pytest.mark.parametrize(
    ("length", "why"),
    [  # 1.4 in miss the ledger behind 1.5 in of joist; 2.2 in reach 0.7 in into it, 6 D are 0.888 in
        ("1.4 in", "does not bear in the main member"),
        ("2.2 in", "0.7 in there, the NDS asks for 0.888 in"),
    ],
)
def test_a_way_that_does_not_count_is_named(length, why):
    one = listed(length)["joints.J12.nail, joist into ledger"]
    assert one.value == "taken as no way of it"
    assert why in one.because


def test_nothing_is_said_where_every_way_counts():
    assert "joints.J12.nail, joist into ledger" not in listed("2.8 in")
