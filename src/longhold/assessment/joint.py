"""Finding for one joint: its parts, which of them governs, and the answer in words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.annex_a_steps import cleaning_assumed
from longhold.assessment.assumptions import joint_defaults
from longhold.assessment.decay import decay_flag
from longhold.assessment.enough import enough_beside, enough_for, enough_if_accepted
from longhold.assessment.faces import face_calculation
from longhold.assessment.facings import end_grain_assumptions, rain_assumption
from longhold.assessment.findings import (
    Assumption,
    Cause,
    JointFinding,
    Outcome,
    PartFinding,
    StrengthFinding,
)
from longhold.assessment.galvanic import CoupleLoss, couple_losses
from longhold.assessment.part_code import code_answer
from longhold.assessment.part_findings import part_finding
from longhold.assessment.parts import PartRun, run_parts
from longhold.assessment.prepare import protections
from longhold.assessment.shared import Setting
from longhold.assessment.short_of_class import leaves_pits_out
from longhold.assessment.weakest import weakest_finding
from longhold.assessment.wood_blocks import wood_blocks
from longhold.assessment.words import answer, why
from longhold.base.marks import Mark, weakest
from longhold.base.trace import Section
from longhold.codes.answers import STRICTEST, CodeAnswer, VerdictWord
from longhold.forecast.causes import CAUSE_WORDS
from longhold.forecast.galvanic import COUPLE_SCOPE
from longhold.forecast.summary import band_if_known, band_of, chance_of, strongest_cause
from longhold.metal.couples import Couple, mixed_couples
from longhold.model.parts import part_name
from longhold.model.protection import Protection
from longhold.model.structure import Joint

__all__ = ["JointLives", "deciding_years", "joint_finding", "joint_lives"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class _Governing:
    """The draws that decide for the joint, of its protection and of its strength."""

    protection_part: int | None
    protection_years: Array | None
    strength_part: int | None
    strength_years: Array | None
    strength_chance: float | None


@dataclass(frozen=True)
class _Drawn:
    """The parts of a joint drawn, its couples, and which end decides, before anything is said of it."""

    runs: tuple[PartRun, ...]
    galvanic: tuple[CoupleLoss, ...]
    governing: _Governing
    by_strength: bool
    protection_chance: float | None

    @property
    def couples(self) -> tuple[Couple, ...]:
        return tuple(loss.couple for loss in self.galvanic if not loss.isolated)

    @property
    def chance(self) -> float | None:
        return self.governing.strength_chance if self.by_strength else self.protection_chance

    @property
    def decides(self) -> Literal["strength", "protection"]:
        return "strength" if self.by_strength else "protection"

    @property
    def weakest_part(self) -> int | None:
        return self.governing.strength_part if self.by_strength else self.governing.protection_part


@dataclass(frozen=True)
class JointLives:
    """The draws of one joint's two ends and what is decided by them, without words or calculations.

    Attributes
    ----------
    protection_years, strength_years : when each end comes, shape (draws,); None where not computed
    decides : the end that counts for this joint
    protection_chance, strength_chance : of reaching the design life
    outcome : as in a finding
    code : strictest verdict of the governing code over its parts
    unsettled : whether a label, a couple or a part that is not computed leaves it open, whatever the chance
    weakest_part : id of the part that decides; None where neither end is computed
    mark : weakest mark that this rests on, as in a finding
    refer : why something is not computed, part by part
    leaves_pits_out : whether pits of accepted stainless below the class asked for are in no chance
    """

    protection_years: Array | None
    strength_years: Array | None
    decides: Literal["strength", "protection"]
    protection_chance: float | None
    strength_chance: float | None
    outcome: Outcome
    code: VerdictWord
    unsettled: bool
    weakest_part: str | None
    mark: Mark
    refer: tuple[str, ...]
    leaves_pits_out: bool

    @property
    def years(self) -> Array | None:
        """When the end that decides comes, by draw."""
        return self.strength_years if self.decides == "strength" else self.protection_years

    @property
    def chance(self) -> float | None:
        """Of reaching the design life, by the end that decides."""
        return self.strength_chance if self.decides == "strength" else self.protection_chance


def joint_lives(joint: Joint, setting: Setting) -> JointLives:
    """The numbers of ``joint_finding`` alone, in the same draws: for many joints, where nobody reads each.

    >>> import longhold
    >>> from longhold.assessment.setting import curve_ages, setting_for
    >>> deck = longhold.load("demo/boardwalk.toml")
    >>> setting = setting_for(deck, curve_ages(deck.design_life), draws=500, seed=1)
    >>> lives, found = joint_lives(deck.joints[3], setting), joint_finding(deck.joints[3], setting)
    >>> lives.outcome == found.outcome and lives.strength_chance == found.strength_chance
    True
    """
    readings, drawn = setting.prepared.readings, _drawn(joint, setting)
    runs, governing, weakest_part = drawn.runs, drawn.governing, drawn.weakest_part
    codes = [code_answer(joint, run.part, run.protection, setting, suggest=False) for run in runs]
    verdicts = [code.verdict for code in codes]
    unsettled = bool(drawn.couples) or any(
        run.refer or readings[joint.id, run.part.id].question for run in runs
    )
    return JointLives(
        protection_years=governing.protection_years,
        strength_years=governing.strength_years,
        decides=drawn.decides,
        protection_chance=drawn.protection_chance,
        strength_chance=governing.strength_chance,
        outcome=_outcome(verdicts, drawn.chance, setting.structure.target_chance, unsettled=unsettled),
        code=min(verdicts, key=STRICTEST.index),
        unsettled=unsettled or "refer" in verdicts,
        weakest_part=None if weakest_part is None else runs[weakest_part].part.id,
        mark=_weakest_computed(
            mark for run, code in zip(runs, codes, strict=True) for mark in _run_marks(run, code, setting)
        ),
        refer=tuple(f"{run.part.id}: {why}" for run in runs for why in run.refer),
        leaves_pits_out=leaves_pits_out(joint, ((run.part, run.protection) for run in runs), setting),
    )


def _weakest_computed(marks: Iterable[Mark]) -> Mark:
    """The weakest mark, asked for no further than the weakest that a table may have (a test holds that)."""
    found = Mark.VERIFIED
    for mark in marks:
        found = weakest([found, mark])
        if found is Mark.OWN:
            break
    return found


def _run_marks(run: PartRun, code: CodeAnswer, setting: Setting) -> Iterator[Mark]:
    faces = (
        face_calculation(face.case, setting.middle, setting.ages, setting.structure.design_life)
        for face in run.faces
    )
    return _marks(run.protection, code, run.strength, faces)


def joint_finding(joint: Joint, setting: Setting) -> JointFinding:
    """Everything that is said of one joint; joints alike in all but name and number are computed once."""
    parts = {"__all__": {"elements"}}
    # a default that is stated is no assumption: what is unset must not meet what is set
    key = joint.model_dump_json(
        exclude={"id": True, "name": True, "quantity": True, "parts": parts}, exclude_unset=True
    )
    key += setting.own_keys.get(joint.id, "")
    if key not in setting.findings:
        setting.findings[key] = _computed(joint, setting)
    found = setting.findings[key]
    if found.joint.id == joint.id:
        return found
    here, there = f"joints.{joint.id}.", f"joints.{found.joint.id}."
    assumptions = tuple(replace(one, where=one.where.replace(there, here, 1)) for one in found.assumptions)
    return replace(found, joint=joint, assumptions=assumptions)


def _drawn(joint: Joint, setting: Setting) -> _Drawn:
    chosen = [protections(part, setting.prepared.readings[joint.id, part.id])[0] for part in joint.parts]
    runs = run_parts(joint, setting, chosen)
    mixed = mixed_couples(
        [(part.id, one, part.is_fastener) for part, one in zip(joint.parts, chosen, strict=True)]
    )
    life = setting.structure.design_life
    governing = _governing(runs, life)
    return _Drawn(
        runs,
        _galvanic(joint, mixed, runs, setting),
        governing,
        _decided_by_strength(joint, governing),
        _protection_chance(governing, life),
    )


def _computed(joint: Joint, setting: Setting) -> JointFinding:
    drawn = _drawn(joint, setting)
    runs, governing, couples, weakest_part = drawn.runs, drawn.governing, drawn.couples, drawn.weakest_part
    parts = tuple(part_finding(joint, run, setting) for run in runs)
    deciding = governing.strength_years if drawn.by_strength else governing.protection_years
    strength = None if governing.strength_part is None else parts[governing.strength_part].strength
    unsettled = bool(couples) or any(part.refer or part.question for part in parts)
    verdicts = [part.code.verdict for part in parts]
    outcome = _outcome(verdicts, drawn.chance, setting.structure.target_chance, unsettled=unsettled)
    draft = JointFinding(
        joint=joint,
        outcome=outcome,
        answer="",
        why="",
        parts=parts,
        weakest_part=None if weakest_part is None else parts[weakest_part].id,
        protection_years=None if governing.protection_years is None else band_of(governing.protection_years),
        strength_years=None if governing.strength_years is None else band_of(governing.strength_years),
        protection_chance=drawn.protection_chance,
        strength_chance=governing.strength_chance,
        strength_ratio=None if strength is None else strength.ratio,
        decides=drawn.decides,
        couples=couples,
        cause=_cause(joint, deciding, runs, setting),
        mark=_mark(parts),
        enough="",
        assumptions=(
            *joint_defaults(joint),
            *rain_assumption(joint),
            *end_grain_assumptions(joint, setting.structure.units),
            *(one for run in runs for one in run.assumptions),
        ),
        wood=wood_blocks(joint, runs, setting)[0],
        weakest=weakest_finding(runs, governing.strength_years, setting),
        decay=decay_flag(joint, governing.strength_years, setting),
        galvanic=drawn.galvanic,
        accepted=_accepted(parts),
    )
    if outcome == "fails":
        chance = _chance(setting.structure.design_life)
        enough, accepted = (find(joint, setting, chance) for find in (enough_for, enough_if_accepted))
        beside = enough_beside(joint, setting, chance) if "stainless" in enough else ""
        draft = replace(draft, enough=enough, enough_if_accepted=accepted, enough_beside=beside)
    draft = replace(draft, assumptions=(*draft.assumptions, *_cleaning(draft, setting)))
    return replace(draft, answer=answer(draft, setting.structure), why=why(draft, setting.structure))


def _galvanic(
    joint: Joint, mixed: Sequence[Couple], runs: Sequence[PartRun], setting: Setting
) -> tuple[CoupleLoss, ...]:
    faces = {run.part.id: run.faces for run in runs}
    return couple_losses(joint, mixed, faces, {run.part.id: run.refer for run in runs}, setting.middle)


def _governing(runs: Sequence[PartRun], life_years: float) -> _Governing:
    protected = {i: run.protection_years for i, run in enumerate(runs) if run.protection_years is not None}
    strong = {i: run.strength_years for i, run in enumerate(runs) if run.strength_years is not None}
    first = min(protected, key=lambda i: float(np.median(protected[i])), default=None)
    weakest = min(strong, key=lambda i: _weakness(runs[i]), default=None)
    strength_years = np.min(list(strong.values()), axis=0) if strong else None
    return _Governing(
        first,
        np.min(list(protected.values()), axis=0) if protected else None,
        weakest,
        strength_years,
        None if strength_years is None else chance_of(strength_years, life_years),
    )


def _decided_by_strength(joint: Joint, governing: _Governing) -> bool:
    return joint.role == "structural" or governing.protection_years is None


def deciding_years(joint: Joint, runs: Sequence[PartRun], life_years: float) -> Array | None:
    """When the end that decides for a joint comes, by draw [years]; None where neither end is computed."""
    governing = _governing(runs, life_years)
    by_strength = _decided_by_strength(joint, governing)
    return governing.strength_years if by_strength else governing.protection_years


def _protection_chance(governing: _Governing, life_years: float) -> float | None:
    years = governing.protection_years
    return None if years is None else chance_of(years, life_years)


def _chance(life_years: float) -> Callable[[Joint, Sequence[PartRun]], float | None]:
    """The chance that decides for a joint, from the runs of its parts."""

    def chance(joint: Joint, runs: Sequence[PartRun]) -> float | None:
        if any(run.refer for run in runs):
            return None
        governing = _governing(runs, life_years)
        if not _decided_by_strength(joint, governing):
            return _protection_chance(governing, life_years)
        return governing.strength_chance

    return chance


def _weakness(run: PartRun) -> tuple[float, float]:
    found = run.strength
    return (1.0, 1.0) if found is None else (found.chance, found.ratio.p50 - found.ends_at)


def _outcome(
    verdicts: Collection[VerdictWord], chance: float | None, target: float, *, unsettled: bool
) -> Outcome:
    if "fail" in verdicts or (chance is not None and chance < target):
        return "fails"
    if unsettled or "refer" in verdicts or chance is None:
        return "refer"
    return "holds"


def _accepted(parts: Sequence[PartFinding]) -> tuple[str, ...]:
    shorts = [(part, part.stainless.short) for part in parts if part.stainless is not None]
    return tuple(
        f"the {part_name(part.id, part.kind_words)}: {short.deviation}"
        for part, short in shorts
        if short is not None and short.accepted
    )


def _cleaning(finding: JointFinding, setting: Setting) -> tuple[Assumption, ...]:
    """What is taken of cleaning where stainless is there, or is the advice."""
    advised = "stainless" in finding.enough
    stainless = {one.id for one in finding.parts if advised or one.protection.base_metal == "stainless"}
    return cleaning_assumed(finding.joint, stainless, setting)


def _cause(joint: Joint, outcome: Array | None, runs: Sequence[PartRun], setting: Setting) -> Cause | None:
    if outcome is None:
        return None
    causes = _causes_of(joint, runs, setting)
    found = strongest_cause(outcome, causes)
    if found is None:
        return None
    name, share = found
    return Cause(name, CAUSE_WORDS[name], share, band_if_known(outcome, causes[name]))


def _causes_of(joint: Joint, runs: Sequence[PartRun], setting: Setting) -> Mapping[str, Array]:
    """Draws that can have touched this joint: what it shares, and its own."""
    prepared = setting.prepared
    names = [joint.main, *([joint.side] if joint.side else [])]
    own = {"site", "structure", f"joint:{setting.own_key(joint)}"}
    own |= {f"timber:{name}" for name in names if name in prepared.timbers}
    if any(face.extras.zinc or face.extras.base for run in runs for face in run.faces):
        own.add(COUPLE_SCOPE)
    own |= {f"batch:{run.protection.designation}" for run in runs}
    own |= {f"metal:{run.protection.base_metal}" for run in runs} | {"metal:zinc"}
    found: dict[str, Array] = {}
    for (cause, scope), draws in setting.exposure.causes.used.items():
        if scope in own and (cause not in found or not scope.startswith(("site", "structure"))):
            found[cause] = draws
    return found


def _mark(parts: Sequence[PartFinding]) -> Mark:
    return weakest(
        mark
        for part in parts
        for mark in _marks(part.protection, part.code, part.strength, (one.calculation for one in part.faces))
    )


def _marks(
    protection: Protection, code: CodeAnswer, strength: StrengthFinding | None, faces: Iterable[Section]
) -> Iterator[Mark]:
    """Of everything that the answer for one part rests on."""
    yield protection.weakest_mark
    yield code.mark
    if strength is not None:
        yield strength.calculation.mark
    yield from (calculation.mark for calculation in faces)
