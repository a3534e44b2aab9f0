"""Answers as sentences: a number first, the reason second, then what would be enough."""

from __future__ import annotations

from longhold.assessment.beyond_wood import comes_out, comes_out_mostly
from longhold.assessment.capacity import LOAD_UNCHECKED, demand_of
from longhold.assessment.couple_words import couple_words, loss_words
from longhold.assessment.ends import pits_left_out_words, too_weak_when_new
from longhold.assessment.findings import FaceFinding, JointFinding, PartFinding
from longhold.base.quantities import show_force, show_quantity
from longhold.codes.vocabulary import vocabulary
from longhold.forecast.summary import BEYOND_YEARS, Band
from longhold.model.structure import Structure

__all__ = ["answer", "enough_words", "gone_words", "why"]


_ENOUGH_UNTOLD = "What would be enough cannot be told until that is put right."
_BRONZE_UNTOLD = "What bronze carries when new is not in our tables: ask an engineer."


def gone_words(band: Band) -> str:
    """When a layer is gone, as people say it.

    >>> gone_words(Band(9.2, 12.0, 16.4)), gone_words(Band(0.4, 1.2, 2.9))
    ('is gone in 9 to 16 years', 'is gone within 3 years, perhaps in the first')
    >>> gone_words(Band(61.0, float("inf"), float("inf")))
    'lasts at least 61 years (9 draws of 10)'
    """
    if band.p90 >= BEYOND_YEARS:
        return f"lasts at least {_year(min(band.p10, BEYOND_YEARS))} years (9 draws of 10)"
    if band.p90 < 1.0:
        return "is gone within a year"
    if band.p10 < 1.0:
        return f"is gone within {max(band.p90, 2):.0f} years, perhaps in the first"
    low, high = _year(band.p10), _year(band.p90)
    in_words = f"about {low} year{'' if low == '1' else 's'}" if low == high else f"{low} to {high} years"
    return f"is gone in {in_words}"


def enough_words(enough: str, if_accepted: str = "", beside: str = "") -> str:
    """What would be enough, as advice; what to do where nothing that was tried is enough.

    Parameters
    ----------
    if_accepted : stainless below the class asked for that would do but for its pits, as that is accepted
    beside : of a copper alloy, that would do as well

    >>> enough_words("")
    'Of the hardware tried, none is enough within what is computed: ask a specialist.'
    >>> enough_words("316 stainless throughout")
    'Use 316 stainless throughout: no rule forbids it and it should last. How deep pits go is not computed.'
    >>> "ask an engineer" in enough_words("silicon bronze fasteners", if_accepted="316 stainless")
    True
    """
    also = (
        f" As a lower class of stainless is accepted here, {if_accepted} may be bought as well: its class is "
        "too low by EN 1993-1-4, and it may pit."
        if if_accepted
        else ""
    )
    if not enough:
        return "Of the hardware tried, none is enough within what is computed: ask a specialist." + also
    advice = f"Use {enough}: no rule forbids it and it should last."
    if beside:
        advice += f" As should {beside}: compare their prices."
    if "bronze" in enough + beside:
        advice += f" {_BRONZE_UNTOLD}"
    if "stainless" not in enough + if_accepted:
        return advice + also
    return f"{advice}{also} How deep pits go is not computed."


def answer(finding: JointFinding, structure: Structure) -> str:
    """Why it is undecided, if so; what happens to it, what strength is left, what the code says."""
    cannot_tell = _cannot_tell(finding, structure) if finding.outcome == "fails" else []
    said = [
        *cannot_tell,
        *_short_when_new(finding, structure),
        *_out_of_the_wood(finding, structure),
        *_protection(finding),
        *_film(finding),
        *(f"{one[0].upper()}{one[1:]}." for one in finding.accepted),
        *_mixed(finding, structure),
        *_strength(finding, structure),
        *_decay(finding),
        *_code(finding),
    ]
    if finding.outcome == "fails" and (finding.enough or not too_weak_when_new(finding)):
        said.append(_ENOUGH_UNTOLD if cannot_tell and not finding.enough else _advice(finding))
    if finding.outcome == "refer":
        said = [*_undecided(finding), *said]
    if not said:
        reasons = [reason for part in finding.parts for reason in part.refer]
        said = [
            f"Longhold does not compute this joint: {reasons[0]}." if reasons else "Nothing is computed here."
        ]
    return " ".join(said)


def _advice(finding: JointFinding) -> str:
    return enough_words(finding.enough, finding.enough_if_accepted, finding.enough_beside)


def _cannot_tell(finding: JointFinding, structure: Structure) -> list[str]:
    """Why no hardware can be found enough, whatever it is made of, with what to change."""
    joint = finding.joint
    slips = {
        part.id: comes_out(joint, part, structure)
        for part in joint.parts
        if comes_out_mostly(joint, part, structure)
    }
    said = [
        f"The {part.kind_words} is undecided: {reason}."
        for part in finding.parts
        for reason in part.refer
        if reason.startswith(LOAD_UNCHECKED) or reason == slips.get(part.id)
    ]
    return list(dict.fromkeys(said))


