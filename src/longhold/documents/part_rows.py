"""Rows about the parts of one joint: labels as read, faces, remarks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.quantities import System
from longhold.documents.figures import calendar, chance, film, in_years, loss, lost, percent, quantity, years
from longhold.documents.section import size_words, solid_um
from longhold.documents.words import lower_first, mode_words, upper_first, verdict_words
from longhold.model.parts import part_name
from longhold.wood.decay import decay_record

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding, PartFinding
    from longhold.forecast.summary import Band
    from longhold.model.protection import Layer, Protection
    from longhold.model.structure import Structure

__all__ = ["FaceRow", "PartRow", "Remark", "face_rows", "layer_words", "part_rows", "remarks"]


@dataclass(frozen=True)
class PartRow:
    """One part as its label was read."""

    name: str
    size: str
    label: str
    reading: str
    layers: tuple[str, ...]
    strength: str
    code: str


@dataclass(frozen=True)
class FaceRow:
    """One face of one part."""

    name: str
    governs: bool
    zinc: tuple[str, ...]
    base: tuple[str, ...]
    years: str
    calendar: str
    chance: str
    lost: tuple[str, ...]


@dataclass(frozen=True)
class Remark:
    """A question, a caution or a gap, said of one part."""

    part: str
    text: str


def part_rows(finding: JointFinding, structure: Structure) -> tuple[PartRow, ...]:
    """Rows of the parts, in their order."""
    sizes = {part.id: size_words(part) for part in finding.joint.parts}
    return tuple(
        PartRow(
            name=_name(part),
            size=sizes[part.id],
            label=part.label,
            reading=_reading(part),
            layers=tuple(layer_words(layer, structure.units) for layer in part.protection.layers),
            strength=_strength(part),
            code=verdict_words(part.code.verdict),
        )
        for part in finding.parts
    )


def _name(part: PartFinding) -> str:
    kind = "" if part_name(part.id, part.kind_words) == part.id else f"{part.kind_words}, "
    return f"{part.id} ({kind}{part.count} in each joint)"


def face_rows(finding: JointFinding, structure: Structure) -> tuple[FaceRow, ...]:
    """Rows of every computed face."""
    system = structure.units
    solids = {part.id: solid_um(part) for part in finding.joint.parts}
    return tuple(
        FaceRow(
            name=f"{part.id}: {face.words}{f', {face.lies}' if face.lies else ''}",
            governs=part.governing_face == index,
            zinc=("no zinc",) if face.zinc_rate_um_yr is None else loss(face.zinc_rate_um_yr, system),
            base=loss(face.base_rate_um_yr, system),
            years="no layer to lose" if face.protection_years is None else years(face.protection_years),
            calendar=calendar(face.protection_years, structure.build_date),
            chance="no layer to lose" if face.chance is None else chance(face.chance),
            lost=lost(face.base_loss_um, solids[part.id], system),
        )
        for part in finding.parts
        for index, face in enumerate(part.faces)
    )


def remarks(finding: JointFinding) -> tuple[Remark, ...]:
    """Questions, cautions, other readings and gaps that the reason of the joint does not already give."""
    return tuple(one for one in _remarks(finding) if one.text not in finding.why)


def _remarks(finding: JointFinding) -> Iterator[Remark]:
    decay = finding.decay
    dry = decay is None or decay.dose_days_a_year < decay_record("flag")["dry_below_days"]
    if decay is not None and not dry and not decay.told_at and decay.words not in finding.answer:
        yield Remark("wood", decay.words)
    for part in finding.parts:
        if part.question:
            yield Remark(part.id, part.question)
        if part.other_readings:
            pairs = zip(part.other_readings, part.other_years, strict=True)
            others = "; ".join(dict.fromkeys(_other(one, band) for one, band in pairs))
            yield Remark(
                part.id, f"The label can also mean: {others}. The least protective reading is taken."
            )
        yield from (Remark(part.id, _sentence(text)) for text in part.refer)
        yield from (Remark(part.id, _sentence(one.words)) for one in part.damage)
        if part.edge is not None:
            yield Remark(part.id, _sentence(part.edge.words))
        if part.stainless is not None:
            yield Remark(part.id, part.stainless.words)
        for opening, lines in (
            ("To be watched", part.cautions),
            ("What the label does not promise", part.not_promised),
        ):
            if lines:
                told = _sentence("; ".join(text.rstrip(". ") for text in lines))
                yield Remark(part.id, f"{opening}: {lower_first(told)}")


def _other(reading: Protection, band: Band | None) -> str:
    ends = "" if band is None else f" (protection ends {in_years(band)})"
    return f"{reading.designation}{ends}"


def _reading(part: PartFinding) -> str:
    """The designation with its standard, which is named once, and the edition of the figures."""
    found = part.protection
    edition = found.edition.strip("-")
    told = [found.designation]
    if found.standard and found.standard.split("/")[0] not in found.designation:
        told.append(f"{found.standard} {edition}".strip())
    elif found.standard and edition:
        told.append(f"edition {edition}")
    return ", ".join(told)


def layer_words(layer: Layer, system: System) -> str:
    """A layer: what it is of, how it was put on, and how much of it a face carries."""
    told = [f"{layer.kind.replace('_', ' ')}, {layer.process.replace('_', ' ')}"]
    if layer.nominal_um is not None:
        told.append(f"{film(layer.nominal_um, system)} expected on a face")
    if layer.least_um is not None:
        told.append(f"{film(layer.least_um, system)} at least")
    if layer.nominal_g_m2 is not None:
        told.append(f"{quantity(layer.nominal_g_m2, 'coating_g_m2', system)} on a face")
    return "; ".join(told)


def _strength(part: PartFinding) -> str:
    found = part.strength
    if found is None:
        return "not computed"
    if found.below_when_new:
        return "less than the demand when new already; age is not the cause"
    ends = in_years(found.years, found.curve.years[-1])
    mode = mode_words(found.mode_aged, part.kind_words)
    apart = "" if found.counted else "; not counted, as fasteners of another kind carry the demand"
    return f"{percent(found.ratio)} of new; it ends ({found.ends_words}) {ends}; {mode}{apart}"


def _sentence(text: str) -> str:
    text = text.strip()
    first = upper_first(text)
    return first if first.endswith((".", "?", "!")) else f"{first}."
