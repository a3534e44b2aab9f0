"""Which end of life decides for a joint, and up to which age it is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from longhold.assessment.ends import (
    decided_up_to,
    deciding,
    left_out_words,
    strength_horizon,
    too_weak_when_new,
)
from longhold.documents.figures import chance, in_years, years

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding

__all__ = [
    "TOO_WEAK",
    "decided_up_to",
    "deciding",
    "deciding_chance",
    "deciding_end",
    "deciding_years",
    "protection_end_words",
    "strength_horizon",
    "too_weak_when_new",
]


TOO_WEAK = "The demand is more than the strength when new"


def deciding_years(finding: JointFinding) -> str:
    """The deciding end of life in words."""
    if finding.decides == "strength" and too_weak_when_new(finding):
        return "too weak when new"
    return years(deciding(finding)[0], decided_up_to(finding))


def deciding_chance(finding: JointFinding) -> str:
    """The chance of reaching the design life in words, and the parts without a forecast left out of it."""
    return f"{chance(deciding(finding)[1])}{left_out_words(finding)}"


def deciding_end(finding: JointFinding) -> str:
    """Which end of life decides, and when: "strength ends after 9 to 16 years"."""
    band, _ = deciding(finding)
    if band is None:
        return "no end of life is computed"
    if finding.decides == "strength" and too_weak_when_new(finding):
        return f"{TOO_WEAK[:1].lower()}{TOO_WEAK[1:]}, from the first day"
    when = in_years(band, decided_up_to(finding))
    when = when if when.startswith("within") else f"after {when.removeprefix('in ')}"
    what = "strength ends" if finding.decides == "strength" else protection_end_words(finding)
    return f"{what[:1].lower()}{what[1:]} {when}"


def protection_end_words(finding: JointFinding) -> str:
    """That protection ends; of which part, where several can lose it: the first to do so in each draw."""
    several = sum(part.protection_years is not None for part in finding.parts) > 1
    return "Protection of the first part ends" if several else "Protection ends"
