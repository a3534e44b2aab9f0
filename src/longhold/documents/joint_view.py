"""Everything that the report says of one joint, ready to be laid out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.assessment.bar import bar_words
from longhold.assessment.couple_words import couple_words
from longhold.base.marks import Mark
from longhold.base.quantities import System
from longhold.base.trace import Section
from longhold.documents.advice_rows import AdviceView, advice_view
from longhold.documents.charts import Setting, layers_chart, life_line, strength_chart
from longhold.documents.code_rows import CodeView, code_view
from longhold.documents.couple_chart import CoupleView, couple_views
from longhold.documents.drawings import joint_drawing, joint_thumbnail, wet_words
from longhold.documents.figures import (
    BEYOND_YEARS,
    calendar,
    in_years,
    percent,
    quantity,
    share,
    years,
)
from longhold.documents.lives import (
    TOO_WEAK,
    decided_up_to,
    deciding,
    deciding_chance,
    protection_end_words,
    strength_horizon,
    too_weak_when_new,
)
from longhold.documents.number_tables import NumberTable, face_tables, strength_table
from longhold.documents.part_rows import (
    FaceRow,
    PartRow,
    Remark,
    face_rows,
    part_rows,
    remarks,
)
from longhold.documents.section import solid_um
from longhold.documents.weakest_rows import AgeRow, age_rows
from longhold.documents.wood_view import WoodView, wood_views, worst_words
from longhold.documents.words import code_words, metal_words, mode_words, plural
from longhold.forecast.summary import Band
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.findings import FaceFinding, JointFinding, PartFinding
    from longhold.model.structure import Joint, Structure

__all__ = [
    "Calculation",
    "Chart",
    "JointView",
    "Life",
    "joint_view",
]

_WORTH_MEASURING = 0.97
_WHICH_UNKNOWN = " (not known which)"
_ACCESS = {"easy": "easy to reach", "moderate": "moderately hard to reach", "hard": "hard to reach"}


@dataclass(frozen=True)
class Chart:
    """A chart with its words and numbers."""

    title: str
    picture: Markup
    words: str
    tables: tuple[NumberTable, ...]


@dataclass(frozen=True)
class Life:
    """One end of life in the summary."""

    words: str
    years: str
    decides: bool
    picture: Markup


@dataclass(frozen=True)
class Flag:
    """Two metals that should not meet."""

    text: str
    mark: Mark


@dataclass(frozen=True)
class Calculation:
    """One titled calculation."""

    title: str
    section: Section


@dataclass(frozen=True)
class JointView:
    """One joint as it is laid out."""

    finding: JointFinding
    facts: str
    lives: tuple[Life, ...]
    chance: str
    bar: str
    code_words: str
    thumbnail: Markup
    drawing: Markup
    drawing_words: str
    layers: Chart | None
    strength: Chart | None
    more: tuple[Chart, ...]
    cause: str
    is_worth_measuring: bool
    flags: tuple[Flag, ...]
    parts: tuple[PartRow, ...]
    faces: tuple[FaceRow, ...]
    remarks: tuple[Remark, ...]
    code: CodeView
    calculations: tuple[Calculation, ...]
    step_count: int
    advice: AdviceView | None
    wood: tuple[WoodView, ...] = ()
    wood_words: str = ""
    ages: tuple[AgeRow, ...] = ()
    couples: tuple[CoupleView, ...] = ()


def joint_view(
    finding: JointFinding,
    structure: Structure,
    setting: Setting,
    moistures_shown: dict[tuple[object, ...], str] | None = None,
) -> JointView:
    """Lay out one finding; moistures that an earlier joint shows are pointed to, new ones are added."""
    weakest = next((part for part in finding.parts if part.id == finding.weakest_part), None)
    shown = weakest.governing if weakest is not None else None
    calculations = tuple(_calculations(finding))
    solids = {part.id: solid_um(part) for part in finding.joint.parts}
    return JointView(
        finding=finding,
        facts=_facts(finding.joint, structure),
        lives=tuple(_lives(finding, structure)),
        chance=deciding_chance(finding),
        bar=bar_words(finding, structure),
        code_words=code_words(finding),
        thumbnail=joint_thumbnail(structure, finding),
        drawing=joint_drawing(structure, finding, setting),
        drawing_words=_drawing_words(finding, shown, structure.units),
        layers=None
        if weakest is None or shown is None
        else _layers(weakest, shown, solids[weakest.id], setting),
        strength=None if weakest is None else _strength(weakest, setting),
        more=tuple(_more(finding, shown, solids, setting)),
        cause=_cause(finding),
        is_worth_measuring=_is_worth_measuring(finding),
        flags=tuple(_flags(finding)),
        parts=part_rows(finding, structure),
        faces=face_rows(finding, structure),
        remarks=remarks(finding),
        code=code_view(finding),
        advice=advice_view(finding.advice),
        calculations=calculations,
        step_count=sum(1 for one in calculations for _ in one.section.steps()),
        wood=wood_views(finding.joint, structure, finding.wood, structure.units, moistures_shown),
        wood_words=worst_words(finding.wood, structure.units),
        ages=age_rows(finding, structure.design_life),
        couples=couple_views(finding, structure.units),
    )


def _facts(joint: Joint, structure: Structure) -> str:
    told = [
        plural(joint.quantity, "joint"),
        "structural" if joint.role == "structural" else "not structural",
        places()[joint.place].words,
        _ACCESS[joint.access],
    ]
    names = [joint.main] if joint.side is None else [joint.side, joint.main]
    for name in names:
        timber = structure.timbers[name]
        told.append(
            f"{name}: {timber.size or ''} {timber.species}, {timber.preservative}".replace(":  ", ": ")
        )
    if joint.demand is not None:
        told.append(f"demand {quantity(joint.demand, 'force_n', structure.units)} on each")
    if joint.demand_withdrawal is not None:
        pull = quantity(joint.demand_withdrawal, "force_n", structure.units)
        told.append(f"{pull} on each pulls its fasteners out")
    return "; ".join(told) + "."


def _lives(finding: JointFinding, structure: Structure) -> Iterator[Life]:
    horizon = strength_horizon(finding)
    ends = [
        ("Strength ends", finding.strength_years, horizon, "strength"),
        (protection_end_words(finding), finding.protection_years, BEYOND_YEARS, "protection"),
    ]
    for words, band, beyond, kind in sorted(ends, key=lambda end: end[3] != finding.decides):
        if band is None:
            continue
        if kind == "strength" and too_weak_when_new(finding):
            yield Life(TOO_WEAK, "from the first day", kind == finding.decides, _never(structure))
            continue
        told = years(band, beyond)
        dated = calendar(band, structure.build_date, beyond)
        said = f"{words}: {told}{f' ({dated})' if dated else ''}"
        yield Life(words, told, kind == finding.decides, life_line(band, structure.design_life, said))


def _never(structure: Structure) -> Markup:
    return life_line(Band(0.0, 0.0, 0.0), structure.design_life, f"{TOO_WEAK}, from the first day")


def _layers(part: PartFinding, face: FaceFinding, solid: float | None, setting: Setting) -> Chart:
    metal = metal_words(part.protection.base_metal)
    words = "Line: middle draw. Band: 8 of 10 draws."
    if face.protection_years is not None and setting.built is not None:
        words += f" Protection ends {in_years(face.protection_years)}."
    words += _first_of_faces(part, face)
    return Chart(
        f"Layers of the {part.kind_words}, {face.words}",
        layers_chart(face, metal, setting, solid=solid),
        words,
        tuple(face_tables(face, metal, setting, solid)),
    )


def _first_of_faces(part: PartFinding, face: FaceFinding) -> str:
    """When the first of a part's faces loses its protection, where that differs from this one."""
    band, own = part.protection_years, face.protection_years
    if band is None or own is None or in_years(band) == in_years(own):
        return ""
    edges = " or cut edges" if part.edge is not None and part.edge.ends_protection else ""
    return (
        f" This face alone: the answer takes the first of the {part.kind_words}'s faces{edges} in each draw, "
        f"{in_years(band)}."
    )


