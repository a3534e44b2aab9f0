"""Plan, decision and repair limits in words, one row for each thing that was held."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from longhold.documents.words import plural, upper_first
from longhold.inspect.acceptance import Decision, Gauge, Judgement, Limits
from longhold.inspect.operating_curve import BadPieces, MeanCurve, chance_by_bad
from longhold.inspect.repair import Repair
from longhold.inspect.sampling import Plan

__all__ = [
    "DECISIONS",
    "RECORD_CAUTION",
    "bad_words",
    "criterion_rows",
    "gauge_words",
    "limit_words",
    "percent_words",
    "plan_lines",
    "repair_lines",
    "risk_lines",
]

RECORD_CAUTION = (
    "A record of a check, not a certificate of conformity: pieces that were not measured were not checked."
)
DECISIONS: Mapping[Decision, str] = {
    "accept": "Accept the lot",
    "reject": "Reject the lot",
    "measure_again": "Measure again",
    "too_few": "No decision",
    "refer": "Refer: no decision here",
}
_HELD = {"passes": "passes", "fails": "fails", "open": "measure again"}
_VERDICTS = {
    "allowed": "may be repaired",
    "not_allowed": "may not be repaired",
    "refer": "refer: not decided",
}


def plan_lines(plan: Plan) -> tuple[tuple[str, str], ...]:
    """What is to be measured, as (name, value)."""
    name = f"{plan.standard.name}, edition {plan.standard.edition}".removesuffix(", edition ")
    lines = [("Standard", name), ("Lot", plural(plan.lot, "piece"))]
    if plan.pieces is not None:
        every = ", every one" if plan.pieces == plan.lot else ""
        how = " (agreed)" if plan.agreed else ""
        lines.append(("Measure", f"{plural(plan.pieces, 'piece')}{every}{how}"))
        if plan.letter:
            lines.append(("Code letter", f"{plan.letter}, general level II"))
        lines.append(("Each piece", plural(plan.specimens, "specimen")))
        if plan.readings is not None:
            told = f"{plan.readings} readings, widely spread, in each specimen"
            lines.append(("Readings", f"{told}: {plan.pieces * plan.specimens * plan.readings:,} in all"))
        else:
            lines.append(("Readings", "how many in each specimen is not held here: refer to the standard"))
    if plan.adhesion is not None:
        lines.append(("Adhesion", plural(plan.adhesion, "piece")))
    if plan.appearance is not None:
        lines.append(("Appearance", f"{plural(plan.appearance, 'piece')}; no defect passes"))
    lines += [("Refer", f"{upper_first(one)}.") for one in plan.refer]
    lines += [("Note", one) for one in plan.notes]
    return tuple(lines)


def limit_words(limits: Limits) -> str:
    """What is asked of mean and specimens, in a sentence."""
    each = f"; every specimen at least {limits.each_um:g} µm" if limits.each_um is not None else ""
    return f"mean at least {limits.mean_um:g} µm{each} ({limits.words})"


def gauge_words(gauge: Gauge) -> str:
    """Uncertainty of the gauge, with its mark."""
    parts = []
    if gauge.share:
        parts.append(f"{100 * gauge.share:g} % of what it shows")
    if gauge.least_um:
        parts.append(f"{gauge.least_um:g} µm")
    told = " or ".join(parts) + (", the larger" if len(parts) > 1 else "")
    return f"{told or 'none'} [{gauge.mark.value}]"


def criterion_rows(found: Judgement) -> tuple[tuple[str, str, str, str, str], ...]:
    """Each thing held: what, found with its uncertainty, asked, by the rule alone, with the gauge."""
    return tuple(
        (
            upper_first(one.what),
            f"{one.value_um:.1f} ± {one.uncertainty_um:.1f}",
            f"{one.limit_um:g}",
            "passes" if one.by_rule else "fails",
            _HELD[one.with_gauge],
        )
        for one in found.criteria
    )


def risk_lines(curve: MeanCurve | None, limits: Limits) -> tuple[str, ...]:
    """What the plan risks, in sentences."""
    if curve is None:
        return ()
    how = (
        "as measured between these few pieces"
        if curve.measured
        else "assumed [own]: fewer than 3 were measured"
    )
    lines = [f"Spread between pieces: {100 * curve.spread_share:.0f} % of the mean, {how}."]
    _, accepted, kept = curve.at(limits.mean_um)
    lines.append(
        f"A lot whose true mean is just {limits.mean_um:g} µm is accepted in {percent_words(accepted)} of "
        f"cases, refused in {percent_words(1.0 - kept)} and measured again in "
        f"{percent_words(kept - accepted)}."
    )
    if (sure := curve.mean_at(0.95)) is not None:
        lines.append(f"To be accepted in 95 of 100 cases its true mean must be {sure:.0f} µm.")
    if (risk := curve.mean_at(0.10)) is not None:
        lines.append(f"A lot with a true mean of {risk:.0f} µm is still accepted in 10 of 100 cases.")
    return tuple(lines)


def bad_words(found: BadPieces) -> str:
    """How many bad pieces a lot may hold unseen, in a sentence."""
    told = []
    for share in (0.05, 0.2, 0.5):
        bad = round(share * found.lot)
        if bad >= 1:
            missed = float(chance_by_bad(found.lot, found.pieces, np.array([bad]))[0])
            told.append(f"{bad:,} of {found.lot:,} in {percent_words(missed)} of cases")
    if not told:
        return "Every bad piece is seen: all are measured."
    return f"None of the {plural(found.pieces, 'piece')} shows it where these are bad: {', '.join(told)}."


def percent_words(chance: float) -> str:
    """A chance, its ends told as under or over.

    >>> percent_words(0.004), percent_words(0.5), percent_words(1.0)
    ('under 1 %', '50 %', '100 %')
    """
    if chance < 0.005:
        return "under 1 %" if chance > 1e-9 else "0 %"
    return "over 99 %" if 0.995 <= chance < 1.0 - 1e-9 else f"{100 * chance:.0f} %"


def repair_lines(found: Repair) -> tuple[tuple[str, str], ...]:
    """What the limits say of bare spots, as (name, value), the verdict first."""
    marks = {True: "kept", False: "broken", None: "not told"}
    lines = [("Verdict", f"The spots {_VERDICTS[found.verdict]}.")]
    lines.append(("Standard", f"{found.standard.name}, edition {found.edition} [{found.mark.value}]"))
    for one in found.limits:
        words = upper_first(one.words)
        lines.append(("Limit", f"{words}: {marks[one.held]} [{one.mark.value}]."))
    if found.thickness:
        lines.append(("Repair", f"{upper_first(found.thickness)}."))
    return (*lines, *(("Refer", f"{one}.") for one in found.refer))