def _out_of_the_wood(finding: JointFinding, structure: Structure) -> list[str]:
    """A fastener whose point comes out of the far side; where most of it does, it is undecided instead."""
    joint = finding.joint
    outs = [
        (part.kind_words, comes_out(joint, part, structure))
        for part in joint.parts
        if not comes_out_mostly(joint, part, structure)
    ]
    return [f"The {kind} is too long: {said}." for kind, said in outs if said]


def why(finding: JointFinding, structure: Structure) -> str:
    """The part, the face and the cause that govern."""
    said = []
    part = _part(finding, finding.weakest_part)
    if part is not None and (face := part.governing) is not None:
        beside = f"against {face.against}" if face.against else "in the air"
        where = f"{face.words}, {beside}," if face.touches == "air" else face.words
        gone = _metal_gone(face, _solid_um(finding, part), structure)
        said.append(f"The {part.kind_words}'s {where} goes first: {gone} at {structure.design_life:g} years.")
    said += [f"{couple_words(couple, finding)} {couple.reason}" for couple in finding.couples]
    said += [f"{part.kind_words.capitalize()}: {part.question}" for part in finding.parts if part.question]
    if finding.cause is not None:
        said.append(f"What matters most: {finding.cause.words}.")
    return " ".join(said)


def _solid_um(finding: JointFinding, part: PartFinding) -> float:
    """Metal that one face can lose before the part is through [um]: the sheet, or half the shank."""
    size = next(one for one in finding.joint.parts if one.id == part.id).measures
    return 1000.0 * (size.thickness_mm or (size.diameter_mm or 0.0) / 2.0) or float("inf")


def _metal_gone(face: FaceFinding, solid_um: float, structure: Structure) -> str:
    lost = face.base_loss_um.p50
    if lost >= solid_um:
        return "all of its metal is gone"
    if structure.units == "us":
        return f"{show_quantity(lost, 'film_um', 'us', 2)} ({lost:,.0f} µm) of metal is gone"
    return f"{lost:,.0f} µm of metal is gone"


def _short_when_new(finding: JointFinding, structure: Structure) -> list[str]:
    """A demand above the strength when new, in numbers: nothing that age has done."""
    part, demand = _part(finding, _weakest_strength(finding)), demand_of(finding.joint)
    if part is None or part.strength is None or demand is None or not part.strength.below_when_new:
        return []
    elements = finding.weakest.elements if finding.weakest is not None else ()
    what = next((one.words for one in elements if part.id in one.parts), f"the {part.kind_words}")
    asked, carried = (show_force(load, structure.units) for load in (demand, demand / part.strength.ends_at))
    wanted = "more or larger fasteners" if _is_fastener(finding, part) else "a stronger part or more of them"
    said = (
        f"The demand of {asked} on each joint is more than {what} can carry when new, {carried}: "
        "too much from the first day, whatever corrosion does."
    )
    return [said] if finding.enough else [f"{said} It takes {wanted}; no other coating mends that."]


def _is_fastener(finding: JointFinding, part: PartFinding) -> bool:
    return next(one for one in finding.joint.parts if one.id == part.id).is_fastener


def _protection(finding: JointFinding) -> list[str]:
    said = []
    for part in finding.parts:
        face = part.governing
        if face is None or face.protection_years is None:
            continue
        if part.protection.zinc is not None and face.zinc_years is None:
            said.append(f"The {part.kind_words}'s label does not say how much zinc, so we count none.")
        else:
            what = "zinc" if face.zinc_years is not None else "topcoat"
            if any(one.zinc_gone and face.words in one.faces for one in part.damage):
                what += ", where it is damaged,"
            elif part.edge is not None and part.edge.ends_protection:
                what += ", with that at its cut edges,"
            gone = gone_words(part.protection_years or face.protection_years)
            alone = gone == gone_words(face.protection_years) or (
                part.edge is not None and part.edge.ends_protection
            )
            first = "" if alone else " (the first of its faces)"
            said.append(f"The {part.kind_words}'s {what} {gone}{first}.")
    return said


def _film(finding: JointFinding) -> list[str]:
    """Stainless whose passive film is not known to last, though its loss by the laws is small."""
    if finding.outcome == "fails":  # where it is undecided, that tells it first
        shorts = [(part, part.stainless.short) for part in finding.parts if part.stainless is not None]
        return [
            f"The {part.kind_words} stays undecided: {short.words}."
            for part, short in shorts
            if short is not None and not short.accepted
        ]
    doubtful = [
        (part.kind_words, part.stainless.class_asked)
        for part in finding.parts
        if part.faces
        and part.stainless is not None
        and part.stainless.state == "not_decided"
        and part.stainless.short is None  # told with what to do, or as accepted
    ]
    if not doubtful:
        return []
    which = " and the ".join(dict.fromkeys(words for words, _ in doubtful))
    asked = next((crc for _, crc in doubtful if crc), "")
    of_class = f": EN 1993-1-4 asks for class {asked} here" if asked else ""
    return [f"It is not decided whether the stainless of the {which} keeps its passive film{of_class}."]


