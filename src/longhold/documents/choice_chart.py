"""The cost of years: what each further year that every joint reaches costs, with the choice in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from markupsafe import Markup

from longhold.choose.choice import Choice
from longhold.choose.deliberation import Deliberation
from longhold.documents.axes import figure_plain, ticks
from longhold.documents.choice_words import age_words, money, money_band, sure_words
from longhold.documents.svg import Value, path, tag, text_lines, wrap

__all__ = ["FrontierRow", "frontier_chart", "frontier_rows"]

_WIDTH, _LEFT, _RIGHT, _TOP, _TALL = 380.0, 52.0, 62.0, 34.0, 210.0
_ROOM = 1.12
_LABEL_LETTERS = 22
_LINE, _LETTER = 13.0, 6.4  # of labels: height of a line, width of a letter
_MOST_FARTHER = 12


@dataclass(frozen=True)
class FrontierRow:
    """One point of the chart in words.

    Attributes
    ----------
    age, today, over_life, more : as shown; more than the cheapest point
    names : what the point is called, if it has a name
    """

    age: str
    today: str
    over_life: str
    more: str
    names: str


@dataclass(frozen=True)
class _Point:
    age: float
    mean: float
    low: float
    high: float
    names: tuple[str, ...]


@dataclass(frozen=True)
class _Label:
    """Lines of text that begin or end at a place."""

    lines: tuple[str, ...]
    x: float
    top: float
    side: str
    is_strong: bool = False

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, upper, right and lower edge, about."""
        wide = _LETTER * max(map(len, self.lines))
        left = self.x - wide if self.side else self.x
        return left, self.top - _LINE + 2.0, left + wide, self.top + _LINE * (len(self.lines) - 1) + 4.0

    def meets(self, other: _Label) -> bool:
        """Whether it would stand over another."""
        (left, upper, right, lower), there = self.box, other.box
        return left < there[2] and there[0] < right and upper < there[3] and there[1] < lower

    def drawn(self) -> Markup:
        """It as text of a drawing."""
        class_ = f"label {'strong ' if self.is_strong else ''}{self.side}".strip()
        return text_lines(list(self.lines), self.x, self.top, class_=class_)


def frontier_rows(found: Deliberation) -> tuple[FrontierRow, ...]:
    """The points of the chart as a table, youngest first."""
    points = _all(found)
    least = _least(points)
    return tuple(
        FrontierRow(
            age_words(one.sure_years, found.market),
            money(one.today, one.currency),
            money_band(one.over_life, one.currency),
            money_band(np.asarray(one.over_life - least.over_life), one.currency, signed=True),
            ", ".join(names),
        )
        for one, names in points
    )


def frontier_chart(found: Deliberation) -> Markup:
    """Present cost over that of the cheapest point, against the age that every joint reaches."""
    last = float(found.market.setting.ages[-1])
    choices = _all(found)
    least = _least(choices).over_life
    points = []
    for one, names in choices:
        more = np.asarray(one.over_life - least)
        low, high = np.quantile(more, [0.1, 0.9])
        points.append(_Point(min(one.sure_years, last), float(more.mean()), float(low), float(high), names))
    frame = _Frame.around(points, last, sure_words(found.market))
    parts = [frame.axes(found.chosen.currency), frame.life(found.market.structure.design_life)]
    parts.append(tag("path", d=path(_steps(points, frame)), class_="median"))
    for point in points:
        x = frame.x(point.age)
        parts.append(tag("line", x1=x, x2=x, y1=frame.y(point.low), y2=frame.y(point.high), class_="axis"))
    parts += [_dot(point, frame, found.chosen.name) for point in points]
    parts += [one.drawn() for one in _labels(points, frame, found)]
    box: dict[str, Value] = {"viewBox": f"0 0 {_WIDTH:g} {frame.bottom + 38:.0f}", "role": "img"}
    return tag("svg", *parts, **box, aria_label=_said(found), class_="chart")


def _all(found: Deliberation) -> list[tuple[Choice, tuple[str, ...]]]:
    """Points of the frontier and the named alternatives, each once with its names, by age."""
    kept: dict[tuple[float, int], tuple[Choice, list[str]]] = {}
    for one in (*found.named, *found.frontier.choices):
        _, names = kept.setdefault((one.sure_years, round(float(one.over_life.mean()))), (one, []))
        if one in found.named:
            names.append(one.name)
    return [(kept[key][0], tuple(kept[key][1])) for key in sorted(kept)]


def _least(points: Sequence[tuple[Choice, tuple[str, ...]]]) -> Choice:
    return min((one for one, _ in points), key=lambda one: float(one.over_life.mean()))


