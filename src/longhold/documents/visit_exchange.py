"""A planned visit, as JSON for other programs: stable and finite."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from longhold.documents.decide_exchange import asked_json
from longhold.documents.exchange import SCHEMA_VERSION, to_plain
from longhold.documents.thresholds_view import turns_on
from longhold.documents.visit_view import plan_assumed, plan_lede, planned_rows, stop_rows

if TYPE_CHECKING:
    from longhold.inspect.plan import InspectionPlan, PlannedReading

__all__ = ["plan_json"]


def plan_json(plan: InspectionPlan, *, stated_next: bool) -> dict[str, Any]:
    """A plan as plain objects, with the same told in words.

    Parameters
    ----------
    stated_next : whether the time to the next visit was stated
    """
    assumed = plan_assumed(plan, stated_next=stated_next)
    words = {id(one): row for one, row in zip(plan.readings, planned_rows(plan), strict=True)}
    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold inspection plan",
        "answer": plan_lede(plan),
        "asked": asked_json(plan.asked),
        "age_years": plan.age,
        "currency": plan.costs.currency,
        "readings": [_reading(one) | {"words": to_plain(words[id(one)])} for one in plan.readings],
        "considered": [_reading(one) for one in plan.considered],
        "unweighed": list(plan.unweighed),
        "stops": to_plain(stop_rows(plan)),
        "assumed": [{"what": what, "taken": taken, "because": why} for what, taken, why in assumed],
        "mark": turns_on("plan", invented=plan.costs.invented).mark.value,
        "version": plan.version,
        "seed": plan.seed,
        "draws": plan.draws,
    }


def _reading(one: PlannedReading) -> dict[str, Any]:
    return {
        "joints": list(one.life.ids),
        "part": one.part.id,
        "face": None if one.face is None else one.face.face,
        "measured": one.measured,
        "method": one.method,
        "spots": one.spots,
        "expected": to_plain(one.expected),
        "cost": one.cost,
        "worth": one.worth,
        "adds": one.adds,
        "turns": one.turns,
        "leaves_pits_out": one.life.leaves_pits_out,
        "joints_turned": one.joints_turned,
        "shows_unsafe": one.unsafe,
        "answers": to_plain(list(one.answers)),
    }
