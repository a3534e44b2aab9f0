"""What a part carries when new, and what carries a joint's demand with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from longhold.assessment.findings import Assumption
from longhold.assessment.strength_run import StrengthRun
from longhold.base.quantities import System, show_quantity
from longhold.forecast.strength import StrengthDraws
from longhold.model.parts import Part
from longhold.model.structure import Joint
from longhold.model.surroundings import places
from longhold.strength.nds_factors import load_duration_factor, wet_service_factor_lateral

if TYPE_CHECKING:
    from longhold.assessment.parts import Setting

__all__ = ["capacity_of", "capacity_when_new", "is_ledger", "shared_capacity"]

_MM_PER_IN = 25.4


def capacity_when_new(joint: Joint, part: Part, run: StrengthRun) -> float | None:
    """Design capacity of all pieces of one part when new [N]; None where it is not computed."""
    return None if run.draws is None else capacity_of(joint, part, run.draws)[0]


def shared_capacity(
    joint: Joint,
    part: Part,
    capacity: float | None,
    setting: Setting,
    together: Mapping[str, float | None],
) -> tuple[float | None, tuple[Assumption, ...]]:
    """What carries the demand with a part: fasteners of several kinds in wood share it, others do not."""
    if not part.is_fastener or joint.side is None or joint.demand is None or len(together) < 2:
        return capacity, ()
    if any(one is None for one in together.values()):
        return capacity, ()
    total = sum(one for one in together.values() if one is not None)
    because = f"fasteners of {len(together)} kinds through the same two timbers share the demand"
    shown = show_quantity(total, "force_n", setting.structure.units)
    return total, (Assumption(f"joints.{joint.id}.demand", f"{shown} when new", because),)


def is_ledger(joint: Joint, setting: Setting) -> bool:
    """Ledger tables rest on tests that yield equations do not reach: only the ratio to new is used there."""
    return (joint.application or setting.structure.application) == "deck_ledger"


def capacity_of(
    joint: Joint, part: Part, draws: StrengthDraws, units: System = "si"
) -> tuple[float | None, tuple[Assumption, ...]]:
    """Design capacity of all pieces of one part when new [N], and what was taken for it."""
    if part.rated_load is not None:
        return part.rated_load * part.count, ()
    if draws.capacity_new_n is None or not part.is_fastener:
        return None, ()
    place = places()[joint.place]
    wet = place.rain_wets_wood or place.always_wet
    duration = load_duration_factor("ten_years")
    service = wet_service_factor_lateral(
        diameter_in=(part.measures.diameter_mm or 0.0) / _MM_PER_IN, wet_when_made=wet, wet_in_service=wet
    )
    capacity = draws.capacity_new_n * part.count * duration * service
    if joint.demand is None:
        return capacity, ()
    because = f"load duration factor {duration:g} (ten years) and wet service factor {service:g}"
    shown = f"{show_quantity(capacity, 'force_n', units)} when new"
    return capacity, (Assumption(f"joints.{joint.id}.{part.id}.rated_load", shown, because),)
