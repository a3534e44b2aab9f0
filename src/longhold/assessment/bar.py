"""What a joint reaches beside what is asked of it: the bar that "falls short" is measured by."""

from __future__ import annotations

from typing import TYPE_CHECKING

from longhold.assessment.capacity import LOAD_UNCHECKED
from longhold.assessment.ends import deciding, joint_code, left_out_words

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.model.structure import Structure

__all__ = ["asked_words", "bar_words", "reached_words"]


def bar_words(finding: JointFinding, structure: Structure, *, code_beside: bool = False) -> str:
    """Reached and asked in one phrase, and whether the code refuses it, which falls short too.

    Such as "86 in 100 reach 50 years; 90 in 100 asked; not allowed by the code". A stated load that could
    not be checked is told beside the chance, which leaves it out.

    Parameters
    ----------
    finding, structure : what was found of a joint, and what its structure asks
    code_beside : whether the answer of the code stands beside these words, and need not be told twice
    """
    reached = reached_words(deciding(finding)[1], structure.target_chance)
    life = f"{structure.design_life:g} years"
    first = (
        f"{reached} reach {life}{left_out_words(finding)}{_load_left_out(finding)}"
        if reached
        else f"how many reach {life} is not computed"
    )
    is_told = not code_beside and joint_code(finding)[0] == "fail"
    refused = "; not allowed by the code" if is_told else ""
    return f"{first}; {asked_words(structure.target_chance)}{refused}"


def _load_left_out(finding: JointFinding) -> str:
    reasons = (reason for part in finding.parts for reason in part.refer)
    return ", the load unchecked" if any(one.startswith(LOAD_UNCHECKED) for one in reasons) else ""


def asked_words(target: float) -> str:
    """The share of joints that is asked to reach the design life.

    >>> asked_words(0.9), asked_words(0.995)
    ('90 in 100 asked', '99.5 in 100 asked')
    """
    return f"{_hundredths(target)} in 100 asked"


def reached_words(chance: float | None, target: float) -> str:
    """A chance as joints in a hundred, told finer where rounding would hide on which side of the bar it is.

    >>> reached_words(0.861, 0.9), reached_words(0.8985, 0.9), reached_words(1.0, 0.9)
    ('86 in 100', '89.8 in 100', 'over 99 in 100')
    >>> reached_words(0.0, 0.9), reached_words(None, 0.9), reached_words(0.8999, 0.9)
    ('under 1 in 100', '', 'just under 90 in 100')
    """
    if chance is None:
        return ""
    if chance < 0.01:
        return "under 1 in 100"
    if chance > 0.99 and target <= 0.99:
        return "over 99 in 100"
    if chance >= target:
        return f"{_hundredths(chance, 0 if round(100 * chance) > 100 * target else 1)} in 100"
    for places in (0, 1):
        if round(100.0 * chance, places) < 100.0 * target:
            return f"{_hundredths(chance, places)} in 100"
    return f"just under {_hundredths(target)} in 100"


def _hundredths(share: float, places: int = 1) -> str:
    return f"{round(100.0 * share, places):g}"
