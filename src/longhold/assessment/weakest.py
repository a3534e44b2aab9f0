"""The elements of a joint: each carries or asks by itself, and the weakest is the joint's strength."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import ModeShare
from longhold.forecast.modes import shares_by_age

if TYPE_CHECKING:
    from longhold.assessment.parts import PartRun
    from longhold.assessment.shared import Setting

__all__ = ["Element", "WeakestFinding", "weakest_finding"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Element:
    """One element of a joint's strength.

    Attributes
    ----------
    words : what it is, for people: "the hanger", "the fasteners together", "the bolts alone"
    parts : ids of its parts
    chance : chance that it still carries what is asked at the design life
    weakest_share : share of the draws in which it is the weakest, at each age
    """

    words: str
    parts: tuple[str, ...]
    chance: float
    weakest_share: tuple[float, ...]


@dataclass(frozen=True)
class WeakestFinding:
    """A joint's strength as that of its weakest element.

    Attributes
    ----------
    years : ages of what follows [years]
    chance_below : share of the draws in which some element has fallen below what is asked by that age
    elements : each with how often it is the weakest
    modes : how the weakest element gives, in what share of the draws, age by age
    words : the element that is the weakest in most draws at the design life
    share : in what share of them
    """

    years: tuple[float, ...]
    chance_below: tuple[float, ...]
    elements: tuple[Element, ...]
    modes: tuple[ModeShare, ...]
    words: str
    share: float


def weakest_finding(
    runs: Sequence[PartRun], strength_years: Array | None, setting: Setting
) -> WeakestFinding | None:
    """The elements of a joint and which of them is the weakest, draw by draw and age by age.

    Margins are compared: strength left over what is asked of the element, whose least is the joint's.
    """
    groups = _groups(runs)
    if not groups or strength_years is None:
        return None
    margins = np.stack([margin for _, _, margin in groups])
    weakest = margins.argmin(axis=0)
    life = int(np.argmin(np.abs(setting.ages - setting.structure.design_life)))
    elements = tuple(
        Element(
            words,
            parts,
            float(np.mean(margin[:, life] >= 1.0)),
            tuple(float(share) for share in (weakest == i).mean(axis=0)),
        )
        for i, (words, parts, margin) in enumerate(groups)
    )
    first = max(elements, key=lambda one: one.weakest_share[life])
    return WeakestFinding(
        years=tuple(float(age) for age in setting.ages),
        chance_below=tuple(float(np.mean(strength_years <= age)) for age in setting.ages),
        elements=elements,
        modes=_modes(runs, groups, weakest),
        words=first.words,
        share=first.weakest_share[life],
    )


def _groups(runs: Sequence[PartRun]) -> list[tuple[str, tuple[str, ...], Array]]:
    kinds = [run.part.kind_words for run in runs if run.ending is not None]
    found: list[tuple[str, tuple[str, ...], Array]] = []
    shared = False
    for run in runs:
        if run.ending is None or not run.ending.counted:
            continue
        if run.ending.shares is not None:
            if not shared:
                shares = run.ending.shares
                found.append((shares.words, shares.counted, run.ending.margin))
            shared = True
            continue
        kind = run.part.kind_words
        several = kinds.count(kind) > 1
        words = f"the {kind} {run.part.id}" if several else f"the {kind}{'s' if run.part.count > 1 else ''}"
        found.append((words, (run.part.id,), run.ending.margin))
    return found


def _modes(
    runs: Sequence[PartRun],
    groups: Sequence[tuple[str, tuple[str, ...], Array]],
    weakest: NDArray[np.intp],
) -> tuple[ModeShare, ...]:
    """How the weakest element gives; of fasteners that share, the kind that has lost most."""
    by_id = {run.part.id: run for run in runs}
    words: list[str] = []
    index = np.zeros(weakest.shape, dtype=np.intp)
    for i, (_, parts, _) in enumerate(groups):
        kinds = [by_id[name] for name in parts if by_id[name].draws is not None]
        ratios = np.stack([run.draws.ratio for run in kinds if run.draws is not None])
        worst = ratios.argmin(axis=0)
        for k, run in enumerate(kinds):
            if run.draws is None:
                continue
            here = (weakest == i) & (worst == k)
            governs, modes = run.draws.governs
            index = np.where(here, governs + len(words), index)
            words += [f"{run.part.kind_words}: {mode}" for mode in modes]
    return tuple(ModeShare(mode, share) for mode, share in shares_by_age(index, words).items())
