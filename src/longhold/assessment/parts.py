"""Finding for one part: its faces, its strength, its code answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.faces import FaceRun, face_finding, lives_by_layers, run_face
from longhold.assessment.facts import code_facts
from longhold.assessment.findings import Assumption, JointFinding, PartFinding, StrengthFinding
from longhold.assessment.prepare import Prepared, protections
from longhold.assessment.strength import run_strength, strength_finding
from longhold.codes.answers import CodeAnswer
from longhold.codes.evaluator import evaluate
from longhold.forecast.exposure import SiteExposure, TimberFacts
from longhold.forecast.face import FaceCase
from longhold.forecast.faces import faces_of, is_driven
from longhold.forecast.summary import Band, band_of
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import places
from longhold.wood.moisture import RainFrom

__all__ = ["PartRun", "Setting", "code_answer", "own_key", "part_finding", "run_parts", "usual_rain_from"]

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
    code_answers: dict[frozenset[tuple[str, Any]], CodeAnswer] = field(default_factory=dict)
    findings: dict[str, JointFinding] = field(default_factory=dict)


def own_key(joint: Joint) -> str:
    """What a joint's own draws hang on: all of it but its id, name and number.

    Joints alike in everything that matters get the same draws, hence the same answer.
    """
    return joint.model_dump_json(exclude={"id", "name", "quantity"})


@dataclass(frozen=True)
class PartRun:
    """One part with its draws.

    Attributes
    ----------
    part, protection : what it is, and the reading that is run
    faces : runs by face; empty where the place or the metal is not computed
    strength, strength_years : finding, and age at which strength ends by draw; None where not computed
    refer : why something is not computed
    assumptions : taken on the way
    """

    part: Part
    protection: Protection
    faces: tuple[FaceRun, ...]
    strength: StrengthFinding | None
    strength_years: Array | None
    refer: tuple[str, ...]
    assumptions: tuple[Assumption, ...]


def run_parts(joint: Joint, setting: Setting, chosen: Sequence[Protection]) -> tuple[PartRun, ...]:
    """Draw every part of a joint, each under one chosen protection."""
    pairs = list(zip(joint.parts, chosen, strict=True))
    faces = [_faces(joint, part, protection, setting) for part, protection in pairs]
    sheet = _first_sheet(joint, faces)
    runs = []
    for (part, protection), (face_runs, refer) in zip(pairs, faces, strict=True):
        strength = run_strength(joint, part, face_runs, sheet, setting)
        found = strength_finding(joint, part, strength, setting)
        finding, years, more = found if found is not None else (None, None, ())
        runs.append(
            PartRun(
                part,
                protection,
                face_runs,
                finding,
                years,
                (*refer, *strength.refer),
                (*strength.assumptions, *more),
            )
        )
    return tuple(runs)


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
        cautions=reading.cautions,
        not_promised=reading.not_promised,
        faces=findings,
        governing_face=_governing(run.faces),
        strength=run.strength,
        code=code_answer(joint, part, run.protection, setting),
        refer=run.refer,
    )


def _first_loss(joint: Joint, part: Part, protection: Protection, setting: Setting) -> Band | None:
    """Years to first loss of base metal if the label is read another way; None where it does not apply."""
    runs, _ = _faces(joint, part, protection, setting)
    years = [run.protection_years for run in runs if run.protection_years is not None]
    return band_of(np.min(years, axis=0)) if years else None


def code_answer(joint: Joint, part: Part, protection: Protection, setting: Setting) -> CodeAnswer:
    """What the governing code says of one part under one protection."""
    code = setting.structure.code
    timber = worse_timber(joint, setting.prepared)
    facts = code_facts(
        setting.structure, joint, part, protection, timber, setting.prepared.site.distance_to_salt_m
    )
    key = frozenset(facts.items())
    if key not in setting.code_answers:
        setting.code_answers[key] = evaluate(code.pack, code.edition, facts)
    return setting.code_answers[key]


def worse_timber(joint: Joint, prepared: Prepared) -> TimberFacts:
    """Of the timbers that a joint's metal touches, the one that takes more metal in the middle."""
    names = [joint.main, *([joint.side] if joint.side else [])]
    return max((prepared.timbers[name] for name in names), key=_severity)


def _severity(timber: TimberFacts) -> float:
    found = timber.treatment
    species = 1.0 if found.species_factor is None else found.species_factor.median
    return found.multiplier.median * found.retention_factor * species


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
    prepared = setting.prepared
    timber = worse_timber(joint, prepared) if part.is_fastener else prepared.timbers[joint.main]
    rain_from, own = joint.rain_from or usual_rain_from(joint), own_key(joint)
    cases = [
        FaceCase(face, protection, place, timber, rain_from, is_driven(part.kind), own)
        for face in faces_of(part.kind)
    ]
    return tuple(run_face(case, setting.exposure, setting.ages) for case in cases), ()


_NOT_COMPUTED = {
    "aluminium_zinc_55": "an aluminium-zinc coating follows other laws than zinc; Longhold has none for it",
    "zinc_flake": "zinc flake in a binder is rated in hours of a test, from which no years follow",
}


def usual_rain_from(joint: Joint) -> RainFrom:
    """How the face usually lies that a joint's metal enters: upright under sheet, bolts and lag screws."""
    upright = {"bolt", "dowel", "lag_screw"}
    sideways = any(part.kind in upright or not part.is_fastener for part in joint.parts)
    return "side" if sideways else "above"


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
