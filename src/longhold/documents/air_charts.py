"""Loss against age for several places or sites in one chart, and which input carries the spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.axes import Frame, film_scales, nice_most
from longhold.documents.figures import figure
from longhold.documents.svg import Value, path, tag, text_lines, wrap
from longhold.forecast.summary import Curve

__all__ = ["Line", "loss_chart", "share_bar", "spread"]

_WIDTH, _LEFT, _TOP, _PLOT = 360.0, 50.0, 30.0, 150.0
_LABEL_X, _LABEL_LETTERS, _LABEL_HEIGHT = 218.0, 21, 30.0
_LEAST_HEIGHT = 190.0
_DASHES = (None, "8 3", "2.5 3", "10 3 2 3", "5 2", "1.5 2")
_CLEAR_OF_AXIS = 16.0
_MANY = 4


@dataclass(frozen=True)
class Line:
    """One curve with the words that stand at its end."""

    name: str
    curve: Curve


def loss_chart(
    lines: Sequence[Line], words: str, system: System, limit: tuple[float, str] | None = None
) -> Markup:
    """Depth lost against age, a band about each curve, named where it ends.

    Parameters
    ----------
    lines : curves over the same ages; the first lies on top
    words : the chart in words
    system : the unit of its axis is that of the system
    limit : a depth [um] and its name, drawn where it lies clear of the axis
    """
    height = max(_LEAST_HEIGHT, _LABEL_HEIGHT * len(lines))
    ages = lines[0].curve.years
    most = nice_most(max(max(line.curve.p90) for line in lines))
    frame = Frame(_LEFT, _TOP, _PLOT, height, ages[-1], most)
    first = film_scales(system)[:1]
    name = tag("text", f"Depth lost, {first[0].unit}", x=0, y=frame.top - 16, class_="axis-name")
    parts = [name, frame.value_axis("", first), *_bands(frame, lines)]
    if limit is not None and frame.bottom - frame.y(limit[0]) > _CLEAR_OF_AXIS and limit[0] < most:
        y = frame.y(limit[0])
        parts.append(tag("line", x1=frame.left, x2=frame.right, y1=y, y2=y, class_="limit"))
        parts.append(tag("text", limit[1], x=frame.left + 4, y=y - 4, class_="label"))
    for number, line in enumerate(lines):
        points = [(frame.x(t), frame.y(v)) for t, v in zip(line.curve.years, line.curve.p50, strict=True)]
        dash = _DASHES[number % len(_DASHES)]
        parts.append(tag("path", d=path(points), class_="median", stroke_dasharray=dash))
    parts += [frame.years_axis(None), *_labels(frame, lines, first[0].per_one)]
    box: dict[str, Value] = {"viewBox": f"0 0 {_WIDTH:g} {frame.bottom + 38:.0f}", "role": "img"}
    return tag("svg", *parts, **box, aria_label=words, class_="chart")


def share_bar(share: float) -> Markup:
    """A bar whose length is a share of the whole."""
    parts = (
        tag("line", x1=0.5, x2=199.5, y1=15.5, y2=15.5, class_="axis"),
        tag("rect", x=0.5, y=2, width=max(199.0 * min(share, 1.0), 1.0), height=13, class_="bar"),
    )
    return tag("svg", *parts, viewBox="0 0 200 17", aria_hidden="true", class_="share")


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places as near to those wanted as a gap between any two and the ends allow, in the order wanted.

    >>> spread([50.0, 49.0, 10.0], 10.0, 0.0, 60.0)
    [54.5, 44.5, 10.0]
    """
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    groups: list[list[float]] = []  # each of labels that touch: count, sum of (wanted - offset in the group)
    for i in order:
        groups.append([1, wanted[i]])
        while len(groups) > 1 and _start(groups[-1], gap, low, high) < _start(groups[-2], gap, low, high) + (
            groups[-2][0] * gap
        ):
            count, total = groups.pop()
            first = groups[-1]
            groups[-1] = [first[0] + count, first[1] + total - count * first[0] * gap]
    places = [_start(group, gap, low, high) + k * gap for group in groups for k in range(int(group[0]))]
    found = [0.0] * len(wanted)
    for place, i in zip(places, order, strict=True):
        found[i] = place
    return found


def _start(group: Sequence[float], gap: float, low: float, high: float) -> float:
    count, total = group
    return max(low, min(total / count, high - (count - 1) * gap))


def _bands(frame: Frame, lines: Sequence[Line]) -> list[Markup]:
    shade = "over many" if len(lines) > _MANY else "over"
    return [_band(frame, line.curve, shade) for line in reversed(lines)]


def _band(frame: Frame, curve: Curve, shade: str) -> Markup:
    high = [(frame.x(t), frame.y(v)) for t, v in zip(curve.years, curve.p90, strict=True)]
    low = [(frame.x(t), frame.y(v)) for t, v in zip(curve.years, curve.p10, strict=True)]
    return tag("path", d=path([*high, *reversed(low)], close=True), class_=shade)


def _labels(frame: Frame, lines: Sequence[Line], per_um: float) -> list[Markup]:
    ends = [frame.y(line.curve.p50[-1]) for line in lines]
    places = spread(ends, _LABEL_HEIGHT, frame.top + 6, frame.bottom - 8)
    parts = []
    for line, end, place in zip(lines, ends, places, strict=True):
        lead = [(frame.right, end), (frame.right + 6, end), (_LABEL_X - 4, place)]
        parts.append(tag("path", d=path(lead), class_="leader"))
        name = "".join(wrap(line.name, _LABEL_LETTERS, 1))
        parts.append(text_lines([name], _LABEL_X, place - 1, class_="label strong"))
        parts.append(text_lines([_told(line.curve, per_um)], _LABEL_X, place + 11, class_="tick"))
    return parts


def _told(curve: Curve, per_um: float) -> str:
    low, middle, high = (figure(float(f"{per_um * v[-1]:.3g}")) for v in (curve.p10, curve.p50, curve.p90))
    return f"{middle} ({low} to {high})"
