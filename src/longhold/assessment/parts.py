"""The parts of a joint, drawn: their faces, their strength, and why something is not computed."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.beside import beside_by_face
from longhold.assessment.beyond import part_beyond
from longhold.assessment.beyond_wood import comes_out, comes_out_mostly
from longhold.assessment.capacity import Together, load_unchecked, together_of
from longhold.assessment.coats import coat_of
from longhold.assessment.edges import CutEdge, cut_edge, edge_words
from longhold.assessment.faces import FaceRun
from longhold.assessment.facings import facing_assumption, facing_of, rain_from
from longhold.assessment.findings import Assumption, StrengthFinding
from longhold.assessment.later_metal import dated
from longhold.assessment.prepare import protections
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import undecided_by_class
from longhold.assessment.stainless import stainless_stop
from longhold.assessment.strength import Ending, strength_finding
from longhold.assessment.strength_once import run_strength_once
from longhold.assessment.strength_run import Sheet, StrengthRun
from longhold.forecast.beside import Beside
from longhold.forecast.face import FaceCase
from longhold.forecast.faces import faces_of, is_driven
from longhold.forecast.strength import StrengthDraws
from longhold.forecast.wood_rate import TimberFacts, WoodContact
from longhold.metal.rising_root import CoupleNotSolved
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint
from longhold.model.surroundings import places
from longhold.wood.simulation import MoistureNotConverged

__all__ = ["BesideFaces", "PartRun", "faces_of_parts", "faces_under", "run_parts", "worse_timber"]

Array = NDArray[np.float64]
BesideFaces = Mapping[tuple[str, str], tuple[Beside, ...]]


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
    faces = [faces_under(joint, part, protection, setting, beside) for part, protection in pairs]
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


def faces_of_parts(
    joint: Joint, setting: Setting, asked: Mapping[str, Container[str] | None]
) -> Mapping[str, tuple[FaceRun, ...]]:
    """Some faces of some parts of a joint by the part's id, drawn without their strength.

    Each part under the least protective reading of its label; no faces where a part is not computed.

    Parameters
    ----------
    asked : id of a part -> names of its faces; None for all of them
    """
    readings = setting.prepared.readings
    pairs = [(part, protections(part, readings[joint.id, part.id])[0]) for part in joint.parts]
    beside = _dated(joint, pairs, setting, beside_by_face(joint, pairs, setting.structure))
    return {
        part.id: faces_under(joint, part, one, setting, beside, only=asked[part.id])[0]
        for part, one in pairs
        if part.id in asked
    }


def _with_whole(joint: Joint, run: PartRun, sheets: Sequence[Sheet], setting: Setting) -> PartRun:
    """A damaged part with the strength that it would have without its damage."""
    part = run.part.model_copy(update={"damage": []})
    faces, _ = faces_under(joint, part, run.protection, setting, run.beside)
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
            *_mostly_out(joint, part, setting),
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


def _mostly_out(joint: Joint, part: Part, setting: Setting) -> tuple[str, ...]:
    structure = setting.structure
    return (comes_out(joint, part, structure),) if comes_out_mostly(joint, part, structure) else ()


def _facing(joint: Joint, part: Part, faces: tuple[FaceRun, ...], setting: Setting) -> tuple[Assumption, ...]:
    return facing_assumption(joint, part, setting.prepared.site.distance_to_salt_m) if faces else ()


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


def faces_under(
    joint: Joint,
    part: Part,
    protection: Protection,
    setting: Setting,
    beside: BesideFaces,
    *,
    only: Container[str] | None = None,
) -> tuple[tuple[FaceRun, ...], tuple[str, ...]]:
    """The faces of a part under one protection, drawn; none, and why, where they are not computed.

    Parameters
    ----------
    only : names of the faces that are drawn; all where None
    """
    cases, refer = _cases(joint, part, protection, setting, beside)
    asked = (case for case in cases if only is None or case.face.face in only)
    try:
        return tuple(setting.face_run(case) for case in asked), refer
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
            setting.own_key(joint),
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
