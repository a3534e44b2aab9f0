"""Where the millimeters of a joint's section lie on its drawing."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.documents.section import Dowel, Section, Sheet

__all__ = ["MOST_DOWELS", "Paper", "fit"]

MOST_DOWELS = 3
"""Fasteners drawn at most: more of them would hide the timber."""

_MOST_PX_PER_MM = 4.5
_FULL_TALL = 132.0


@dataclass(frozen=True)
class Paper:
    """A scale and where it starts: places along the fastener run to the right, heights are free."""

    left: float
    top: float
    tall: float
    px: float
    origin_mm: float

    def x(self, mm: float) -> float:
        """Where a place along the fastener [mm from the outer face] lies."""
        return self.left + (mm - self.origin_mm) * self.px

    @property
    def bottom(self) -> float:
        """Lower edge of the timber."""
        return self.top + self.tall

    def height(self, section: Section, number: int) -> float:
        """Height of the axis of a fastener by its number, evenly spaced."""
        return self.top + self.tall * (number + 1) / (min(len(section.dowels), MOST_DOWELS) + 1)

    def sheet_span(self, section: Section, sheet: Sheet) -> tuple[float, float]:
        """Upper and lower edge of a sheet; of a washer about the first fastener, no wider than a sheet."""
        top, bottom = self.top + 0.08 * self.tall, self.top + 0.92 * self.tall
        if sheet.across_mm is None:
            return top, bottom
        middle, half = self.height(section, 0), 0.5 * sheet.across_mm * self.px
        return max(middle - half, top), min(middle + half, bottom)

    def head_edge(self, dowel: Dowel) -> float:
        """Where the outer face of a head lies."""
        return self.x(dowel.start_mm - dowel.head_high_mm)


def fit(section: Section, wide: float, tall: float, left: float, top: float) -> Paper:
    """The largest scale at which a section fits a width, in the middle of it."""
    span = section.most_mm - section.least_mm
    px = min(wide / span, _MOST_PX_PER_MM * tall / _FULL_TALL)
    return Paper(left + (wide - span * px) / 2, top, tall, px, section.least_mm)
