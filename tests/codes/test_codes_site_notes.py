from __future__ import annotations

import pytest

from longhold.codes.site_notes import facts_from_application, facts_from_note
from longhold.codes.vocabulary import check_facts


@pytest.mark.parametrize(
    ("note", "facts"),
    [
        ("MC <= 18 %", {"wood_moisture_pct": 18.0}),
        ("mean MC 12 %", {"wood_moisture_pct": 12.0}),
        ("MC 14-16 %", {"wood_moisture_pct": 16.0}),
        ("subfloor, vents <= 7000 mm2", {"subfloor": True, "vents": "up_to_7000_mm2"}),
        ("subfloor vents > 7000 mm2", {"subfloor": True, "vents": "over_7000_mm2"}),
        ("no barrier", {"barrier": False}),
        ("membrane", {"barrier": True}),
        ("open coast", {"water_kind": "open_coast"}),
        ("tidal estuary", {"water_kind": "estuary"}),
        ("sheltered bay", {"water_kind": "sheltered_bay"}),
        ("offshore island", {"offshore_island": True}),
        ("C3", {"air_category": "C3"}),
        ("UK", {"coast": "other_european"}),
        ("Baltic coast", {"coast": "baltic"}),
        ("SO2 <= 10; rain washed", {"sulphur_dioxide_ug_m3": 10.0, "washing": "rain"}),
        ("not rain washed, not cleaned", {"washing": "neither"}),
        ("not rain washed; specified cleaning", {"washing": "cleaned"}),
        ("salted road at 0.05 km", {"salted_road_m": 50.0}),
        ("category 4", {"design_category": "4"}),
        ("not centrifuged", {"centrifuged": False}),
        ("hard to reach", {"access": "hard"}),
        ("easy to reach and replace; failure seen in use", {"access": "easy", "failure_seen": "in_use"}),
        ("whatever a person may add", {}),
        ("the surface is rough", {}),
        ("", {}),
    ],
)
def test_notes(note: str, facts: dict[str, object]) -> None:
    found = facts_from_note(note)
    check_facts(found)
    assert found == facts


def test_more_than_is_just_beyond() -> None:
    assert 20 < facts_from_note("MC > 20 %")["wood_moisture_pct"] < 21


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("deck", {"application": "deck"}),
        ("deck_ledger", {"application": "deck_ledger"}),
        ("decking_boards_shop", {"application": "other"}),
        ("sill_plate", {"application": "other"}),
        (
            "wood_foundation_lumber_above_grade",
            {
                "application": "wood_foundation",
                "foundation_part": "lumber",
                "foundation_position": "above_grade",
            },
        ),
        ("wood_foundation_knee_wall", {"application": "wood_foundation", "foundation_position": "knee_wall"}),
        ("roof_sheathing", {"application": "roof_batten"}),
        ("sheathing", {"application": "wall_sheathing"}),
        ("structural fixing", {"application": "other", "structural": True}),
        ("non-structural fixing", {"application": "other", "structural": False}),
    ],
)
def test_uses(words: str, facts: dict[str, object]) -> None:
    found = facts_from_application(words)
    check_facts(found)
    assert found == facts
