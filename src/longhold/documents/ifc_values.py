"""What is written into a building model about a part: the standard's places first, then a set of ours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor, isfinite
from typing import TYPE_CHECKING

from longhold.assessment.bar import bar_words
from longhold.documents.figures import BEYOND_YEARS, years
from longhold.documents.lives import deciding, deciding_end, strength_horizon
from longhold.documents.words import CAUTION, MARK_MEANINGS, outcome_words, verdict_words
from longhold.model.damage import damages

if TYPE_CHECKING:
    import datetime

    from longhold.assessment.findings import Assessment, JointFinding, PartFinding
    from longhold.forecast.summary import Band
    from longhold.model.parts import Part
    from longhold.model.protection import Protection

__all__ = ["IfcValue", "duration", "forecast_values", "standard_values"]

_MONTHS = 12


@dataclass(frozen=True)
class IfcValue:
    """One property.

    Attributes
    ----------
    name : of the property
    measure : type of its values in the schema
    values : one; or several of a list; or lower bound, set point and upper bound, where None is none
    form : single, list, enumerated or bounded
    """

    name: str
    measure: str
    values: tuple[str | float | int | None, ...]
    form: str = "single"


def duration(years_: float) -> str:
    """Years as the standard writes a duration, to the month.

    >>> duration(12.5), duration(0.2)
    ('P12Y6M', 'P0Y2M')
    """
    months = floor(years_ * _MONTHS + 0.5)
    return f"P{months // _MONTHS}Y{months % _MONTHS}M"


def standard_values(
    finding: JointFinding, part: PartFinding, given: Part, design_life: float, schema: str
) -> dict[str, tuple[IfcValue, ...]]:
    """Sets of the standard -> what of them is known to be true of a part.

    ``Pset_Condition`` is filled only with damage that a person stated: a forecast is no inspection. The
    target of ``Pset_MaintenanceTriggerDuration``, which IFC4.3 has, is the design life.
    """
    found: dict[str, tuple[IfcValue, ...]] = {}
    if treatment := _treatment(part):
        found["Pset_ElementComponentCommon"] = (
            IfcValue("CorrosionTreatment", "IfcLabel", treatment, "enumerated"),
        )
    bounds = _bounds(_part_band(finding, part))
    if any(one is not None for one in bounds):
        found["Pset_ServiceLife"] = (IfcValue("ServiceLifeDuration", "IfcDuration", bounds, "bounded"),)
    if given.damage:
        words = ", ".join(damages()[name].words for name in given.damage)
        text = f"Stated by a person to Longhold, date not stated: {words}."
        found["Pset_Condition"] = (IfcValue("AssessmentDescription", "IfcText", (text,)),)
    if schema == "IFC4X3":
        found["Pset_MaintenanceTriggerDuration"] = (
            IfcValue("DurationTargetPerformance", "IfcDuration", (duration(design_life),)),
        )
    return found


def forecast_values(
    assessment: Assessment, finding: JointFinding, part: PartFinding, as_of: datetime.date
) -> tuple[IfcValue, ...]:
    """Everything that our own set says of a part."""
    return (
        *_of_joint(assessment, finding),
        *_of_part(finding, part),
        *_of_run(assessment, as_of),
    )


def _of_joint(assessment: Assessment, finding: JointFinding) -> Iterator[IfcValue]:
    yield _label("Outcome", outcome_words(finding.outcome))
    yield _text("Answer", finding.answer)
    yield _text("Why", finding.why)
    yield _label("Joint", f"{finding.joint.id} {finding.joint.name}")
    yield _text("JointLife", deciding_end(finding))
    yield IfcValue("DesignLifeYears", "IfcReal", (float(assessment.structure.design_life),))
    chance = deciding(finding)[1]
    if chance is not None:
        yield IfcValue("ChanceOfDesignLife", "IfcNormalisedRatioMeasure", (round(float(chance), 4),))
    asked = assessment.structure.target_chance
    yield IfcValue("ChanceAsked", "IfcNormalisedRatioMeasure", (float(asked),))
    yield _text("ReachedAndAsked", bar_words(finding, assessment.structure))
    if finding.enough:
        yield _text("EnoughWouldBe", finding.enough)
    yield _text("WeakestMark", f"{finding.mark.value}: {MARK_MEANINGS[finding.mark]}")
    yield from _list("AssumedForJoint", [f"{one.where}: {one.value}" for one in finding.assumptions])


def _of_part(finding: JointFinding, part: PartFinding) -> Iterator[IfcValue]:
    yield _label("Part", part.id)
    yield _text("LabelAsGiven", part.label)
    yield _text("LabelReadAs", part.protection.designation)
    if part.question:
        yield _text("LabelQuestion", part.question)
    if (zinc := part.protection.zinc) is not None:
        for name, value in (
            ("ZincLeastUm", zinc.least_um),
            ("ZincNominalUm", zinc.nominal_um),
            ("ZincLeastGramPerM2", zinc.least_g_m2),
            ("ZincNominalGramPerM2", zinc.nominal_g_m2),
        ):
            if value is not None:
                yield IfcValue(name, "IfcReal", (float(value),))
    if part.governing is not None:
        yield _text("GoverningFace", part.governing.words)
    yield from _band("ProtectionEndsYears", part.protection_years, BEYOND_YEARS)
    if part.strength is not None:
        yield from _band("StrengthEndsYears", part.strength.years, strength_horizon(finding))
        for name in ("p10", "p50", "p90"):
            ratio = round(float(getattr(part.strength.ratio, name)), 4)
            yield IfcValue(f"StrengthLeftRatio{name.upper()}", "IfcReal", (ratio,))
    clauses = ", ".join(dict.fromkeys(one.clause for one in part.code.deciding if one.clause))
    verdict = verdict_words(part.code.verdict)
    yield _text("Code", f"{verdict}: {clauses}" if clauses else verdict)
    yield from _list("NotComputed", part.refer)


def _of_run(assessment: Assessment, as_of: datetime.date) -> Iterator[IfcValue]:
    structure = assessment.structure
    yield _text("Nature", CAUTION)
    yield IfcValue("AsOf", "IfcDate", (as_of.isoformat(),))
    yield _label("Structure", structure.name)
    yield _label("CodePack", f"{structure.code.pack} {structure.code.edition}"[:255])
    yield from _list("Models", assessment.models)
    yield from _list("Assumed", [f"{one.where}: {one.value}" for one in assessment.assumptions])
    told = (f"{source.title} ({', '.join(marks)})" for source, marks in assessment.sources)
    yield from _list("Sources", tuple(told))
    yield _label("Version", assessment.version)
    yield IfcValue("Seed", "IfcInteger", (assessment.seed,))
    yield IfcValue("Draws", "IfcInteger", (assessment.draws,))
    yield _label("InputsSha256", assessment.inputs_sha256)


def _label(name: str, text: str) -> IfcValue:
    return IfcValue(name, "IfcLabel", (text[:255],))


def _text(name: str, text: str) -> IfcValue:
    return IfcValue(name, "IfcText", (text,))


def _list(name: str, texts: Sequence[str]) -> Iterator[IfcValue]:
    if texts:
        yield IfcValue(name, "IfcText", tuple(texts), "list")


def _band(name: str, band: Band | None, beyond: float) -> Iterator[IfcValue]:
    """Its words, and each end that is reached within what is computed."""
    if band is None:
        return
    yield _text(name.removesuffix("Years"), years(band, beyond))
    for end in ("p10", "p50", "p90"):
        value = float(getattr(band, end))
        if isfinite(value) and value <= beyond:
            yield IfcValue(f"{name}{end.upper()}", "IfcReal", (round(value, 2),))


def _part_band(finding: JointFinding, part: PartFinding) -> tuple[Band | None, float]:
    """Life of the part by the end that decides for its joint, and the age up to which it is known."""
    if finding.decides == "strength":
        return (part.strength.years if part.strength is not None else None), strength_horizon(finding)
    return part.protection_years, BEYOND_YEARS


def _bounds(of: tuple[Band | None, float]) -> tuple[str | None, ...]:
    band, beyond = of
    if band is None:
        return (None, None, None)
    ends = (float(band.p10), float(band.p50), float(band.p90))
    return tuple(duration(end) if isfinite(end) and end <= beyond else None for end in ends)


def _treatment(part: PartFinding) -> tuple[str, ...]:
    """The standard's words for the coat; none where readings of the label differ or it has no word."""
    found = {_treatment_of(one) for one in (part.protection, *part.other_readings)}
    if len(found) != 1 or (("NONE",) in found and part.question):
        return ()
    return found.pop()


def _treatment_of(protection: Protection) -> tuple[str, ...]:
    if protection.base_metal == "stainless" and not protection.layers:
        return ("STAINLESS",)
    if not protection.layers:
        return ("NONE",)
    words = []
    for layer in reversed(protection.layers):
        if layer.kind == "organic":
            words.append("PAINTED")
        elif layer.is_zinc and layer.process in ("mill_dip", "dip_after_making", "spun_dip"):
            words.append("GALVANISED")
        else:
            return ()
    return tuple(dict.fromkeys(words))
