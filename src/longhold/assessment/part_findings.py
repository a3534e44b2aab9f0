"""What the draws of one part say for people, and what the code says of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from longhold.assessment.beyond import metal_cautions
from longhold.assessment.damage import damage_findings, edge_finding, head_role
from longhold.assessment.faces import FaceRun, face_finding, lives_by_layers
from longhold.assessment.findings import PartFinding
from longhold.assessment.later_metal import later_words
from longhold.assessment.part_code import code_answer
from longhold.assessment.parts import BesideFaces, PartRun, faces_under
from longhold.assessment.prepare import protections
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import no_grade_too_low
from longhold.assessment.stainless import stainless_finding
from longhold.assessment.strength_run import life_index
from longhold.forecast.summary import Band, band_of
from longhold.labels.reading import LabelReading
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["part_finding"]


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
            *later_words(run.faces, structure.design_life),
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
    runs, _ = faces_under(joint, part, protection, setting, beside)
    years = [run.protection_years for run in runs if run.protection_years is not None]
    return band_of(np.min(years, axis=0)) if years else None


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
