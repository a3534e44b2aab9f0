"""Sheet coated with 55 % aluminium-zinc: no law of its loss is held, so no answer is given for the part."""

from __future__ import annotations

import pytest

from longhold.assessment.line import assess
from longhold.documents.table import terminal_rows
from longhold.model.structure import Structure

NAIL = {
    "id": "nail",
    "kind": "nail",
    "size": "10d common x 1-1/2 in",
    "label": "ASTM A153 Class D",
    "count": 8,
}


def assessed(distance, label="AZ150"):
    hanger = {"id": "hanger", "kind": "hanger", "size": "18 ga", "label": label}
    timber = {"species": "southern pine", "preservative": "none", "size": "2x8"}
    structure = {
        "name": "porch",
        "units": "us",
        "design_life": "25 years",
        "code": {"pack": "us_irc", "edition": "2021"},
        "site": {
            "name": "x",
            "distance_to_salt_water": distance,
            "climate": {"station": "Wilmington NC"},
        },
        "timbers": {"ledger": timber, "joist": timber},
        "joints": [
            {
                "id": "J",
                "name": "joist hanger",
                "place": "under_cover",
                "main": "ledger",
                "side": "joist",
                "demand": "300 lb",
                "parts": [hanger, NAIL],
            }
        ],
    }
    return assess(Structure.model_validate(structure), draws=200)


@pytest.mark.parametrize("label", ["AZ150", "AZ50", "ASTM A792M AZM150"])
@pytest.mark.parametrize(("distance", "outcome"), [("300 ft", "fails"), ("150 miles", "refer")])
def test_aluminium_zinc_is_left_to_a_person_inland_and_near_the_sea_the_code_refuses_it(
    distance, outcome, label
):
    """IRC Table R507.2.3 note b (recalled): within 300 ft of salt water stainless only."""
    found = assessed(distance, label)
    (finding,) = found.findings
    hanger, nail = finding.parts
    assert finding.outcome == outcome
    assert any("follows other laws than zinc" in why for why in hanger.refer)
    assert hanger.faces == ()
    assert hanger.strength is None
    assert hanger.protection_years is None
    assert nail.faces
    if outcome == "refer":
        assert "follows other laws than zinc" in finding.answer
    (row,) = terminal_rows(found)
    assert row.chance.endswith("% without the hanger")


def test_nothing_is_left_out_where_all_parts_are_computed():
    (row,) = terminal_rows(assessed("150 miles", "G185"))
    assert "without" not in row.chance
