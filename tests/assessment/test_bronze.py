"""Silicon bronze: Table R507.2.3 of the IRC lets it pass for bolts where stainless does (recalled)."""

from typing import Any

import longhold
from longhold.assessment.findings import JointFinding

DECK = longhold.load("demo/boardwalk.toml")


def found(demand: float | None = None, **of_part: Any) -> JointFinding:
    """Guard post bolts so far from the surf that the deck rule on stainless alone does not hold."""
    bolt = DECK.joints[5].parts[0].model_copy(update=of_part)
    joint = DECK.joints[5].model_copy(update={"parts": [bolt], "demand": demand})
    site = DECK.site.model_copy(update={"distance_to_salt_water": 183.0})
    (one,) = longhold.assess(DECK.model_copy(update={"joints": [joint], "site": site}), draws=200).findings
    return one


def test_bronze_is_told_beside_stainless_that_is_advised():
    bolt = found()
    assert "stainless" in bolt.enough
    assert "As should silicon bronze fasteners" in bolt.answer


def test_a_load_on_bronze_says_what_is_missing_and_what_to_do():
    loaded = found(demand=1500.0, label="silicon bronze")
    assert loaded.outcome == "refer"
    assert "no strength of silicon bronze is in the tables" in loaded.answer
    assert "rated_load" in loaded.answer
    assert found(demand=1500.0, label="silicon bronze", rated_load=4000.0).outcome == "holds"
