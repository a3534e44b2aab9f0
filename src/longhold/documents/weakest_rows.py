"""The strength of a joint age by age: chance that it fell short, its weakest element, how that gives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.documents.figures import chance, share
from longhold.documents.words import mode_words

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding, ModeShare

__all__ = ["AgeRow", "age_rows"]

_ROWS = 6
_WORTH_TELLING = 0.05


@dataclass(frozen=True)
class AgeRow:
    """One age.

    Attributes
    ----------
    age : [years]
    below : share of the draws in which the strength has fallen below what is asked by then
    weakest : the weakest element, and in what share of the draws
    gives : how it gives, each way with its share
    """

    age: float
    below: str
    weakest: str
    gives: str


def age_rows(finding: JointFinding, design_life: float) -> tuple[AgeRow, ...]:
    """A few ages up to twice the design life, which is one of them; nothing where no strength is computed."""
    found = finding.weakest
    if found is None:
        return ()
    return tuple(
        AgeRow(
            found.years[i],
            chance(found.chance_below[i]),
            _most([(one.words, one.weakest_share[i]) for one in found.elements]),
            _gives(found.modes, i, finding),
        )
        for i in _picked(found.years, design_life)
    )


def _picked(years: Sequence[float], design_life: float) -> list[int]:
    wanted = [design_life * step / (_ROWS - 2) for step in range(_ROWS - 1)] + [2.0 * design_life]
    return sorted({min(range(len(years)), key=lambda i: abs(years[i] - age)) for age in wanted})


def _most(pairs: Sequence[tuple[str, float]]) -> str:
    told = sorted((pair for pair in pairs if pair[1] >= _WORTH_TELLING), key=lambda pair: -pair[1])
    if len(told) == 1 and len(pairs) == 1:
        return told[0][0]
    return ", ".join(f"{words} {share(part)}" for words, part in told)


def _gives(modes: Sequence[ModeShare], i: int, finding: JointFinding) -> str:
    kinds = {part.kind_words for part in finding.parts}
    pairs = []
    for mode in modes:
        kind, _, words = mode.words.partition(": ")
        told = mode_words(words, kind)
        pairs.append((told if len(kinds) == 1 else f"{kind}: {told}", mode.share[i]))
    return _most([*pairs, ("", 0.0)])
