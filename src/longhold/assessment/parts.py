"""Finding for one part: its faces, its strength, its code answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.beside import beside_by_face
from longhold.assessment.beyond import metal_cautions, part_beyond
from longhold.assessment.capacity import Together, load_unchecked, together_of
from longhold.assessment.coats import coat_of
from longhold.assessment.damage import damage_findings, edge_finding, head_role
from longhold.assessment.edges import CutEdge, cut_edge, edge_words
from longhold.assessment.faces import FaceRun, face_finding, lives_by_layers, run_face
from longhold.assessment.facings import facing_assumption, facing_of, rain_from
from longhold.assessment.findings import Assumption, JointFinding, PartFinding, StrengthFinding
from longhold.assessment.governing import governing_pack
from longhold.assessment.later_metal import dated, later_words
from longhold.assessment.prepare import Prepared, protections
from longhold.assessment.rule_facts import air_category, rule_facts, timbers_touched
from longhold.assessment.short_of_class import no_grade_too_low, undecided_by_class
from longhold.assessment.stainless import stainless_finding, stainless_stop
from longhold.assessment.strength import Ending, strength_finding
from longhold.assessment.strength_once import run_strength_once
from longhold.assessment.strength_run import Sheet, StrengthRun, life_index
from longhold.base.recent import Recent
from longhold.codes.answers import CodeAnswer, strictest_answer
from longhold.codes.evaluator import evaluate_pack
from longhold.forecast.beside import Beside
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase
from longhold.forecast.faces import faces_of, is_driven
from longhold.forecast.strength import StrengthDraws
from longhold.forecast.summary import Band, band_of
from longhold.forecast.wood_rate import TimberFacts, WoodContact
from longhold.labels.reading import LabelReading
from longhold.metal.mixed_potential import CoupleNotSolved
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import places
from longhold.wood.simulation import MoistureNotConverged

__all__ = ["PartRun", "Setting", "code_answer", "own_key", "part_finding", "run_parts", "worse_timber"]

Array = NDArray[np.float64]
_KEPT_BYTES = 256_000_000
_CURVES_OF_STRENGTH = 4
BesideFaces = Mapping[tuple[str, str], tuple[Beside, ...]]


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

    @cached_property
    def strength_runs(self) -> Recent[tuple[str, StrengthRun]]:
        """Strength already computed, with the id of the joint that it was computed for."""
        return Recent(_KEPT_BYTES // (_CURVES_OF_STRENGTH * self._bytes_of_curves))

    @cached_property
    def _face_runs(self) -> Recent[FaceRun]:
        return Recent(_KEPT_BYTES // self._bytes_of_curves)

    @property
    def _bytes_of_curves(self) -> int:
        return 8 * self.exposure.causes.count * len(self.ages)

    def face_run(self, case: FaceCase) -> FaceRun:
        """Draws of a face; equal faces, of other joints and under other offers too, are drawn once."""
        return self._face_runs.get(case.identity, lambda: run_face(case, self.exposure, self.ages))

    @cached_property
    def air(self) -> str:
        """Category of the site's air, for rules that ask for it; empty where it is not known."""
        return air_category(self.prepared)


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
    ending : when its strength ends, by draw; None where not computed
    refer : why something is not computed
    assumptions : taken on the way
    beside : what touches each face of the joint's parts
    as_is : its strength by draw
    whole : the same without its damage; None where it has none
    edge : its cut edges; None where it has none
    """

    part: Part
    protection: Protection
    faces: tuple[FaceRun, ...]
    protection_years: Array | None
    ending: Ending | None
    refer: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    beside: BesideFaces
    as_is: StrengthRun
    whole: StrengthRun | None = None
    edge: CutEdge | None = None

    @property
    def draws(self) -> StrengthDraws | None:
        """Of its strength; None where not computed."""
        return self.as_is.draws

    @property
    def strength(self) -> StrengthFinding | None:
        """Its strength for people."""
        return None if self.ending is None else self.ending.finding

    @property
    def strength_years(self) -> Array | None:
        """Age at which its strength ends, by draw; None where the joint's does not rest on it."""
        return None if self.ending is None or not self.ending.counted else self.ending.years


