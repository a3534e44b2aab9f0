"""The couple diagram: current density against potential, and where the two metals meet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.figures import figure
from longhold.documents.path_chart import PathView, path_view
from longhold.documents.svg import Value, path, tag, text_lines, wrap

if TYPE_CHECKING:
    from longhold.assessment.findings import JointFinding
    from longhold.assessment.galvanic import CoupleCurves

__all__ = ["CoupleView", "couple_diagram", "couple_views"]

_WIDTH, _LEFT, _TOP, _TALL, _RIGHT = 360.0, 46.0, 30.0, 200.0, 12.0
_ABOVE, _BELOW = 3.0, 0.5  # drawn past the two points, as factors on the current
_STEP_V = 0.05
_ROWS = 11
_KEY_LETTERS = 46
_LABEL_ROOM = 110.0


@dataclass(frozen=True)
class CoupleView:
    """One couple as it is laid out.

    Attributes
    ----------
    title : for people
    picture : the diagram
    words : what it says
    rows : potential [V], dissolution of the anode, oxygen taken up by it alone, and by both [A/m2], as shown
    along : the wet path on the nobler metal; None where it is not computed
    """

    title: str
    picture: Markup
    words: str
    rows: tuple[tuple[str, str, str, str], ...]
    along: PathView | None = None


def couple_views(finding: JointFinding, system: System = "si") -> tuple[CoupleView, ...]:
    """A diagram with its numbers for each couple of a joint that is computed."""
    return tuple(
        CoupleView(
            f"The couple at the {curves.words}",
            couple_diagram(curves),
            _words(curves),
            _rows(curves),
            None if curves.along is None else path_view(curves.along, system),
        )
        for curves in (loss.curves for loss in finding.galvanic)
        if curves is not None
    )


def couple_diagram(curves: CoupleCurves) -> Markup:
    """Dissolution of the anode and oxygen taken up, by it alone and by both, on a scale of powers of ten."""
    frame = _LogFrame.around(curves)
    parts = [frame.axes()]
    for (values, kind, dash), _ in _lines(curves):
        stretches = frame.stretches(curves.potential_v, values)
        parts += [tag("path", d=path(one), class_=kind, stroke_dasharray=dash) for one in stretches]
    parts += [
        _point(frame, curves.free, "by itself", up=False),
        _point(frame, curves.joined, "joined", up=True),
    ]
    top = frame.bottom + 52.0
    for (_, kind, dash), said in _lines(curves):
        lines = wrap(said, _KEY_LETTERS, 2)
        parts.append(
            tag("path", d=path([(4.0, top - 4), (38.0, top - 4)]), class_=kind, stroke_dasharray=dash)
        )
        parts.append(text_lines(lines, _LEFT, top, class_="label"))
        top += 13.0 * len(lines) + 6.0
    box: dict[str, Value] = {"viewBox": f"0 0 {_WIDTH:g} {top:.0f}", "role": "img"}
    return tag("svg", *parts, **box, aria_label=_words(curves), class_="chart")


@dataclass(frozen=True)
class _LogFrame:
    """A box with a plain scale of volts across and powers of ten up; what lies outside is cut off."""

    low_v: float
    high_v: float
    low: int
    high: int

    @classmethod
    def around(cls, curves: CoupleCurves) -> _LogFrame:
        """Both points with room about them, on whole powers of ten."""
        low = floor(log10(_BELOW * curves.free[1]))
        high = ceil(log10(_ABOVE * curves.joined[1]))
        return cls(curves.potential_v[0], curves.potential_v[-1], low, max(high, low + 2))

    @property
    def bottom(self) -> float:
        """Lower edge."""
        return _TOP + _TALL

    def x(self, volts: float) -> float:
        """Place of a potential."""
        share = (volts - self.low_v) / (self.high_v - self.low_v)
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * share

    def y(self, current: float) -> float:
        """Place of a current density, more than 0."""
        return self.bottom - _TALL * (log10(current) - self.low) / (self.high - self.low)

    def stretches(
        self, potential: tuple[float, ...], values: tuple[float, ...]
    ) -> Iterator[list[tuple[float, float]]]:
        """Runs of points within the box, each cut where the line crosses an edge."""
        run: list[tuple[float, float]] = []
        points = [(v, log10(max(i, 1e-300))) for v, i in zip(potential, values, strict=True)]
        for before, after in pairwise(points):
            ends = self._cut(before, after)
            if ends is None:
                continue
            if not run or run[-1] != ends[0]:
                if run:
                    yield run
                run = [ends[0]]
            run.append(ends[1])
        if run:
            yield run

    def _cut(
        self, before: tuple[float, float], after: tuple[float, float]
    ) -> tuple[tuple[float, float], tuple[float, float]] | None:
        (x0, y0), (x1, y1) = before, after
        if max(y0, y1) < self.low or min(y0, y1) > self.high:
            return None

        def at(decade: float) -> tuple[float, float]:
            held = min(max(decade, self.low), self.high)
            volts = x0 if y1 == y0 else x0 + (x1 - x0) * (held - y0) / (y1 - y0)
            return self.x(volts), self.y(10.0**held)

        inside = self.low <= y0 <= self.high, self.low <= y1 <= self.high
        first = (self.x(x0), self.y(10.0**y0)) if inside[0] else at(y0)
        return first, (self.x(x1), self.y(10.0**y1)) if inside[1] else at(y1)

    def axes(self) -> Markup:
        """Grid, powers of ten at the left, volts below, names."""
        right = _WIDTH - _RIGHT
        parts = [tag("text", "Current, A/m² of the metal that loses", x=0, y=_TOP - 12, class_="axis-name")]
        for decade in range(self.low, self.high + 1):
            y = self.y(10.0**decade)
            parts.append(tag("line", x1=_LEFT, x2=right, y1=y, y2=y, class_="grid"))
            parts.append(tag("text", f"{10.0**decade:g}", x=_LEFT - 6, y=y + 4, class_="tick end"))
        parts.append(tag("line", x1=_LEFT, x2=right, y1=self.bottom, y2=self.bottom, class_="axis"))
        step = _STEP_V if self.high_v - self.low_v < 5 * _STEP_V else 2 * _STEP_V
        for count in range(ceil(self.low_v / step), floor(self.high_v / step) + 1):
            x = self.x(count * step)
            parts.append(tag("line", x1=x, x2=x, y1=self.bottom, y2=self.bottom + 4, class_="axis"))
            words = f"{count * step:.2f}".replace("-", "−")
            parts.append(tag("text", words, x=x, y=self.bottom + 16, class_="tick mid"))
        name = "Potential, V against calomel"
        middle = (_LEFT + right) / 2
        parts.append(tag("text", name, x=middle, y=self.bottom + 32, class_="axis-name mid"))
        return Markup("").join(parts)


def _lines(curves: CoupleCurves) -> list[tuple[tuple[tuple[float, ...], str, str | None], str]]:
    return [
        ((curves.dissolves, "median", None), f"{curves.anode} dissolves"),
        (
            (curves.takes_up_joined, "median", "8 3"),
            f"oxygen taken up by the {curves.anode} and the {curves.cathode}",
        ),
        ((curves.takes_up_alone, "limit", None), f"oxygen taken up by the {curves.anode} alone"),
    ]


def _point(frame: _LogFrame, at: tuple[float, float], words: str, *, up: bool) -> Markup:
    x, y = frame.x(at[0]), frame.y(at[1])
    # the line of dissolution rises to the right: room is above it at the left, below it at the right
    left = x > _LEFT + _LABEL_ROOM if up else x > _WIDTH - _RIGHT - _LABEL_ROOM
    said = f"{words}: {figure(at[1])} A/m²"
    return tag("circle", cx=x, cy=y, r=4.0, class_="dot") + tag(
        "text",
        said,
        x=x - 8 if left else x + 8,
        y=y - 9 if up else y + 18,
        class_="label strong end" if left else "label strong",
    )


def _words(curves: CoupleCurves) -> str:
    free, joined = (
        f"{_volts(v)} V and dissolves at {figure(i)} A/m²" for v, i in (curves.free, curves.joined)
    )
    return (
        "Where the lines cross, metal dissolves as fast as oxygen is taken up. "
        f"By itself the {curves.anode} stands at {free}; joined to the {curves.cathode} it stands at "
        f"{joined}, while wet and at work. Middle values."
    )


def _rows(curves: CoupleCurves) -> tuple[tuple[str, str, str, str], ...]:
    step = max(1, (len(curves.potential_v) - 1) // (_ROWS - 1))
    kept = range(0, len(curves.potential_v), step)
    columns = (curves.dissolves, curves.takes_up_alone, curves.takes_up_joined)
    return tuple((_volts(curves.potential_v[i]), *(figure(column[i], 3) for column in columns)) for i in kept)  # type: ignore[misc]


def _volts(value: float) -> str:
    return f"{value:.3f}".replace("-", "−")
