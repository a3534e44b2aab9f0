"""Joints alike in all that is stated share an answer; joints alike in numbers alone do not."""

from __future__ import annotations

from longhold.assessment.line import assess
from longhold.model.structure import Structure

ZINC = "hot-dip galvanized, 50 um"
NAIL = {"id": "nail", "kind": "nail", "label": ZINC, "diameter": "3.4 mm", "length": "90 mm", "count": 4}
TIMBER = {"species": "Norway spruce", "preservative": "none", "thickness": "71 mm", "strength_class": "C24"}


def _assumed(*joints):
    structure = Structure.model_validate(
        {
            "name": "deck",
            "units": "si",
            "design_life": "50 years",
            "strength_standard": "en1995",
            "code": {"pack": "eu_ec5", "edition": "2004+A2"},
            "site": {
                "name": "x",
                "jurisdiction": "EU",
                "distance_to_salt_water": "5 km",
                "climate": {"station": "Wilmington NC"},
            },
            "timbers": {"board": TIMBER, "beam": TIMBER},
            "joints": [
                {
                    "name": "j",
                    "place": "dry_inside",
                    "main": "beam",
                    "side": "board",
                    "parts": [NAIL],
                    **joint,
                }
                for joint in joints
            ],
        }
    )
    return {
        finding.joint.id: {(one.where.split(".", 2)[-1], one.value) for one in finding.assumptions}
        for finding in assess(structure, draws=200).findings
    }


def test_what_is_assumed_does_not_hang_on_the_order_of_joints():
    stated = {"id": "A", "load_to_grain_main_deg": 0.0, "load_to_grain_side_deg": 0.0}
    unstated = {"id": "B"}
    alone = _assumed(stated) | _assumed(unstated)
    assert alone["A"] != alone["B"]
    assert _assumed(stated, unstated) == _assumed(unstated, stated) == alone
