"""The starter deck says how its blocking is nailed, instead of leaving the worst case to be taken."""

from __future__ import annotations

from longhold.assessment.line import assess
from longhold.intake.load import loads
from longhold.intake.starter_file import starter


def test_the_starters_blocking_nails_lie_as_they_are_driven() -> None:
    structure = loads(starter())
    blocking = next(one for one in structure.joints if one.id == "J4")
    assert (blocking.rain_from, blocking.main_end_grain) == ("side", True)
    found = assess(structure.model_copy(update={"joints": [blocking]}), draws=200).findings[0]
    assert not any(one.where.endswith("rain_from") for one in found.assumptions)