def run_parts(joint: Joint, setting: Setting, chosen: Sequence[Protection]) -> tuple[PartRun, ...]:
    """Draw every part of a joint, each under one chosen protection."""
    pairs = list(zip(joint.parts, chosen, strict=True))
    beside = _dated(joint, pairs, setting, beside_by_face(joint, pairs, setting.structure))
    faces = [_faces(joint, part, protection, setting, beside) for part, protection in pairs]
    sheets = _sheets(joint, faces)
    strengths = [
        run_strength_once(joint, part, runs, sheets, setting)
        for part, (runs, _) in zip(joint.parts, faces, strict=True)
    ]
    together = together_of(joint, list(zip(joint.parts, strengths, strict=True)))
    runs = (
        _part_run(joint, part, protection, *found, strength, together, setting, beside)
        for (part, protection), found, strength in zip(pairs, faces, strengths, strict=True)
    )
    return tuple(_with_whole(joint, run, sheets, setting) if run.part.damage else run for run in runs)


def _with_whole(joint: Joint, run: PartRun, sheets: Sequence[Sheet], setting: Setting) -> PartRun:
    """A damaged part with the strength that it would have without its damage."""
    part = run.part.model_copy(update={"damage": []})
    faces, _ = _faces(joint, part, run.protection, setting, run.beside)
    return replace(run, whole=run_strength_once(joint, part, faces, sheets, setting))


def _part_run(
    joint: Joint,
    part: Part,
    protection: Protection,
    faces: tuple[FaceRun, ...],
    refer: tuple[str, ...],
    strength: StrengthRun,
    together: Together | None,
    setting: Setting,
    beside: BesideFaces,
) -> PartRun:
    edge = cut_edge(part, faces, setting.exposure)
    ends = [face.protection_years for face in faces if face.protection_years is not None]
    if edge is not None and edge.on_site and ends:
        ends.append(edge.run.layers.protection_years)
    protection_years = np.min(ends, axis=0) if ends else None
    first_loss = [*ends, *([edge.run.layers.protection_years] if edge is not None else [])]
    ending = strength_finding(
        joint,
        part,
        strength,
        setting,
        together=together,
        first_loss_years=np.min(first_loss, axis=0) if ends else 0.0,
    )
    return PartRun(
        part,
        protection,
        faces,
        protection_years,
        ending,
        (
            *refer,
            *undecided_by_class(joint, part, protection, setting),
            *strength.refer,
            *load_unchecked(joint, part, strength, setting),
        ),
        (
            *strength.assumptions,
            *(() if ending is None else ending.assumptions),
            *_facing(joint, part, faces, setting),
            *edge_words(joint, part, edge),
        ),
        beside,
        strength,
        edge=edge,
    )


def _facing(joint: Joint, part: Part, faces: tuple[FaceRun, ...], setting: Setting) -> tuple[Assumption, ...]:
    return facing_assumption(joint, part, setting.prepared.site.distance_to_salt_m) if faces else ()


def part_finding(joint: Joint, run: PartRun, setting: Setting) -> PartFinding:
    """What the draws of one part say, and what the code says of it."""
    part, structure = run.part, setting.structure
    reading = setting.prepared.readings[joint.id, part.id]
    others = [one for one in protections(part, reading) if one != run.protection]
    if_read_so = [_first_loss(joint, part, one, setting, run.beside) for one in others]
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
        cautions=(
            *reading.cautions,
            *_hazards(joint, part, run.protection, reading),
            *later_words(run.faces, structure.design_life, _others(joint, part, setting)),
        ),
        not_promised=reading.not_promised,
        faces=findings,
        governing_face=_governing(run.faces),
        protection_years=None if run.protection_years is None else band_of(run.protection_years),
        strength=run.strength,
        code=no_grade_too_low(code_answer(joint, part, run.protection, setting), joint, part, setting),
        refer=run.refer,
        damage=damage_findings(
            part,
            run.faces,
            run.as_is,
            run.whole,
            life_index(setting),
            head=head_role(joint, part, structure),
            system=structure.units,
        ),
        edge=edge_finding(run.edge, structure.design_life, structure.units),
        stainless=stainless_finding(joint, part, run.protection, setting),
    )


def _others(joint: Joint, part: Part, setting: Setting) -> Mapping[str, tuple[Part, Protection]]:
    readings = setting.prepared.readings
    others = (other for other in joint.parts if other is not part)
    return {other.id: (other, protections(other, readings[joint.id, other.id])[0]) for other in others}


