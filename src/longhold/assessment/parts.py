"""Finding for one part: its faces, its strength, its code answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.faces import FaceRun, face_finding, lives_by_layers, run_face
from longhold.assessment.facings import facing_assumption, facing_of, rain_from
from longhold.assessment.facts import code_facts
from longhold.assessment.findings import Assumption, JointFinding, PartFinding, StrengthFinding
from longhold.assessment.prepare import Prepared, protections
from longhold.assessment.rule_facts import timbers_touched
from longhold.assessment.strength import StrengthRun, capacity_when_new, run_strength, strength_finding
from longhold.codes.answers import CodeAnswer, strictest_answer
from longhold.codes.evaluator import evaluate
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase
from longhold.forecast.faces import faces_of, is_driven
from longhold.forecast.summary import Band, band_of
from longhold.forecast.wood_rate import TimberFacts, WoodContact
from longhold.labels.alloys import alloy_named
from longhold.labels.reading import LabelReading
from longhold.metal.stainless import stainless_refer
from longhold.model.facing import Facing, unwashed
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import Place, places
from longhold.wood.simulation import MoistureNotConverged

__all__ = ["PartRun", "Setting", "code_answer", "own_key", "part_finding", "run_parts", "worse_timber"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Setting:
    """What the joints of one assessment share.

    Attributes
    ----------
    structure, prepared : as described, and as the middle sees it
    exposure, middle : with all draws, and with the middle values whose calculation is printed
    ages : at which curves are kept [years]
    code_answers : answers of the code already given, by facts
    findings : joints already answered, by ``own_key``
    """

    structure: Structure
    prepared: Prepared
    exposure: SiteExposure
    middle: SiteExposure
    ages: Array
    code_answers: dict[tuple[bool, frozenset[tuple[str, Any]]], CodeAnswer] = field(default_factory=dict)
    findings: dict[str, JointFinding] = field(default_factory=dict)


def own_key(joint: Joint) -> str:
    """What a joint's own wetness hangs on: where it stands and which timbers meet there.

    Joints alike in that share the draw, so that alternatives for one joint are compared on the same draws.
    """
    return f"{joint.place}|{rain_from(joint)}|{joint.main}|{joint.side}"


@dataclass(frozen=True)
class PartRun:
    """One part with its draws.

    Attributes
    ----------
    part, protection : what it is, and the reading that is run
    faces : runs by face; empty where the place or the metal is not computed
    protection_years : age at which any of its faces first loses base metal, by draw; None where none applies
    strength, strength_years : finding, and age at which strength ends by draw; None where not computed
    refer : why something is not computed
    assumptions : taken on the way
    """

    part: Part
    protection: Protection
    faces: tuple[FaceRun, ...]
    protection_years: Array | None
    strength: StrengthFinding | None
    strength_years: Array | None
    refer: tuple[str, ...]
    assumptions: tuple[Assumption, ...]


def run_parts(joint: Joint, setting: Setting, chosen: Sequence[Protection]) -> tuple[PartRun, ...]:
    """Draw every part of a joint, each under one chosen protection."""
    pairs = list(zip(joint.parts, chosen, strict=True))
    faces = [_faces(joint, part, protection, setting) for part, protection in pairs]
    sheet = _first_sheet(joint, faces)
    strengths = [
        run_strength(joint, part, runs, sheet, setting)
        for part, (runs, _) in zip(joint.parts, faces, strict=True)
    ]
    together = {
        part.id: capacity_when_new(joint, part, strength)
        for part, strength in zip(joint.parts, strengths, strict=True)
        if part.is_fastener
    }
    return tuple(
        _part_run(joint, part, protection, *found, strength, together, setting)
        for (part, protection), found, strength in zip(pairs, faces, strengths, strict=True)
    )


def _part_run(
    joint: Joint,
    part: Part,
    protection: Protection,
    faces: tuple[FaceRun, ...],
    refer: tuple[str, ...],
    strength: StrengthRun,
    together: Mapping[str, float | None],
    setting: Setting,
) -> PartRun:
    ends = [face.protection_years for face in faces if face.protection_years is not None]
    protection_years = np.min(ends, axis=0) if ends else None
    found = strength_finding(
        joint,
        part,
        strength,
        setting,
        together=together,
        first_loss_years=0.0 if protection_years is None else protection_years,
    )
    finding, years, more = found if found is not None else (None, None, ())
    return PartRun(
        part,
        protection,
        faces,
        protection_years,
        finding,
        years,
        (*refer, *strength.refer),
        (*strength.assumptions, *more, *_facing(joint, part, faces, setting)),
    )


def _facing(joint: Joint, part: Part, faces: tuple[FaceRun, ...], setting: Setting) -> tuple[Assumption, ...]:
    return facing_assumption(joint, part, setting.prepared.site.distance_to_salt_m) if faces else ()


def part_finding(joint: Joint, run: PartRun, setting: Setting) -> PartFinding:
    """What the draws of one part say, and what the code says of it."""
    part, structure = run.part, setting.structure
    reading = setting.prepared.readings[joint.id, part.id]
    others = [one for one in protections(part, reading) if one != run.protection]
    if_read_so = [_first_loss(joint, part, one, setting) for one in others]
    findings = tuple(
        face_finding(face, setting.middle, setting.ages, structure.design_life) for face in run.faces
    )
    return PartFinding(
        id=part.id,
        kind_words=part.kind_words,
        size_words=part.measures.words,
        label=part.label,
        count=part.count,
        protection=run.protection,
        other_readings=tuple(others),
        other_years=tuple(if_read_so),
        question=reading.question,
        cautions=(*reading.cautions, *_hazards(part, run.protection, reading)),
        not_promised=reading.not_promised,
        faces=findings,
        governing_face=_governing(run.faces),
        protection_years=None if run.protection_years is None else band_of(run.protection_years),
        strength=run.strength,
        code=code_answer(joint, part, run.protection, setting),
        refer=run.refer,
    )


def _hazards(part: Part, protection: Protection, reading: LabelReading) -> tuple[str, ...]:
    found = []
    if part.hardened and protection.base_metal == "carbon_steel":
        found.append(
            "hardened steel can crack from hydrogen while its zinc corrodes in wet wood under a lasting "
            "pull: no curve of strength covers that"
        )
    ignored = [word for one in reading.readings[:1] for word in one.ignored]
    if ignored:
        found.append(f"words of the label that were not understood: {', '.join(ignored)}")
    return tuple(found)


def _first_loss(joint: Joint, part: Part, protection: Protection, setting: Setting) -> Band | None:
    """Years to first loss of base metal if the label is read another way; None where it does not apply."""
    runs, _ = _faces(joint, part, protection, setting)
    years = [run.protection_years for run in runs if run.protection_years is not None]
    return band_of(np.min(years, axis=0)) if years else None


def code_answer(
    joint: Joint, part: Part, protection: Protection, setting: Setting, *, suggest: bool = True
) -> CodeAnswer:
    """What the governing code says of one part: the strictest answer over the timbers that it touches.

    ``suggest`` tries other finishes where it does not pass.
    """
    timbers = setting.prepared.timbers
    return strictest_answer(
        _answer_in(timbers[name], joint, part, protection, setting, suggest)
        for name in timbers_touched(joint, part)
    )


def _answer_in(
    timber: TimberFacts, joint: Joint, part: Part, protection: Protection, setting: Setting, suggest: bool
) -> CodeAnswer:
    code = setting.structure.code
    distance_m = setting.prepared.site.distance_to_salt_m
    facts = code_facts(setting.structure, joint, part, protection, timber, distance_m)
    key = (suggest, frozenset(facts.items()))
    if key not in setting.code_answers:
        setting.code_answers[key] = evaluate(code.pack, code.edition, facts, suggest=suggest)
    return setting.code_answers[key]


def worse_timber(joint: Joint, setting: Setting) -> TimberFacts:
    """Of the timbers that a joint's metal touches, the one that takes more steel at the joint line.

    By the middle values: treatment and species, and how wet a timber of its thickness stays.

    Raises
    ------
    MoistureNotConverged : where the simulation of one finds no answer
    """
    met = setting.prepared.timbers_met(joint)
    if len(met) == 1:
        return met[0]
    return max(met, key=lambda timber: _steel_lost_um(timber, joint, setting))


def _steel_lost_um(timber: TimberFacts, joint: Joint, setting: Setting) -> float:
    met = WoodContact(places()[joint.place], timber, True, rain_from(joint), "shank")
    return float(np.asarray(setting.middle.wood_law("carbon_steel", met).first_year_um)[0])


def _faces(
    joint: Joint, part: Part, protection: Protection, setting: Setting
) -> tuple[tuple[FaceRun, ...], tuple[str, ...]]:
    place = places()[joint.place]
    if not place.computed:
        return (), (place.why_not,)
    if place.air_face in {"open", "sheltered"} and setting.prepared.site.refer:
        return (), setting.prepared.site.refer
    if odd := next((layer for layer in protection.layers if layer.kind in _NOT_COMPUTED), None):
        return (), (_NOT_COMPUTED[odd.kind],)
    facing = facing_of(joint, part)
    if said := _stainless_beyond(protection, place, facing, setting):
        return (), (said,)
    try:
        timber = worse_timber(joint, setting) if part.is_fastener else setting.prepared.main_timber(joint)
    except MoistureNotConverged as fault:
        return (), (str(fault).rstrip("."),)
    cases = [
        FaceCase(
            face,
            protection,
            place,
            timber,
            rain_from(joint),
            is_driven(part.kind),
            own_key(joint),
            part.topcoat_life,
            part.topcoat_damaged,
            facing,
        )
        for face in faces_of(part.kind)
    ]
    try:
        return tuple(run_face(case, setting.exposure, setting.ages) for case in cases), ()
    except MoistureNotConverged as fault:
        return (), (str(fault).rstrip("."),)


def _stainless_beyond(protection: Protection, place: Place, facing: Facing, setting: Setting) -> str:
    if protection.base_metal != "stainless" or place.air_face not in {"open", "sheltered"}:
        return ""
    alloy = alloy_named(protection.grade)
    chloride = setting.prepared.site.air_load.chloride_mg_m2_d.median
    family = "" if alloy is None else alloy.family
    return stainless_refer(family, chloride, washed=not unwashed(facing))


_NOT_COMPUTED = {
    "aluminium_zinc_55": "an aluminium-zinc coating follows other laws than zinc; Longhold has none for it",
    "zinc_flake": "zinc flake in a binder is rated in hours of a test, from which no years follow",
}


def _first_sheet(
    joint: Joint, faces: Sequence[tuple[tuple[FaceRun, ...], tuple[str, ...]]]
) -> tuple[Part, tuple[FaceRun, ...]] | None:
    pairs = zip(joint.parts, faces, strict=True)
    return next(
        ((part, runs) for part, (runs, _) in pairs if part.measures.thickness_mm and part.kind != "washer"),
        None,
    )


def _governing(runs: Sequence[FaceRun]) -> int | None:
    if not runs:
        return None
    if lives_by_layers(runs[0].case.protection):
        medians = [
            np.inf if run.protection_years is None else np.median(run.protection_years) for run in runs
        ]
        tie_break = [-np.median(run.base_loss_um[:, -1]) for run in runs]
        return min(range(len(runs)), key=lambda i: (medians[i], tie_break[i]))
    return max(range(len(runs)), key=lambda i: np.median(runs[i].base_loss_um[:, -1]))
