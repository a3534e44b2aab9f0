"""Whether the pieces that were measured pass, with what the gauge leaves uncertain."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.inspect.sampling import Plan, Standard, fact
from longhold.inspect.spreads import gauge_row
from longhold.labels.catalogue import coats_of
from longhold.labels.conversions import convert
from longhold.labels.demand import read_demand
from longhold.labels.read import read_label

__all__ = [
    "Criterion",
    "Decision",
    "Gauge",
    "Judgement",
    "Limits",
    "Specimen",
    "judge",
    "limits_of_demand",
    "limits_of_label",
]

Decision = Literal["accept", "reject", "measure_again", "too_few", "refer"]
Held = Literal["passes", "fails", "open"]


@dataclass(frozen=True)
class Limits:
    """What a lot must show.

    Attributes
    ----------
    mean_um : that the mean must reach [um]
    each_um : that every single specimen must reach [um]; None where it is not told
    words : where the two come from
    mark : of the figures
    magnetic : whether a magnetic gauge can measure the coat: zinc on steel that is magnetic
    """

    mean_um: float
    each_um: float | None
    words: str
    mark: Mark
    magnetic: bool = True


@dataclass(frozen=True)
class Gauge:
    """Uncertainty of one gauge: a share of what it shows, or so many micrometers, whichever is more.

    It is taken as an offset that all readings share, so that more readings do not make it smaller.
    """

    share: float
    least_um: float
    mark: Mark

    @classmethod
    def usual(cls) -> Gauge:
        """What is taken where its user states none."""
        row = gauge_row("zinc")
        return cls(row["share"], row["least"], row["mark"])

    def of(self, value_um: float) -> float:
        """Uncertainty of a value [um].

        >>> Gauge.usual().of(5.0), Gauge.usual().of(80.0)
        (1.5, 8.0)
        """
        return max(self.share * value_um, self.least_um)

    def bounds(self, limit_um: float) -> tuple[float, float]:
        """Below the first a value fails, from the second on it passes, between them it is open [um].

        >>> [round(one, 1) for one in Gauge(0.1, 1.5, Mark.OWN).bounds(75.0)]
        [68.2, 83.3]
        """
        fails = min(limit_um / (1.0 + self.share), limit_um - self.least_um)
        passes = max(limit_um / (1.0 - self.share), limit_um + self.least_um)
        return max(fails, 0.0), passes


@dataclass(frozen=True)
class Specimen:
    """One specimen with its readings.

    Attributes
    ----------
    piece, name : which piece; which of its specimens, blank where it has one
    readings_um : what the gauge showed [um]
    """

    piece: str
    name: str
    readings_um: tuple[float, ...]

    @property
    def mean_um(self) -> float:
        """Mean of its readings [um]."""
        return float(np.mean(self.readings_um))


@dataclass(frozen=True)
class Criterion:
    """One thing that is asked.

    Attributes
    ----------
    what : in words
    value_um, limit_um : found and asked [um]
    by_rule : whether the value as shown reaches the limit
    with_gauge : whether it does whatever the gauge's error is, or fails so, or stays open
    """

    what: str
    value_um: float
    limit_um: float
    uncertainty_um: float
    by_rule: bool
    with_gauge: Held


@dataclass(frozen=True)
class Judgement:
    """What was found, and what follows.

    Attributes
    ----------
    decision : accept, reject, measure_again, too_few (nothing is decided) or refer
    why : in a sentence
    by_rule : whether the standard's rule is met by the readings as shown; None without a decision
    criteria : each that was held, the mean first
    mean_um, least_um : of all specimens [um]
    spread_um : standard deviation between the means of pieces [um]; None for fewer than three pieces
    warnings : what the gauge cannot tell
    """

    decision: Decision
    why: str
    by_rule: bool | None
    criteria: tuple[Criterion, ...]
    mean_um: float
    least_um: float
    spread_um: float | None
    warnings: tuple[str, ...]


def limits_of_label(
    text: str, *, item: str | None = None, thickness_mm: float | None = None, diameter_mm: float | None = None
) -> Limits:
    """What a label asks of the mean and of each specimen.

    Raises
    ------
    InputError : it cannot be read, leaves open which coat, or promises none that a gauge could measure

    >>> limits_of_label("ASTM A123, plate 5 mm").mean_um
    75.0
    """
    told = read_label(text, item=item, thickness_mm=thickness_mm, diameter_mm=diameter_mm)
    figures = {(one.coat.nominal_um, one.coat.least_um) if one.coat else None for one in told.readings}
    if len(figures) > 1:
        do = told.question or "Write the class or grade, or the size."
        where = told_here(command="--label", page="label")
        raise InputError(Problem(where, text, "may ask several thicknesses.", do))
    coat, protection = told.readings[0].coat, told.protection
    if coat is None or (coat.nominal_um is None and coat.least_um is None):
        said = f"promises {protection.designation}: no thickness of a coat that could be measured."
        where = told_here(command="--label", page="label")
        do = told_here(
            command="Name the coat, or the thickness with --least.",
            page="Name the coat, or write the thickness under 'Or what must be there'.",
            program="Name the coat, or the thickness as least.",
        )
        raise InputError(Problem(where, text, said, do))
    mean = coat.nominal_um if coat.nominal_um is not None else coat.least_um
    magnetic = protection.base_metal in {"carbon_steel", "weathering_steel"}
    return Limits(float(mean or 0.0), coat.least_um, protection.designation, coat.mark, magnetic)


def limits_of_demand(text: str, standard: Standard) -> Limits:
    """What a demand asks: of A123 the figure is a grade; else of the mean, and of each where it tells both.

    A mean alone is asked of every specimen too.

    Raises
    ------
    InputError : it cannot be read, is a mass, or is no grade of A123
    """
    demand = read_demand(text)
    if demand.by_mass:
        do = "Write the thickness that the standard gives for it, such as 45 um."
        where = told_here(command="--least", page="least")
        raise InputError(Problem(where, text, "is a mass, and a gauge reads a thickness.", do))
    mean = convert(demand.amount, demand.unit, "um")
    each = None if demand.single is None else convert(demand.single, demand.unit, "um")
    if standard.rule == "grade_lower" and each is None:
        for coat in coats_of(standard.key):
            if coat.nominal_um is not None and abs(coat.nominal_um - mean) < 0.5:
                return Limits(coat.nominal_um, coat.least_um, coat.designation, coat.mark)
        grades = ", ".join(f"{coat.nominal_um:g}" for coat in coats_of(standard.key))
        where = told_here(command="--least", page="least")
        raise InputError(Problem(where, text, f"is no grade of {standard.name}: those are {grades} um."))
    words = f"{mean:.3g} µm of the mean" + (f", {each:.3g} µm of each specimen" if each is not None else "")
    if each is None:
        words = f"{mean:.3g} µm, of the mean and of each specimen"
    return Limits(mean, mean if each is None else each, f"as demanded: {words}", Mark.VERIFIED)


def judge(plan: Plan, limits: Limits, specimens: Sequence[Specimen], gauge: Gauge | None = None) -> Judgement:
    """Judge the specimens of a lot.

    Parameters
    ----------
    specimens : at least one, each with at least one reading
    gauge : its uncertainty; the usual one unless given

    Raises
    ------
    InputError : no specimen
    """
    if not specimens:
        raise InputError(Problem("readings", None, "holds no reading.", "Measure the pieces of the plan."))
    gauge = gauge or Gauge.usual()
    by_piece: dict[str, list[Specimen]] = {}
    for one in specimens:
        by_piece.setdefault(one.piece, []).append(one)
    criteria = tuple(_criteria(plan, limits, by_piece, gauge))
    means = [float(np.mean([one.mean_um for one in some])) for some in by_piece.values()]
    by_rule = all(one.by_rule for one in criteria)
    decision, why = _decided(plan, limits, by_piece, criteria)
    return Judgement(
        decision,
        why,
        None if decision in ("too_few", "refer") else by_rule,
        criteria,
        float(np.mean(means)),
        min(one.mean_um for one in specimens),
        float(np.std(means, ddof=1)) if len(means) >= 3 else None,
        tuple(_warnings(limits, gauge)),
    )


def _criteria(
    plan: Plan, limits: Limits, by_piece: Mapping[str, Sequence[Specimen]], gauge: Gauge
) -> list[Criterion]:
    found = []
    if plan.standard.rule == "grade_lower" and plan.specimens > 1:
        found += [
            _held(
                f"mean of piece {piece}", float(np.mean([one.mean_um for one in some])), limits.mean_um, gauge
            )
            for piece, some in by_piece.items()
        ]
    else:
        mean = float(np.mean([np.mean([one.mean_um for one in some]) for some in by_piece.values()]))
        found.append(_held("mean of the sample", mean, limits.mean_um, gauge))
    if limits.each_um is not None:
        for some in by_piece.values():
            for one in some:
                name = f"piece {one.piece}" + (f", specimen {one.name}" if one.name else "")
                found.append(_held(name, one.mean_um, limits.each_um, gauge))
    return found


def _held(what: str, value: float, limit: float, gauge: Gauge) -> Criterion:
    uncertainty = gauge.of(value)
    held: Held = (
        "passes" if value - uncertainty >= limit else "fails" if value + uncertainty < limit else "open"
    )
    return Criterion(what, value, limit, uncertainty, value >= limit, held)


def _decided(
    plan: Plan, limits: Limits, by_piece: Mapping[str, Sequence[Specimen]], criteria: Sequence[Criterion]
) -> tuple[Decision, str]:
    if not limits.magnetic:
        return "refer", "A magnetic gauge cannot measure a coat on metal that is not magnetic."
    if plan.standard.rule in ("refer", "letters"):
        return "refer", f"By which rule pieces pass under {plan.standard.name} is not held here."
    if plan.pieces is None:
        told = told_here(
            command="--pieces", page="Pieces to measure, if agreed, takes their number", program="pieces"
        )
        return "refer", f"{plan.refer[0][:1].upper()}{plan.refer[0][1:]} ({told})."
    if short := _short(plan, by_piece):
        return "too_few", short
    failed = [one for one in criteria if one.with_gauge == "fails"]
    if failed:
        told = "; ".join(f"{one.what} {one.value_um:.1f} µm of {one.limit_um:g} µm" for one in failed[:4])
        return "reject", f"Below what is asked even with the gauge's uncertainty added: {told}."
    unsure = [one for one in criteria if one.with_gauge == "open"]
    if unsure:
        told = "; ".join(
            f"{one.what} {one.value_um:.1f} ± {one.uncertainty_um:.1f} µm of {one.limit_um:g} µm"
            for one in unsure[:4]
        )
        return "measure_again", f"Within the gauge's uncertainty of what is asked: {told}."
    return "accept", "Everything that is asked is met even with the gauge's uncertainty taken off."


def _short(plan: Plan, by_piece: Mapping[str, Sequence[Specimen]]) -> str:
    """What is missing of the plan; blank where nothing is."""
    told = []
    if (missing := (plan.pieces or 0) - len(by_piece)) > 0:
        told.append(f"{missing} of {plan.pieces} pieces were not measured")
    few = [piece for piece, some in by_piece.items() if len(some) < plan.specimens]
    if few:
        told.append(f"{_named(few)} has fewer than {plan.specimens} specimens")
    asked = plan.readings
    if asked is not None:
        low = [piece for piece, some in by_piece.items() if any(len(one.readings_um) < asked for one in some)]
        if low:
            told.append(f"{_named(low)} has a specimen with fewer than {asked} readings")
    return f"Nothing is decided: {'; '.join(told)}." if told else ""


def _named(pieces: Sequence[str]) -> str:
    more = f" and {len(pieces) - 5} more" if len(pieces) > 5 else ""
    return f"piece {', '.join(pieces[:5])}{more}"


def _warnings(limits: Limits, gauge: Gauge) -> list[str]:
    least = limits.mean_um if limits.each_um is None else min(limits.each_um, limits.mean_um)
    share = gauge.of(least) / least
    if share < fact("gauge", "too_coarse"):
        return []
    return [
        f"The gauge's {gauge.of(least):.2g} µm is {100 * share:.0f} % of {least:g} µm: a magnetic gauge "
        "cannot judge so thin a coat by one reading. Have it dissolved (coulometric), or cut and looked at "
        "under a microscope."
    ]


def weakest_of(plan: Plan, limits: Limits, gauge: Gauge) -> Mark:
    """Weakest mark that a decision rests on."""
    return weakest([plan.mark, limits.mark, gauge.mark])
