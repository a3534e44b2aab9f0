"""What a part carries when new, and what carries a joint's demand with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.beyond_wood import out_mm
from longhold.assessment.findings import Assumption
from longhold.assessment.rated import Rated
from longhold.assessment.strength_run import StrengthRun
from longhold.base.quantities import System, show_force, show_quantity
from longhold.base.tables import load_toml
from longhold.model.parts import Part
from longhold.model.structure import Joint

if TYPE_CHECKING:
    from longhold.assessment.shared import Setting

__all__ = [
    "LOAD_UNCHECKED",
    "Together",
    "capacity_of",
    "demand_of",
    "is_ledger",
    "load_unchecked",
    "shared_words",
    "together_of",
]

Array = NDArray[np.float64]
LOAD_UNCHECKED = "the stated load is not checked"
"""What every reason of ``load_unchecked`` begins with."""


@dataclass(frozen=True)
class Together:
    """What of a joint's fasteners carries its demand.

    Attributes
    ----------
    capacity_n : of those that count when new [N]
    ratio : strength left of them over new, (draws, ages) [-]
    parts : ids of all its fasteners
    counted : ids of those that count: the one kind that carries most when new
    kind_words : of that kind
    """

    capacity_n: float
    ratio: Array
    parts: tuple[str, ...]
    counted: tuple[str, ...]
    kind_words: str

    @property
    def words(self) -> str:
        """What carries the demand, for people."""
        return "the fasteners together" if self.counted == self.parts else f"the {self.kind_words}s alone"


def demand_of(joint: Joint) -> float | None:
    """Load on a joint, both its parts taken together [N]; None where none is stated."""
    if joint.demand is None and joint.demand_withdrawal is None:
        return None
    return hypot(joint.demand or 0.0, joint.demand_withdrawal or 0.0)


def capacity_of(
    joint: Joint, part: Part, run: StrengthRun, units: System = "si"
) -> tuple[float | None, tuple[Assumption, ...]]:
    """Design capacity of all pieces of one part when new [N], and what was taken for it."""
    if part.rated_load is not None and run.rated is not None:
        return _rated(joint, part, part.rated_load, run.rated, units)
    draws = run.draws
    if draws is None or draws.capacity_new_n is None:
        return None, ()
    if run.design is None:
        return draws.capacity_new_n * part.count, ()
    factor, because = run.design
    capacity = draws.capacity_new_n * part.count * (1.0 if draws.adjusted else factor)
    if demand_of(joint) is None:
        return capacity, ()
    shown = f"{show_force(capacity, units)} when new"
    return capacity, (Assumption(f"joints.{joint.id}.{part.id}.rated_load", shown, because),)


def _rated(
    joint: Joint, part: Part, load_n: float, rated: Rated, units: System
) -> tuple[float | None, tuple[Assumption, ...]]:
    capacity = None if rated.factor is None else load_n * part.count * rated.factor
    if demand_of(joint) is None:
        return capacity, ()
    shown = "not held against the demand" if capacity is None else f"{show_force(capacity, units)} when new"
    return capacity, (Assumption(f"joints.{joint.id}.{part.id}.rated_load", shown, rated.because),)


def together_of(joint: Joint, runs: Sequence[tuple[Part, StrengthRun]]) -> Together | None:
    """Fasteners through the same two timbers, of which one kind carries the demand; None without several.

    Fasteners of one kind add. Of unlike kinds, which slip unlike amounts before they bear, only the kind that
    carries most when new counts (own): no equation adds them.
    """
    if joint.side is None or demand_of(joint) is None:
        return None
    fasteners = [(part, run) for part, run in runs if part.is_fastener]
    if len(fasteners) < 2:
        return None
    carried: Mapping[str, float | None] = {
        part.id: capacity_of(joint, part, run)[0] for part, run in fasteners
    }
    if any(one is None for one in carried.values()):
        return None
    by_kind: dict[str, float] = {}
    for part, _ in fasteners:
        by_kind[part.kind] = by_kind.get(part.kind, 0.0) + (carried[part.id] or 0.0)
    strongest = max(by_kind, key=lambda kind: by_kind[kind])
    counted = [(part, run) for part, run in fasteners if part.kind == strongest]
    left = sum((carried[part.id] or 0.0) * run.draws.ratio for part, run in counted if run.draws is not None)
    return Together(
        by_kind[strongest],
        np.asarray(left / by_kind[strongest]),
        tuple(carried),
        tuple(part.id for part, _ in counted),
        counted[0][0].kind_words,
    )


def shared_words(joint: Joint, together: Together, units: System, *, european: bool) -> Assumption:
    """What carries the demand, as an assumption."""
    shown = f"{show_force(together.capacity_n, units)} when new"
    if together.counted == together.parts:
        because = f"{len(together.parts)} fasteners of one kind through the same two timbers share the demand"
    else:
        others = ", ".join(one for one in together.parts if one not in together.counted)
        asks = load_toml("assessment/mixed_fasteners.toml")["en1995" if european else "nds"]["asks"]
        because = f"{asks}, so {together.words} are taken to carry the demand; {others} not counted"
    return Assumption(f"joints.{joint.id}.demand", shown, because)


def load_unchecked(joint: Joint, part: Part, run: StrengthRun, setting: Setting) -> tuple[str, ...]:
    """Why the stated load is not held against a part whose strength is computed; empty where it is."""
    if demand_of(joint) is None or run.draws is None:
        return ()
    if is_ledger(joint, setting):
        because = "ledger tables rest on tests that yield equations do not reach"
    elif capacity_of(joint, part, run)[0] is None:
        because = (
            _too_short(joint, part, run, setting)
            or _no_strength(run)
            or "what it carries when new is not computed, as its assumptions tell"
        )
    else:
        return ()
    return (f"{LOAD_UNCHECKED}, for {because}: only the share of new strength that is left is",)


def _no_strength(run: StrengthRun) -> str:
    """That the metal has no strength in the tables, and what to do; empty where it is not so."""
    if not run.no_strength:
        return ""
    return (
        f"{run.no_strength}, so what it carries when new is not known "
        "(give the load of its evaluation report as rated_load, take steel or stainless, or ask an engineer)"
    )


def _too_short(joint: Joint, part: Part, run: StrengthRun, setting: Setting) -> str:
    """That a fastener reaches too little into the wood, and what to change; empty where it is not so."""
    if not run.reaches_short:
        return ""
    units, holder = setting.structure.units, setting.structure.timbers[joint.main]
    thick = show_quantity(holder.thickness_mm, "length_mm", units)
    holds = f"the timber that holds its point, {thick} of {joint.main}"
    if out_mm(joint, part, setting.structure):
        return (
            f"{holds}, is too thin for so thick a fastener: the standard gives no capacity there "
            "(take a thicker timber, a thinner fastener, or a bolt through both)"
        )
    return (
        f"it reaches less deep into {holds}, than the standard asks for "
        "(take a longer one, a thinner one, or a thinner timber under its head)"
    )


def is_ledger(joint: Joint, setting: Setting) -> bool:
    """Ledger tables rest on tests that yield equations do not reach: only the ratio to new is used there."""
    return (joint.application or setting.structure.application) == "deck_ledger"
