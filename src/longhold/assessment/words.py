"""Answers as sentences: a number first, the reason second, then what would be enough."""

from __future__ import annotations

from longhold.assessment.findings import FaceFinding, JointFinding, PartFinding
from longhold.forecast.summary import Band
from longhold.model.structure import Structure

__all__ = ["answer", "why", "years_words"]

_FAR_YEARS = 200.0


def years_words(band: Band) -> str:
    """A band of years as people say it.

    >>> years_words(Band(9.2, 12.0, 16.4))
    '9 to 16 years'
    >>> years_words(Band(61.0, float("inf"), float("inf")))
    'more than 61 years'
    """
    if band.p10 >= _FAR_YEARS:
        return f"more than {_FAR_YEARS:.0f} years"
    if band.p90 >= _FAR_YEARS:
        return f"more than {_year(band.p10)} years"
    if band.p90 < 1.0:
        return "less than a year"
    if band.p10 < 1.0:
        return f"less than one to {_year(band.p90)} years"
    low, high = _year(band.p10), _year(band.p90)
    return f"about {low} years" if low == high else f"{low} to {high} years"


def answer(finding: JointFinding, structure: Structure) -> str:
    """What happens to this joint, what strength is left, what the code says."""
    said = [*_protection(finding), *_strength(finding, structure), *_code(finding)]
    if finding.enough:
        said.append(f"Enough by code and forecast: {finding.enough}.")
    elif finding.outcome == "fails":
        said.append("Of the hardware tried, none is enough within what is computed: ask a specialist.")
    if not said:
        reasons = [reason for part in finding.parts for reason in part.refer]
        said = [
            f"Longhold does not compute this joint: {reasons[0]}." if reasons else "Nothing is computed here."
        ]
    return " ".join(said)


def why(finding: JointFinding, structure: Structure) -> str:
    """The part, the face and the cause that govern."""
    said = []
    part = _part(finding, finding.weakest_part)
    if part is not None and (face := part.governing) is not None:
        said.append(
            f"The {face.words} of the {part.kind_words} governs, "
            f"{'in the air' if face.touches == 'air' else 'in the wood'}: "
            f"{_metal_gone(face, _solid_um(finding, part))} at {structure.design_life:g} years."
        )
    said += [
        f"{couple.first} and {couple.second} are of different metals. {couple.reason}"
        for couple in finding.couples
    ]
    said += [f"{part.kind_words.capitalize()}: {part.question}" for part in finding.parts if part.question]
    if finding.cause is not None:
        said.append(f"What matters most: {finding.cause.words}.")
    return " ".join(said)


def _solid_um(finding: JointFinding, part: PartFinding) -> float:
    """Metal that one face can lose before the part is through [um]: the sheet, or half the shank."""
    size = next(one for one in finding.joint.parts if one.id == part.id).measures
    return 1000.0 * (size.thickness_mm or (size.diameter_mm or 0.0) / 2.0) or float("inf")


def _metal_gone(face: FaceFinding, solid_um: float) -> str:
    if face.base_loss_um.p50 >= solid_um:
        return "all of its metal is gone"
    return f"{face.base_loss_um.p50:.0f} µm of metal is gone"


def _protection(finding: JointFinding) -> list[str]:
    said = []
    for part in finding.parts:
        face = part.governing
        if face is None or face.protection_years is None:
            continue
        if part.protection.zinc is not None and face.zinc_years is None:
            said.append(f"How much zinc the {part.kind_words} carries is not told, so none is counted.")
        else:
            what = "zinc" if face.zinc_years is not None else "topcoat"
            gone = years_words(part.protection_years or face.protection_years)
            said.append(f"The {part.kind_words}'s {what} is gone in {gone}.")
    return said


def _strength(finding: JointFinding, structure: Structure) -> list[str]:
    part = _part(finding, _weakest_strength(finding))
    if part is None or part.strength is None:
        return []
    strength, life = part.strength, structure.design_life
    if strength.below_when_new:
        return [f"The {part.kind_words} does not carry the demand even when new."]
    ratio = strength.ratio
    if ratio.p10 >= 0.995:
        return [f"At {life:g} years the {part.kind_words} has lost no strength to loss of metal."]
    left = f"{_percent(ratio.p50)} % ({_percent(ratio.p10)} to {_percent(ratio.p90)} %)"
    return [
        f"At {life:g} years {left} of the {part.kind_words}'s strength is left; "
        f"the chance to stay above {strength.ends_words} is {_chance(strength.chance)}."
    ]


def _percent(share: float) -> str:
    return f"{100 * share:.0f}"


def _code(finding: JointFinding) -> list[str]:
    refused: dict[tuple[str, str], list[PartFinding]] = {}
    for part in finding.parts:
        if part.code.verdict == "fail" and part.code.deciding:
            key = (f"{part.code.title} {part.code.edition}", part.code.deciding[0].clause)
            refused.setdefault(key, []).append(part)
    said = []
    for (code, clause), parts in refused.items():
        words = " nor ".join(f"the {part.kind_words}'s {part.protection.designation}" for part in parts)
        verb = "does not allow" if len(parts) == 1 else "allows neither"
        said.append(f"{code}, {clause}, {verb} {words} here.")
    return said


def _weakest_strength(finding: JointFinding) -> str | None:
    known = [part for part in finding.parts if part.strength is not None]
    lowest = min(known, key=lambda part: (part.strength.chance, part.strength.ratio.p50), default=None)  # type: ignore[union-attr]
    return None if lowest is None else lowest.id


def _part(finding: JointFinding, part_id: str | None) -> PartFinding | None:
    return next((part for part in finding.parts if part.id == part_id), None)


def _year(years: float) -> str:
    return f"{years:.0f}" if years >= 2 else f"{years:.1f}"


def _chance(chance: float) -> str:
    if chance > 0.99:
        return "over 99 %"
    return "under 1 %" if chance < 0.01 else f"{100 * chance:.0f} %"
