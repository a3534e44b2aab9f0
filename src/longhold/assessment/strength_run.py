"""The strength of one part with its draws, and what every way of computing it shares."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from longhold.assessment.findings import Assumption
from longhold.base.trace import Section
from longhold.forecast.strength import StrengthDraws
from longhold.model.parts import Part

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.parts import Setting

__all__ = ["MIDDLE_WORDS", "Sheet", "StrengthRun", "life_index"]

Sheet = tuple[Part, tuple["FaceRun", ...]]
"""A sheet part with the runs of its faces."""

MIDDLE_WORDS = "With the middle loss put in; the answer gives the middle of all draws."


@dataclass(frozen=True)
class StrengthRun:
    """Strength of one part with its draws, or why there is none.

    Attributes
    ----------
    draws : None where strength is not computed
    calculation : the middle losses at the design life put in; None likewise
    refer : why it is not computed
    assumptions : what was taken on the way
    design : factor from reference to design capacity, and what it is made of; None where there is none
    """

    draws: StrengthDraws | None
    calculation: Section | None = None
    refer: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    design: tuple[float, str] | None = None


def life_index(setting: Setting) -> int:
    """Index of the age nearest the design life."""
    return int(np.argmin(np.abs(setting.ages - setting.structure.design_life)))