def _hazards(joint: Joint, part: Part, protection: Protection, reading: LabelReading) -> tuple[str, ...]:
    found = list(metal_cautions(joint, part, protection))
    if part.hardened and protection.base_metal == "carbon_steel":
        found.append(
            "hardened steel can crack from hydrogen while its zinc corrodes in wet wood under a lasting "
            "pull: no curve of strength covers that"
        )
    ignored = [word for one in reading.readings[:1] for word in one.ignored]
    if ignored:
        found.append(f"words of the label that were not understood: {', '.join(ignored)}")
    return tuple(found)


def _first_loss(
    joint: Joint, part: Part, protection: Protection, setting: Setting, beside: BesideFaces
) -> Band | None:
    """Years to first loss of base metal if the label is read another way; None where it does not apply."""
    runs, _ = _faces(joint, part, protection, setting, beside)
    years = [run.protection_years for run in runs if run.protection_years is not None]
    return band_of(np.min(years, axis=0)) if years else None


def code_answer(
    joint: Joint,
    part: Part,
    protection: Protection,
    setting: Setting,
    *,
    suggest: bool = True,
    together: Mapping[str, Protection] | None = None,
) -> CodeAnswer:
    """What the governing code says of one part: the strictest answer over the timbers that it touches.

    Parameters
    ----------
    suggest : whether other finishes are tried where it does not pass
    together : protection of the joint's parts by id, where others than their own labels' are tried
    """
    return strictest_answer(
        _answer_in(name, joint, part, protection, setting, suggest, together)
        for name in timbers_touched(joint, part)
    )


def _answer_in(
    timber: str,
    joint: Joint,
    part: Part,
    protection: Protection,
    setting: Setting,
    suggest: bool,
    together: Mapping[str, Protection] | None,
) -> CodeAnswer:
    code, structure, prepared = setting.structure.code, setting.structure, setting.prepared
    facts = rule_facts(structure, prepared, joint, part, timber, protection, setting.air, together)
    key = (suggest, frozenset(facts.items()))
    if key not in setting.code_answers:
        setting.code_answers[key] = evaluate_pack(governing_pack(code), code.edition, facts, suggest=suggest)
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
    joint: Joint, part: Part, protection: Protection, setting: Setting, beside: BesideFaces
) -> tuple[tuple[FaceRun, ...], tuple[str, ...]]:
    cases, refer = _cases(joint, part, protection, setting, beside)
    try:
        return tuple(setting.face_run(case) for case in cases), refer
    except (CoupleNotSolved, MoistureNotConverged) as fault:
        return (), (str(fault).rstrip("."),)


def _cases(
    joint: Joint, part: Part, protection: Protection, setting: Setting, beside: BesideFaces
) -> tuple[tuple[FaceCase, ...], tuple[str, ...]]:
    """What the faces of a part depend on; none, and why, where it is not computed."""
    place = places()[joint.place]
    if not place.computed:
        return (), (stainless_stop(joint, part, protection, setting) or place.why_not,)
    if place.air_face in {"open", "sheltered"} and setting.prepared.site.refer:
        return (), setting.prepared.site.refer
    facing = facing_of(joint, part)
    if said := part_beyond(joint, part, protection, setting):
        return (), (said,)
    try:
        timber = worse_timber(joint, setting) if part.is_fastener else setting.prepared.main_timber(joint)
    except MoistureNotConverged as fault:
        return (), (str(fault).rstrip("."),)
    cases = (
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
            beside.get((part.id, face.face), ()),
            coat_of(part),
            part.contact,
        )
        for face in faces_of(part.kind)
    )
    return tuple(cases), ()


def _dated(
    joint: Joint, pairs: Sequence[tuple[Part, Protection]], setting: Setting, beside: BesideFaces
) -> BesideFaces:
    cases = {part.id: _cases(joint, part, one, setting, beside)[0] for part, one in pairs}
    return dated(beside, cases, setting.exposure, float(setting.ages[-1]))


def _sheets(joint: Joint, faces: Sequence[tuple[tuple[FaceRun, ...], tuple[str, ...]]]) -> tuple[Sheet, ...]:
    pairs = zip(joint.parts, faces, strict=True)
    return tuple(
        (part, runs) for part, (runs, _) in pairs if part.measures.thickness_mm and part.kind != "washer"
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
