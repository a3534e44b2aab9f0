"""Of one joint's finding: which end of life decides, up to which age it is known, and what the code says."""

from __future__ import annotations

from longhold.assessment.findings import JointFinding
from longhold.codes.answers import CodeAnswer
from longhold.forecast.summary import BEYOND_YEARS, Band

__all__ = [
    "decided_up_to",
    "deciding",
    "joint_code",
    "left_out_words",
    "pits_left_out_words",
    "strength_horizon",
    "too_weak_when_new",
]

_WORST_FIRST = ("fail", "refer", "pass", "not_governed", "gives")


def deciding(finding: JointFinding) -> tuple[Band | None, float | None]:
    """Band of years and chance of the end of life that decides for a joint."""
    if finding.decides == "strength":
        return finding.strength_years, finding.strength_chance
    return finding.protection_years, finding.protection_chance


def too_weak_when_new(finding: JointFinding) -> bool:
    """Whether the demand is more than a part carries when new, so that its strength ends before any age."""
    return any(part.strength is not None and part.strength.below_when_new for part in finding.parts)


def strength_horizon(finding: JointFinding) -> float:
    """Last age up to which strength was computed [years]; an end past it is only known to be later."""
    ends = [part.strength.curve.years[-1] for part in finding.parts if part.strength is not None]
    return min([BEYOND_YEARS, *ends])


def decided_up_to(finding: JointFinding) -> float:
    """Last age up to which the deciding end of life is known [years]."""
    return strength_horizon(finding) if finding.decides == "strength" else BEYOND_YEARS


def left_out_words(finding: JointFinding) -> str:
    """What a joint's chance leaves out; empty where that is nothing, or there is no chance.

    Parts without a forecast, and pits of stainless below the class asked for, which is accepted knowingly.
    """
    if deciding(finding)[1] is None:
        return ""
    kinds = [f"the {part.kind_words}" for part in finding.parts if part.refer and not part.faces]
    without = f" without {', '.join(dict.fromkeys(kinds))}" if kinds else ""
    return f"{without}{pits_left_out_words(bool(finding.accepted))}"


def pits_left_out_words(accepted: bool) -> str:
    """What is put behind a chance of stainless whose class is too low and accepted; else empty.

    >>> pits_left_out_words(True)
    ', pits not computed'
    """
    return ", pits not computed" if accepted else ""


def joint_code(finding: JointFinding) -> tuple[str, tuple[str, ...]]:
    """What the code says of a whole joint: the verdict of its worst part, and the clauses that carry it."""
    answers: list[CodeAnswer] = [part.code for part in finding.parts]
    for verdict in _WORST_FIRST:
        same = [answer for answer in answers if answer.verdict == verdict]
        if same:
            clauses = dict.fromkeys(v.clause for answer in same for v in answer.deciding if v.clause)
            return verdict, tuple(clauses)
    return "", ()
