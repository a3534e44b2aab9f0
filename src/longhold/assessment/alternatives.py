"""One joint under other hardware: when it ends by draw, and what the code and the couple rule say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.joint import deciding_years
from longhold.assessment.part_code import code_answer
from longhold.assessment.parts import run_parts
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import is_short_of_class
from longhold.forecast.summary import chance_of
from longhold.metal.couples import mixed_couples
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["Trial", "allowed_together", "metals_mixed", "try_hardware"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Trial:
    """What comes of a joint under some hardware.

    Attributes
    ----------
    years : when the deciding end comes, by draw [years]; None where it is not computed (see ``refer``)
    chance : of reaching the design life; None likewise
    refer : why it is not computed
    leaves_pits_out : whether stainless below the class asked for is in it: its pits are in no number here
    """

    years: Array | None
    chance: float | None
    refer: tuple[str, ...]
    leaves_pits_out: bool = False

    def meets(self, target_chance: float) -> bool:
        """Whether it is computed and reaches the design life with some chance or more."""
        return self.chance is not None and self.chance >= target_chance


def allowed_together(joint: Joint, chosen: Sequence[Protection], setting: Setting) -> bool:
    """Whether the code refuses none of a joint's parts under some protections, and leaves none open."""
    together = {part.id: one for part, one in zip(joint.parts, chosen, strict=True)}
    verdicts = (
        code_answer(joint, part, together[part.id], setting, suggest=False, together=together).verdict
        for part in joint.parts
    )
    return not any(verdict in ("fail", "refer") for verdict in verdicts)


def metals_mixed(joint: Joint, chosen: Sequence[Protection]) -> bool:
    """Whether parts of different metal families meet in a joint under some protections."""
    pairs = zip(joint.parts, chosen, strict=True)
    return bool(mixed_couples([(part.id, one, part.is_fastener) for part, one in pairs]))


def try_hardware(joint: Joint, chosen: Sequence[Protection], setting: Setting) -> Trial:
    """A joint with each of its parts under one protection, on the draws of the setting.

    Parameters
    ----------
    chosen : protection of each part, in the order of the joint's parts
    """
    runs = run_parts(joint, setting, chosen)
    refer = tuple(dict.fromkeys(line for run in runs for line in run.refer))
    life = setting.structure.design_life
    years = None if refer else deciding_years(joint, runs, life)
    pits = any(
        is_short_of_class(joint, part, one, setting) for part, one in zip(joint.parts, chosen, strict=True)
    )
    return Trial(years, None if years is None else chance_of(years, life), refer, pits)