def _mixed(finding: JointFinding, structure: Structure) -> list[str]:
    if not any(part.faces for part in finding.parts):
        return []  # why nothing of the joint is computed is told once
    return [loss_words(loss, finding, structure.units) for loss in finding.galvanic]


def _strength(finding: JointFinding, structure: Structure) -> list[str]:
    part = _part(finding, _weakest_strength(finding))
    if part is None or part.strength is None:
        return []
    strength, life = part.strength, structure.design_life
    if strength.below_when_new:
        return []  # told first, apart from what age does
    ratio = strength.ratio
    if ratio.p10 >= 0.995:
        return [f"At {life:g} years the {part.kind_words} has lost no strength to loss of metal."]
    left = f"{_percent(ratio.p50)} % ({_percent(ratio.p10)} to {_percent(ratio.p90)} %)"
    share = strength.ends_words.removesuffix(" of new")
    still = f"carries {share}" if share == strength.ends_words else f"has {share} of its strength"
    stainless = part.stainless
    pits = pits_left_out_words(stainless is not None and stainless.short is not None)
    return [
        f"At {life:g} years {left} of the {part.kind_words}'s strength is left; "
        f"the chance that this {part.kind_words} still {still} then is {_odds(strength.chance)}{pits}"
        f"{_whole_joint(finding, strength.chance, life)}.",
        *_weakest(finding),
    ]


def _weakest(finding: JointFinding) -> list[str]:
    """The weakest element at the design life, where there is more than one."""
    found = finding.weakest
    if found is None or len(found.elements) < 2:
        return []
    return [f"Its weakest element is then {found.words}, in {_percent(found.share)} % of the draws."]


def _decay(finding: JointFinding) -> list[str]:
    """Decay, where it would end a joint in untreated timber first; other flags are remarks."""
    flag = finding.decay
    return [] if flag is None or flag.treated or not flag.governs else [flag.words]


def _whole_joint(finding: JointFinding, chance_of_part: float, life_years: float) -> str:
    """The chance that decides for the joint, where it is another than that of the strength of one part."""
    if finding.decides == "protection":
        chance, what = finding.protection_chance, "what decides here is the chance that the protection lasts"
        return "" if chance is None else f"; {what} {life_years:g} years, {_odds(chance)}"
    chance = finding.strength_chance
    if chance is None or _odds(chance) == _odds(chance_of_part):
        return ""
    return f", that all parts of the joint do, {_odds(chance)}"


def _undecided(finding: JointFinding) -> list[str]:
    """Why somebody else must decide: what is not computed, else an open label, an open rule, mixed metals."""
    reasons: dict[str, list[str]] = {}
    for part in finding.parts:
        for reason in part.refer:
            reasons.setdefault(reason.rstrip("."), []).append(part.kind_words)
    if reasons and not any(part.faces or part.strength for part in finding.parts):
        return [f"Longhold does not compute this joint: {'; '.join(reasons)}."]
    if reasons:
        named = {reason: list(dict.fromkeys(kinds)) for reason, kinds in reasons.items()}
        return [
            f"The {' and the '.join(kinds)} {'is' if len(kinds) == 1 else 'are'} undecided: {reason}."
            for reason, kinds in named.items()
        ]
    asked = [part for part in finding.parts if part.question]
    if asked:
        return [
            f"Undecided until the {part.kind_words}'s label is settled: {part.question}" for part in asked
        ]
    unruled = [part for part in finding.parts if part.code.verdict == "refer"]
    open_rules = [f"{_open_rule(part)}." for part in unruled]
    return list(dict.fromkeys(open_rules)) or [couple_words(couple, finding) for couple in finding.couples]


def _open_rule(part: PartFinding) -> str:
    said = f"Undecided by {part.code.title} {part.code.edition} for this {part.kind_words}"
    nouns = [vocabulary()[name].noun for name in part.code.missing_facts if name in vocabulary()]
    return f"{said}, as it is not stated: {', '.join(nouns)}" if nouns else said


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
        if len(parts) == 1:
            what = f"does not allow this {parts[0].kind_words} here: {parts[0].protection.designation}"
        else:
            each = [f"this {part.kind_words} ({part.protection.designation})" for part in parts]
            what = f"allows neither {' nor '.join(each)} here"
        said.append(f"{code}, {clause}, {what}.")
    return said


def _weakest_strength(finding: JointFinding) -> str | None:
    known = [part for part in finding.parts if part.strength is not None and part.strength.counted]
    lowest = min(known, key=lambda part: (part.strength.chance, part.strength.ratio.p50), default=None)  # type: ignore[union-attr]
    return None if lowest is None else lowest.id


def _part(finding: JointFinding, part_id: str | None) -> PartFinding | None:
    return next((part for part in finding.parts if part.id == part_id), None)


def _year(years: float) -> str:
    return f"{years:.0f}" if years >= 2 else f"{years:.1f}".removesuffix(".0")


def _odds(chance: float) -> str:
    if chance > 0.99:
        return "over 99 in 100"
    return "under 1 in 100" if chance < 0.01 else f"{100 * chance:.0f} in 100"
