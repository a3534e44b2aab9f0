"""The answer for each joint as plain rows, for a terminal."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.assessment.bar import bar_words
from longhold.documents.lives import deciding_chance, deciding_end, deciding_years
from longhold.documents.words import code_words

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment, JointFinding, Outcome

__all__ = ["TerminalRow", "terminal_rows"]


@dataclass(frozen=True)
class TerminalRow:
    """One joint in one line.

    Attributes
    ----------
    id, name : of the joint
    answer : the answer in sentences
    years : of the end of life that decides, in words
    ends : the same with what it is that ends
    chance : of reaching the design life, in words
    bar : what is reached beside what is asked, in words
    code : what the code says, in words with its clauses
    outcome : fails, refer or holds
    """

    id: str
    name: str
    answer: str
    years: str
    ends: str
    chance: str
    bar: str
    code: str
    outcome: Outcome


def terminal_rows(assessment: Assessment) -> list[TerminalRow]:
    """Rows for every joint, what needs action first on top."""
    return [_row(finding, assessment) for finding in assessment.worst_first]


def _row(finding: JointFinding, assessment: Assessment) -> TerminalRow:
    return TerminalRow(
        finding.joint.id,
        finding.joint.name,
        finding.answer,
        deciding_years(finding),
        deciding_end(finding),
        deciding_chance(finding),
        bar_words(finding, assessment.structure),
        code_words(finding),
        finding.outcome,
    )
