"""What a plan, a decision, a reading or a choice turns on is told with its mark."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import longhold
from longhold.base.tables import figures
from longhold.documents.thresholds_view import turns_on

SOURCE = Path(longhold.__file__).parent


def asked_for(*rooms: str) -> set[str]:
    """Thresholds that the code of some rooms asks for."""
    texts = (file.read_text() for room in rooms for file in (SOURCE / room).rglob("*.py"))
    return {name for text in texts for name in re.findall(r'threshold\("(\w+)"\)', text)}


def told(*kinds: str) -> set[str]:
    return {meaning for kind in kinds for meaning, _, _ in turns_on(kind).rows}


def test_a_choice_tells_every_threshold_that_choosing_asks_for() -> None:
    rows = figures("choose/thresholds.csv")
    assert {rows[name]["meaning"] for name in asked_for("choose")} == told("choice")


def test_visits_and_readings_tell_every_threshold_that_inspecting_asks_for() -> None:
    rows = figures("inspect/thresholds.csv")
    # told elsewhere: the next visit among what was assumed, the others with a delivery's lines
    elsewhere = {"next_visit_years", "same_coat", "replacements_tried"}
    asked = asked_for("inspect", "web", "cli") - elsewhere
    assert {rows[name]["meaning"] for name in asked} == told("plan", "decisions", "readings")


@pytest.mark.parametrize("kind", ["plan", "decisions", "readings", "choice"])
def test_each_is_told_with_the_weakest_mark(kind: str) -> None:
    found = turns_on(kind)
    assert found.rows
    assert found.mark.value == "own"
    assert {mark for _, _, mark in found.rows} <= {"own"}