def _strength(part: PartFinding, setting: Setting) -> Chart | None:
    found = part.strength
    if found is None:
        return None
    at_life = f"{percent(found.ratio)} of new at {setting.design_life:g} years"
    words = f"{at_life} (line: middle draw; band: 8 of 10). "
    new, aged = (mode_words(mode, part.kind_words) for mode in (found.mode_new, found.mode_aged))
    if new.endswith(_WHICH_UNKNOWN):
        words += f"How this part fails is not known: {new.removesuffix(_WHICH_UNKNOWN)}."
    elif new == aged:
        words += f"It gives by {new}."
    else:
        words += f"New, it gives by {new}; at {setting.design_life:g} years by {aged}."
    if found.below_when_new:
        words += f" The demand is {share(found.ends_at)} of what carries it when new: no matter of age."
    if found.capacity_new_n is not None:
        words += f" Design capacity when new {quantity(found.capacity_new_n, 'force_n', setting.system)}."
    table = strength_table(found.curve, setting)
    return Chart(f"Strength of the {part.kind_words}", strength_chart(found, setting), words, (table,))


def _more(
    finding: JointFinding, shown: FaceFinding | None, solids: dict[str, float | None], setting: Setting
) -> Iterator[Chart]:
    for part in finding.parts:
        metal = metal_words(part.protection.base_metal)
        for face in part.faces:
            if face is not shown:
                solid = solids[part.id]
                picture = layers_chart(face, metal, setting, solid=solid, small=True)
                tables = tuple(face_tables(face, metal, setting, solid))
                yield Chart(f"{part.id}: {face.words}", picture, "", tables)


