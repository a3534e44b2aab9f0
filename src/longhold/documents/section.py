"""A joint cut open, to scale: what lies where, before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

from longhold.model.parts import Part
from longhold.model.sizes import PartKind
from longhold.model.structure import Joint, Structure

__all__ = ["Dowel", "Plank", "Section", "Sheet", "cut", "size_words", "solid_um"]

_THROUGH: set[PartKind] = {"bolt"}
_HEADLESS: set[PartKind] = {"dowel"}
# Proportions below only shape the picture where a size tells no head; nothing is computed from them.
_HEAD_HIGH = {"lag_screw": 0.65, "bolt": 0.65, "wood_screw": 0.45, "nail": 0.35, "staple": 1.0}
_HEAD_WIDE = {"lag_screw": 1.6, "bolt": 1.6, "wood_screw": 1.9, "nail": 2.0, "staple": 1.0}
_THREADED: set[PartKind] = {"wood_screw", "lag_screw"}
_ROOT = 0.7
_UNKNOWN_SHEET_MM = 1.5
_WASHER_WIDE = 2.25
_DEEP_BEYOND_TIP_MM = 15.0


@dataclass(frozen=True)
class Plank:
    """Timber: its name, what it is, and where it lies along the fastener [mm from the outer face]."""

    name: str
    words: str
    start_mm: float
    end_mm: float
    cut_off: bool


@dataclass(frozen=True)
class Sheet:
    """A sheet part lying flat under the heads, or a washer about the first fastener, ``across_mm`` wide."""

    id: str
    words: str
    start_mm: float
    end_mm: float
    across_mm: float | None = None


@dataclass(frozen=True)
class Dowel:
    """A fastener along the cut; lengths in mm, ``length_told`` where the size gives one."""

    id: str
    words: str
    kind: PartKind
    diameter_mm: float
    root_mm: float
    start_mm: float
    end_mm: float
    head_mm: float
    head_high_mm: float
    length_told: bool
    has_nut: bool


@dataclass(frozen=True)
class Section:
    """Everything that is cut, from the outer face (0) inwards; what stands out has a negative place."""

    planks: tuple[Plank, ...]
    sheets: tuple[Sheet, ...] = ()
    dowels: tuple[Dowel, ...] = field(default=())

    @property
    def least_mm(self) -> float:
        """Outermost point, at or before 0."""
        return min(
            [0.0, *(d.start_mm - d.head_high_mm for d in self.dowels), *(s.start_mm for s in self.sheets)]
        )

    @property
    def most_mm(self) -> float:
        """Innermost point."""
        ends = [p.end_mm for p in self.planks]
        nuts = [d.end_mm + 0.2 * d.diameter_mm for d in self.dowels]
        return max(ends + nuts)


def cut(structure: Structure, joint: Joint) -> Section:
    """The section of a joint along its fasteners: washer, sheet, side timber, main timber.

    The fasteners point inwards from the outer face at 0. A fastener without a told length is taken to
    the middle of the main timber and flagged.
    """
    side, main = joint.side, structure.timbers[joint.main]
    sheets, place = [], 0.0
    flat = [part for part in joint.parts if not part.is_fastener]
    for part in sorted(flat, key=lambda one: one.kind == "washer"):  # washers lie on top of sheets
        thick = part.measures.thickness_mm or _UNKNOWN_SHEET_MM
        across = _washer_mm(joint) if part.kind == "washer" else None
        sheets.append(Sheet(part.id, _words(part), place - thick, place, across))
        place -= thick
    inner = structure.timbers[side].thickness_mm if side is not None else 0.0
    under_washers = min([0.0, *(sheet.start_mm for sheet in sheets if sheet.across_mm is None)])
    dowels = tuple(
        _dowel(part, place if number == 0 else under_washers, inner, inner + main.thickness_mm)
        for number, part in enumerate(one for one in joint.parts if one.is_fastener)
    )
    shown = inner + main.thickness_mm
    deepest = max((d.end_mm for d in dowels), default=shown) + _DEEP_BEYOND_TIP_MM
    cut_off = deepest < shown
    planks = []
    if side is not None:
        planks.append(Plank(side, _timber(structure, side), 0.0, inner, False))
    planks.append(
        Plank(
            joint.main, _timber(structure, joint.main), inner, max(min(shown, deepest), inner + 5.0), cut_off
        )
    )
    return Section(tuple(planks), tuple(sheets), dowels)


def _washer_mm(joint: Joint) -> float:
    """Width that a washer is drawn with, about the first fastener [mm]."""
    first = next((part for part in joint.parts if part.is_fastener), None)
    return _WASHER_WIDE * (first.measures.diameter_mm or 3.0) if first is not None else 30.0


def solid_um(part: Part) -> float | None:
    """Metal under one face until there is none: a sheet's thickness, half a shank [um]; None if not told.

    A sheet loses from both faces, so it is through before one face alone has taken this much.
    """
    size = part.measures
    if size.diameter_mm is not None and part.is_fastener:
        return 500.0 * size.diameter_mm
    return None if size.thickness_mm is None else 1000.0 * size.thickness_mm


def size_words(part: Part) -> str:
    """The size of a part: of a fastener as it was told, length and all; of a sheet as it was read."""
    return part.size if part.size and part.is_fastener else part.measures.words


def _dowel(part: Part, place: float, inner: float, through: float) -> Dowel:
    size = part.measures
    across = size.diameter_mm or 3.0
    told = size.length_mm is not None
    length = size.length_mm if size.length_mm is not None else (inner + through) / 2 - place
    head = size.head_diameter_mm or across * _HEAD_WIDE.get(part.kind, 1.0)
    high = 0.0 if part.kind in _HEADLESS else across * _HEAD_HIGH.get(part.kind, 0.5)
    return Dowel(
        part.id,
        _words(part),
        part.kind,
        across,
        across * (_ROOT if part.kind in _THREADED else 1.0),
        place,
        place + length,
        head,
        high,
        told,
        part.kind in _THROUGH,
    )


def _words(part: Part) -> str:
    return f"{part.kind_words} {part.size}" if part.size else part.measures.words


def _timber(structure: Structure, name: str) -> str:
    timber = structure.timbers[name]
    treated = "untreated" if timber.preservative.lower() in {"none", "untreated"} else timber.preservative
    return f"{timber.species}, {treated}"