@dataclass(frozen=True)
class _Frame:
    """The box of the chart: ages across from 0, money up, which may lie below nothing."""

    last: float
    low: float
    high: float
    sure: str

    @classmethod
    def around(cls, points: Sequence[_Point], last: float, sure: str) -> _Frame:
        high = max(max(point.high for point in points), 1.0)
        return cls(last, min(0.0, *(point.low for point in points)), high * _ROOM, sure)

    @property
    def bottom(self) -> float:
        """Lower edge."""
        return _TOP + _TALL

    def x(self, age: float) -> float:
        """Place of an age."""
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * min(age / self.last, 1.0)

    def y(self, amount: float) -> float:
        """Place of an amount."""
        return self.bottom - _TALL * (amount - self.low) / (self.high - self.low)

    def axes(self, currency: str) -> Markup:
        """Grid lines with amounts, ages below, and what both are."""
        right = _WIDTH - _RIGHT
        name = f"More than the cheapest, present cost over the life, {currency}"
        parts = [tag("text", name, x=0, y=_TOP - 16, class_="axis-name")]
        step = next(iter(ticks(self.high - self.low)[1:]), self.high)
        for count in range(ceil(self.low / step), floor(self.high / step) + 1):
            y = self.y(count * step)
            parts.append(tag("line", x1=_LEFT, x2=right, y1=y, y2=y, class_="grid"))
            words = figure_plain(count * step).replace("-", "−")
            parts.append(tag("text", words, x=_LEFT - 6, y=y + 4, class_="tick end"))
        parts.append(tag("line", x1=_LEFT, x2=right, y1=self.bottom, y2=self.bottom, class_="axis"))
        for age in ticks(self.last):
            x = self.x(age)
            words = f"{age:g}" if age < self.last else f"{age:g} or more"
            parts.append(tag("line", x1=x, x2=x, y1=self.bottom, y2=self.bottom + 4, class_="axis"))
            parts.append(tag("text", words, x=x, y=self.bottom + 16, class_="tick mid"))
        middle = (_LEFT + right) / 2
        below = f"Years that every joint reaches, {self.sure}"
        parts.append(tag("text", below, x=middle, y=self.bottom + 33, class_="axis-name mid"))
        return Markup("").join(parts)

    def life(self, years: float) -> Markup:
        """The design life as a line."""
        x = self.x(years)
        line = tag("line", x1=x, x2=x, y1=_TOP, y2=self.bottom, class_="limit")
        return line + tag("text", f"design life {years:g}", x=x - 5, y=_TOP + 9, class_="label end")


def _steps(points: Sequence[_Point], frame: _Frame) -> list[tuple[float, float]]:
    """To reach an age costs what the next point at or past it costs; a point off the frontier is no step."""
    steps: list[tuple[float, float]] = []
    at = 0.0
    for index, point in enumerate(points):
        if any(later.mean < point.mean - 1e-6 for later in points[index + 1 :]):
            continue
        steps += [(frame.x(at), frame.y(point.mean)), (frame.x(point.age), frame.y(point.mean))]
        at = point.age
    return steps


def _dot(point: _Point, frame: _Frame, chosen: str) -> Markup:
    x, y = frame.x(point.age), frame.y(point.mean)
    is_chosen = chosen in point.names
    return tag("circle", cx=x, cy=y, r=6.0 if is_chosen else 3.6, class_="dot chosen" if is_chosen else "dot")


def _labels(points: Sequence[_Point], frame: _Frame, found: Deliberation) -> list[_Label]:
    """Names of points, that of the chosen one first; none over another, nor over the line of the life."""
    chosen, life = found.chosen.name, frame.x(found.market.structure.design_life)
    taken = [_Label(("design life 100",), life - 5.0, _TOP + 9.0, "end")]
    named = sorted((one for one in points if one.names), key=lambda one: chosen not in one.names)
    for point in named:
        tried = list(_places(point, frame, chosen))
        taken.append(next((one for one in tried if not any(map(one.meets, taken))), tried[0]))
    return taken[1:]


def _places(point: _Point, frame: _Frame, chosen: str) -> Iterator[_Label]:
    """Where the names of a point may stand: close above, close below, then farther and farther off."""
    x, y = frame.x(point.age), frame.y(point.mean)
    is_chosen = chosen in point.names
    lines = wrap(", ".join(point.names), _LABEL_LETTERS, 3)
    if is_chosen:
        lines = ["chosen:", *lines]
    side = "end" if x > _WIDTH / 2 else ""
    shift = 56.0 if x > _WIDTH - _RIGHT - 10 else (4.0 if side else -4.0)
    rise = _LINE * (len(lines) - 1)
    for farther in range(_MOST_FARTHER):
        above, below = y - 16.0 - rise - _LINE * farther, y + 22.0 + _LINE * farther
        for top in (above, below):
            if top > _TOP + 10.0 and top + rise < frame.bottom - 4.0:
                yield _Label(tuple(lines), x + shift, top, side, is_strong=is_chosen)
    yield _Label(tuple(lines), x + shift, y + 22.0, side, is_strong=is_chosen)


def _said(found: Deliberation) -> str:
    one = found.chosen
    return (
        f"Chosen: every joint reaches {age_words(one.sure_years, found.market)} "
        f"for {money_band(one.over_life, one.currency)} over the life. The table below holds every point."
    )