def _cause(finding: JointFinding) -> str:
    cause, (band, _) = finding.cause, deciding(finding)
    if cause is None or band is None:
        return ""
    beyond = decided_up_to(finding)
    then = years(cause.band_if_known, beyond)
    explained = share(cause.share)
    much = explained if explained.startswith(("under", "over")) else f"about {explained}"
    told = f"Of all that makes the forecast wide, {much} is not knowing this. "
    if not _is_worth_measuring(finding):
        return f"{told}The rest has other causes: with this alone measured, it stays about as wide."
    return f"{told}If you measured it, the forecast would on average narrow to {then}."


def _is_worth_measuring(finding: JointFinding) -> bool:
    cause, (band, _) = finding.cause, deciding(finding)
    if cause is None or band is None:
        return False
    beyond = decided_up_to(finding)
    shows = years(band, beyond) != years(cause.band_if_known, beyond)
    return shows and cause.band_if_known.width < _WORTH_MEASURING * band.width


def _flags(finding: JointFinding) -> Iterator[Flag]:
    for couple in finding.couples:
        told = couple.reason in finding.why
        words = couple_words(couple, finding)
        yield Flag("Different metals: see above." if told else f"{words} {couple.reason}", couple.mark)


def _drawing_words(finding: JointFinding, shown: FaceFinding | None, system: System) -> str:
    told = ["Cut along the fastener, to scale.", wet_words(places()[finding.joint.place], system)]
    if shown is not None:
        told.append("Ringed: the face that goes first. White: metal that is gone; broken line: as new.")
        told.append("Numbered edges: the darker, the deeper is the metal gone.")
    return " ".join(line for line in told if line)


def _calculations(finding: JointFinding) -> Iterator[Calculation]:
    for part in finding.parts:
        for face in part.faces:
            yield Calculation(f"{part.id}: {face.words}", face.calculation)
        if part.stainless is not None and part.stainless.calculation is not None:
            title = f"{part.id}: class of stainless by EN 1993-1-4, Annex A"
            yield Calculation(title, part.stainless.calculation)
        if part.strength is not None:
            yield Calculation(f"{part.id}: strength", part.strength.calculation)
