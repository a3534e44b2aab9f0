"""Fasteners that are longer than the wood they are in; lengths by plain subtraction of dressed sizes (PS 20:
a 2x is 1.5 in thick, a 2x8 is 7.25 in wide)."""

from __future__ import annotations

from typing import Any

import pytest

from longhold.assessment.allowed import allowed_at
from longhold.assessment.bar import bar_words
from longhold.assessment.beyond_wood import comes_out, comes_out_mostly, out_mm
from longhold.assessment.line import assess
from longhold.documents.allowed_view import undecided_because
from longhold.intake.load import structure_of
from longhold.model.structure import Structure


def _structure(kind: str, size: str, label: str = "HDG per ASTM A153", **joint: Any) -> Structure:
    timber = {"species": "southern pine", "preservative": "MCA", "use_category": "UC4A"}
    return structure_of(
        {
            "name": "one",
            "units": "us",
            "design_life": "30 years",
            "code": {"pack": "us_irc", "edition": "2021"},
            "application": joint.pop("of", "deck"),
            "site": {
                "name": "here",
                "jurisdiction": "US",
                "distance_to_salt_water": "250 miles",
                "climate": {"station": "Atlanta"},
            },
            "timbers": {"main": {**timber, "size": "2x8"}, "side": {**timber, "size": "2x8"}},
            "joints": [
                {
                    "id": "J1",
                    "name": "one",
                    "place": "open_to_rain",
                    "main": "main",
                    "side": "side",
                    "parts": [{"id": "p", "kind": kind, "size": size, "label": label}],
                    **joint,
                }
            ],
        }
    )


@pytest.mark.parametrize(
    ("kind", "size", "joint", "out_in"),
    [
        ("lag_screw", "1/2 in x 20 in", {}, 17.0),
        ("lag_screw", "1/2 in x 4 in", {}, 1.0),
        ("lag_screw", "1/2 in x 3 in", {}, 0.0),
        ("lag_screw", "1/2 in x 4 in", {"of": "deck_ledger"}, 0.0),  # its tip is to pass the band
        ("bolt", "1/2 in x 6 in", {}, 0.0),  # its nut needs the room
        ("nail", "16d common", {"rain_from": "side"}, 0.5),
        ("nail", "16d common", {}, 0.0),  # from above into an edge, 7.25 in deep
        ("nail", "16d common", {"rain_from": "side", "main_end_grain": True}, 0.0),
    ],
)
def test_what_stands_out_of_the_far_side(kind: str, size: str, joint: dict[str, Any], out_in: float) -> None:
    structure = _structure(kind, size, **joint)
    one = structure.joints[0]
    assert out_mm(one, one.parts[0], structure) == pytest.approx(25.4 * out_in, abs=0.3)
    assert bool(comes_out(one, one.parts[0], structure)) == bool(out_in)


def test_the_answer_says_it_first_with_size_and_what_to_do() -> None:
    structure = _structure("lag_screw", "1/2 in x 20 in")
    found = assess(structure, draws=200).findings[0]
    first = found.answer.split("). ")[0]
    assert "20 in long in 3 in of wood" in first
    assert "17 in of it" in first
    assert "take one of up to 3 in" in first
    assert found.outcome != "holds"
    assert comes_out_mostly(structure.joints[0], structure.joints[0].parts[0], structure)


def test_a_little_that_stands_out_is_said_and_does_not_undo_the_forecast() -> None:
    found = assess(_structure("lag_screw", "1/2 in x 4 in"), draws=200).findings[0]
    assert "The lag screw is too long: its size makes it 4 in long in 3 in of wood" in found.answer
    assert not any("stands out" in one for one in found.parts[0].refer)


def test_a_load_that_cannot_be_checked_is_said_first_with_its_cause_and_what_to_change() -> None:
    structure = _structure("lag_screw", "1/2 in x 4 in", demand="350 lb")
    found = assess(structure, draws=200).findings[0]
    assert found.answer.startswith(
        "The lag screw is undecided: the stated load is not checked, for the timber"
    )
    assert "1.5 in of main" in found.answer
    assert "ask a specialist" not in found.answer
    assert "reach 30 years, the load unchecked; 90 in 100 asked" in bar_words(found, structure)
    tried = allowed_at(structure, structure.joints[0], draws=200)[0]
    (said,) = undecided_because(tried)
    assert said.startswith("The stated load is not checked, for the timber that holds its point")


def test_where_some_of_what_is_tried_has_a_chance_nothing_is_said_above() -> None:
    structure = _structure("lag_screw", "1/2 in x 3 in")
    assert undecided_because(allowed_at(structure, structure.joints[0], draws=200)[0]) == ()
