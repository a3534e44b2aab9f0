"""A checked delivery and a checked lot as JSON, every number with its unit in its name."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from longhold.base.version import VERSION
from longhold.documents.exchange import to_plain
from longhold.documents.receipt_words import EffectRow
from longhold.inspect.check import LotCheck
from longhold.inspect.consequence import JointEffect
from longhold.inspect.delivery import CheckedLine, Receipt
from longhold.inspect.instead import Instead

__all__ = ["lot_json", "receipt_json"]


def receipt_json(
    found: Receipt,
    effects: Sequence[EffectRow] = (),
    notes: Sequence[str] = (),
    instead: Sequence[Instead] | None = None,
) -> dict[str, Any]:
    """A checked delivery.

    Parameters
    ----------
    effects : what refused lines would do, in words; empty where that was not asked
    notes : what is said of order and delivery
    instead : what may take the place of lines refused for their metal; None where that was not asked
    """
    return {
        "kind": "longhold receipt",
        "version": VERSION,
        "order": found.order.name,
        "whole": found.whole,
        "lines": [_line(one) for one in found.lines],
        "missing": [{"line": one.words, "quantity": one.quantity} for one in found.missing],
        "effects": [one._asdict() for one in effects],
        "instead": None if instead is None else [_instead(one) for one in instead],
        "notes": list(notes),
    }


def _line(one: CheckedLine) -> dict[str, Any]:
    came = one.delivered
    return {
        "where": came.where,
        "item": came.item,
        "kind": came.kind,
        "size": came.size,
        "label": came.label,
        "quantity": came.quantity,
        "certificate": came.certificate,
        "edition": came.edition,
        "verdict": one.verdict,
        "reasons": list(one.reasons),
        "mends": list(one.mends),
        "answers": "" if one.ordered is None else one.ordered.words,
    }


def _instead(one: Instead) -> dict[str, Any]:
    return {
        "where": one.line.delivered.where,
        "item": one.offer.item,
        "label": one.offer.label,
        "as_ordered": one.as_ordered,
        "packs": one.packs,
        "pieces_a_pack": one.offer.pack,
        "cost": one.cost,
        "more_than_ordered": one.more,
        "currency": one.offer.currency,
        "joints": [_joint(each) for each in one.joints],
    }


def _joint(one: JointEffect) -> dict[str, Any]:
    (chance_ordered, chance), (years_ordered, years) = one.chances, one.years
    return {
        "joint": one.came.joint.id,
        "chance_as_ordered": chance_ordered,
        "chance_with_it": chance,
        "years_as_ordered": to_plain(years_ordered),
        "years_with_it": to_plain(years),
    }


def lot_json(found: LotCheck) -> dict[str, Any]:
    """A checked lot: plan, limits, gauge, and the decision where there are readings."""
    plan, limits = found.plan, found.limits
    return {
        "kind": "longhold lot",
        "version": VERSION,
        "standard": plan.standard.name,
        "edition": plan.standard.edition,
        "lot": plan.lot,
        "plan": {
            "pieces": plan.pieces,
            "specimens_each": plan.specimens,
            "readings_each": plan.readings,
            "letter": plan.letter,
            "adhesion_pieces": plan.adhesion,
            "appearance_pieces": plan.appearance,
            "agreed": plan.agreed,
            "notes": list(plan.notes),
            "refer": list(plan.refer),
        },
        "asked": {"mean_um": limits.mean_um, "each_um": limits.each_um, "words": limits.words},
        "gauge": {"share": found.gauge.share, "least_um": found.gauge.least_um},
        "mark": found.mark.value,
        "judgement": _judgement(found),
    }


def _judgement(found: LotCheck) -> dict[str, Any] | None:
    judged = found.judgement
    if judged is None:
        return None
    return {
        "decision": judged.decision,
        "why": judged.why,
        "by_rule": judged.by_rule,
        "mean_um": judged.mean_um,
        "least_um": judged.least_um,
        "spread_um": judged.spread_um,
        "criteria": [
            {
                "what": one.what,
                "value_um": one.value_um,
                "limit_um": one.limit_um,
                "uncertainty_um": one.uncertainty_um,
                "by_rule": one.by_rule,
                "with_gauge": one.with_gauge,
            }
            for one in judged.criteria
        ],
        "warnings": list(judged.warnings),
    }
