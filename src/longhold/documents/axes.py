"""Axes of a chart: where a value lies, and the lines and words along the edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.figures import figure, film_units
from longhold.documents.svg import tag

__all__ = ["Frame", "Scale", "film_scales", "length_scales", "nice_most", "ticks"]

_MM_PER_IN = 25.4


def ticks(most: float, about: int = 4) -> list[float]:
    """Round values from 0 to at most ``most``, about so many.

    >>> ticks(100), ticks(0.73)
    ([0.0, 25.0, 50.0, 75.0, 100.0], [0.0, 0.2, 0.4, 0.6])
    """
    if most <= 0:
        return [0.0]
    rough = most / about
    ten = 10.0 ** floor(log10(rough))
    step = min((ten * m for m in (1, 2, 2.5, 5, 10)), key=lambda s: abs(s - rough))
    return [round(i * step, 10) for i in range(floor(most / step + 1e-9) + 1)]


def nice_most(value: float) -> float:
    """The least round number that holds a value.

    >>> nice_most(83.0), nice_most(0.0)
    (90.0, 1.0)
    """
    if value <= 0:
        return 1.0
    ten = 10.0 ** floor(log10(value))
    return float(ceil(value / ten * 10 - 1e-9) * ten / 10) if value < 2 * ten else ceil(value / ten) * ten


@dataclass(frozen=True)
class Scale:
    """A unit of an axis: its name and how many of it make one of what the frame is measured in."""

    unit: str
    per_one: float


def film_scales(system: System) -> tuple[Scale, ...]:
    """Scales of thin layers in a frame measured in µm, that of the system first."""
    return tuple(Scale(unit, per_um) for unit, per_um in film_units(system))


def length_scales(system: System) -> tuple[Scale, ...]:
    """Scales of lengths in a frame measured in mm, that of the system first."""
    metric = Scale("mm", 1.0)
    return (Scale("in", 1.0 / _MM_PER_IN), metric) if system == "us" else (metric,)


@dataclass(frozen=True)
class Frame:
    """The box of one panel and its two scales; a downward panel has its zero at the top."""

    left: float
    top: float
    width: float
    height: float
    x_most: float
    y_most: float
    downward: bool = False

    @property
    def right(self) -> float:
        """Right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Bottom edge."""
        return self.top + self.height

    def x(self, value: float) -> float:
        """Place of an age, held within the box."""
        return self.left + self.width * min(max(value / self.x_most, 0.0), 1.0)

    def y(self, value: float) -> float:
        """Place of a value, held within the box."""
        part = min(max(value / self.y_most, 0.0), 1.0)
        return self.top + self.height * (part if self.downward else 1.0 - part)

    def value_axis(self, title: str, scales: Sequence[Scale] = ()) -> Markup:
        """Grid lines with their values at the left, a second unit at the right, the title above.

        Parameters
        ----------
        title : what is measured; the unit of the first scale follows it
        scales : at the left, and at the right; none where the frame is measured in what its title says
        """
        about = 3 if self.height < 100 else 4
        first, second = (*scales, None, None)[:2]
        per_one = first.per_one if first else 1.0
        name = f"{title}, {first.unit}" if first and title else title
        parts = [tag("text", name, x=0, y=self.top - 7, class_="axis-name")]
        for value in ticks(self.y_most * per_one, about):
            y = self.y(value / per_one)
            parts.append(tag("line", x1=self.left, x2=self.right, y1=y, y2=y, class_="grid"))
            parts.append(tag("text", figure_plain(value), x=self.left - 6, y=y + 4, class_="tick end"))
        if second is not None:
            parts.append(tag("text", second.unit, x=self.right + 8, y=self.top - 7, class_="axis-name"))
            for value in ticks(self.y_most * second.per_one, about):
                y = self.y(value / second.per_one)
                parts.append(tag("line", x1=self.right, x2=self.right + 4, y1=y, y2=y, class_="axis"))
                parts.append(tag("text", figure_plain(value), x=self.right + 8, y=y + 4, class_="tick"))
        return Markup("").join(parts)

    def years_axis(self, built: int | None) -> Markup:
        """Ages along the bottom; calendar years below them where the build date is told."""
        parts = [tag("line", x1=self.left, x2=self.right, y1=self.bottom, y2=self.bottom, class_="axis")]
        for age in ticks(self.x_most, 4):
            x = self.x(age)
            parts.append(tag("line", x1=x, x2=x, y1=self.bottom, y2=self.bottom + 4, class_="axis"))
            parts.append(tag("text", f"{age:g}", x=x, y=self.bottom + 16, class_="tick mid"))
            if built is not None:
                year = f"{built + round(age)}"
                parts.append(tag("text", year, x=x, y=self.bottom + 30, class_="tick mid soft"))
        below = self.bottom + (44 if built is not None else 30)
        name = "Age in years, calendar year below" if built is not None else "Age in years"
        parts.append(tag("text", name, x=self.left + self.width / 2, y=below, class_="axis-name mid"))
        return Markup("").join(parts)


def figure_plain(value: float) -> str:
    """A tick label: as short as it can be told."""
    return "0" if value == 0 else f"{value:g}" if abs(value) >= 0.001 and value < 10_000 else figure(value, 3)
