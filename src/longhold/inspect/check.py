"""One check of a lot as a whole: plan, limits, readings, decision and risk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from longhold.base.marks import Mark, weakest
from longhold.inspect.acceptance import Gauge, Judgement, Limits, Specimen, judge
from longhold.inspect.operating_curve import BadPieces, MeanCurve, bad_pieces, mean_curve
from longhold.inspect.sampling import Plan, fact

__all__ = ["LotCheck", "check_lot"]


@dataclass(frozen=True)
class LotCheck:
    """A check, done or still to be done.

    Attributes
    ----------
    plan, limits, gauge : what is asked, and with what it is measured
    specimens : with their readings; empty where nothing is measured yet
    judgement : what follows from them; None where nothing is measured yet
    bad : chance to draw no bad piece; None where the number of pieces is not held
    curve : chance of acceptance against the true mean; None where number or rule is not held
    mark : weakest of all that it rests on
    """

    plan: Plan
    limits: Limits
    gauge: Gauge
    specimens: tuple[Specimen, ...]
    judgement: Judgement | None
    bad: BadPieces | None
    curve: MeanCurve | None
    mark: Mark


def check_lot(
    plan: Plan, limits: Limits, specimens: Sequence[Specimen] = (), gauge: Gauge | None = None
) -> LotCheck:
    """Judge a lot and draw up what the plan risks.

    Parameters
    ----------
    specimens : none where the plan alone is asked for
    gauge : its uncertainty; the usual one unless given

    Raises
    ------
    InputError : as of ``judge``
    """
    gauge = gauge or Gauge.usual()
    found = judge(plan, limits, specimens, gauge) if specimens else None
    measured = found is not None and found.spread_um is not None and found.spread_um > 0.0
    share = (
        found.spread_um / found.mean_um if measured and found and found.spread_um else fact("spread", "share")
    )
    by_rule = plan.standard.rule in ("grade_lower", "mean_and_each")
    bad = curve = None
    if plan.pieces is not None:
        bad = bad_pieces(plan.lot, plan.pieces)
        if by_rule and limits.magnetic:
            alone = replace(limits, each_um=limits.mean_um) if _each_piece_alone(plan) else limits
            curve = mean_curve(plan.pieces, alone, gauge, spread_share=share, measured=measured)
    mark = weakest([plan.mark, limits.mark, gauge.mark, *([] if measured or curve is None else [Mark.OWN])])
    return LotCheck(plan, limits, gauge, tuple(specimens), found, bad, curve, mark)


def _each_piece_alone(plan: Plan) -> bool:
    """Whether the mean of each piece must reach what is asked, not that of the sample."""
    return plan.standard.rule == "grade_lower" and plan.specimens > 1
