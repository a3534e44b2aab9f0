"""Decisions on joints that stand, as JSON for other programs: stable and finite."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from longhold.documents.decide_view import assumed_rows, decide_lede, decision_rows
from longhold.documents.exchange import SCHEMA_VERSION, to_plain
from longhold.documents.thresholds_view import turns_on
from longhold.inspect.decide import safe_actions

if TYPE_CHECKING:
    from longhold.inspect.decide import Asked, Decision, Decisions, Turned

__all__ = ["asked_json", "decide_json"]


def decide_json(found: Decisions, turns: Sequence[Turned] | None, *, stated_next: bool) -> dict[str, Any]:
    """Decisions as plain objects, with the same told in words.

    Parameters
    ----------
    turns : what readings turn; None where there are none
    stated_next : whether the time to the next visit was stated
    """
    each = {one.prospect.life.ids: one for one in found.each}
    assumed = assumed_rows(found, stated_next=stated_next)
    return {
        "schema_version": SCHEMA_VERSION,
        "kind": "longhold decisions",
        "answer": decide_lede(found, turns),
        "asked": asked_json(found.asked),
        "age_years": found.age,
        "horizon_years": found.horizon_years,
        "currency": found.costs.currency,
        "decisions": [
            {
                "joints": list(row.ids),
                "quantity": row.quantity,
                "answer": row.kind,
                "below_now": each[row.ids].prospect.below_now,
                "leaves_pits_out": each[row.ids].prospect.life.leaves_pits_out,
                "below_next": each[row.ids].prospect.below_next,
                "below": dict(each[row.ids].prospect.below),
                "may_be_done": _may_be_done(each[row.ids], found.asked),
                "expected_cost_each": each[row.ids].mean_costs,
                "refer": list(each[row.ids].prospect.life.refer),
                "words": to_plain(row),
            }
            for row in decision_rows(found, turns or ())
        ],
        "turned": None if turns is None else to_plain(list(turns)),
        "assumed": [{"what": what, "taken": taken, "because": why} for what, taken, why in assumed],
        "mark": turns_on("decisions", invented=found.costs.invented).mark.value,
        "version": found.version,
        "seed": found.seed,
        "draws": found.draws,
    }


def _may_be_done(one: Decision, asked: Asked) -> list[str]:
    """Things among which cost decides; none where it is to be made safe, or is undecided."""
    if one.answer in ("make_safe", "refer"):
        return []
    return list(safe_actions(one.prospect, one.prospect.below, asked.most_below))


def asked_json(asked: Asked) -> dict[str, Any]:
    """The question."""
    return {
        "on": asked.on.isoformat(),
        "next_years": asked.next_years,
        "limit": asked.most_below,
        "limit_stated": asked.limit is not None,
    }
