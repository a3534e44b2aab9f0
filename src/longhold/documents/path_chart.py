"""The wet path of a couple drawn: how far the pull on the nobler metal goes, and what it takes up there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.axes import Frame, figure_plain, length_scales, nice_most, ticks
from longhold.documents.figures import figure
from longhold.documents.svg import path, tag

if TYPE_CHECKING:
    from longhold.assessment.wet_path import WetPath

__all__ = ["PathView", "path_view"]

_WIDTH, _LEFT, _TALL = 360.0, 46.0, 96.0
_TOPS = (24.0, 162.0)
_ROWS = 11


@dataclass(frozen=True)
class PathView:
    """One wet path as it is laid out.

    Attributes
    ----------
    picture : two panels over the distance: potential, and oxygen taken up
    words : what they say
    unit : of the distance in the rows
    rows : distance, potential below that by itself [V], oxygen taken up [A/m2], as shown
    """

    picture: Markup
    words: str
    unit: str
    rows: tuple[tuple[str, str, str], ...]


def path_view(one: WetPath, system: System) -> PathView:
    """The picture, its words and its numbers."""
    scale = length_scales(system)[0]
    worth, reach = (f"{figure(mm * scale.per_one)} {scale.unit}" for mm in (one.worth_mm, one.reach_mm))
    words = (
        f"Along the wet path on the {one.cathode} the pull falls off, and metal far away takes up less. "
        f"The whole path takes up as much as its first {worth} would at the full rate; {reach} are counted "
        "in full, up to the broken line, and nothing past it. Middle values; a straight path, drawn as if "
        "the metal went on past the line."
    )
    step = max(1, (len(one.from_mm) - 1) // (_ROWS - 1))
    rows = tuple(
        (figure(mm * scale.per_one, 2), figure(volts, 3), figure(current, 3))
        for mm, volts, current in list(zip(one.from_mm, one.below_v, one.takes_up_a_m2, strict=True))[::step]
    )
    return PathView(_picture(one, system, words), words, scale.unit, rows)


def _picture(one: WetPath, system: System, words: str) -> Markup:
    panels = (
        ("Below its own potential, V", one.below_v),
        ("Oxygen taken up for the other metal, A/m²", one.takes_up_a_m2),
    )
    parts = []
    for top, (title, values) in zip(_TOPS, panels, strict=True):
        frame = Frame(_LEFT, top, _WIDTH - _LEFT - 12.0, _TALL, one.from_mm[-1], nice_most(max(values)))
        line = [(frame.x(mm), frame.y(value)) for mm, value in zip(one.from_mm, values, strict=True)]
        at = frame.x(one.reach_mm)
        parts += [
            frame.value_axis(title),
            _distances(frame, system, named=top == _TOPS[-1]),
            tag("line", x1=at, x2=at, y1=frame.top, y2=frame.bottom, class_="limit"),
            tag("path", d=path(line), class_="median"),
        ]
    height = _TOPS[-1] + _TALL + 40.0
    box = f"0 0 {_WIDTH:g} {height:g}"
    return tag("svg", *parts, viewBox=box, role="img", aria_label=words, class_="chart")


def _distances(frame: Frame, system: System, *, named: bool) -> Markup:
    scale = length_scales(system)[0]
    parts = [tag("line", x1=frame.left, x2=frame.right, y1=frame.bottom, y2=frame.bottom, class_="axis")]
    for value in ticks(frame.x_most * scale.per_one, 4):
        x = frame.x(value / scale.per_one)
        parts.append(tag("line", x1=x, x2=x, y1=frame.bottom, y2=frame.bottom + 4, class_="axis"))
        parts.append(tag("text", figure_plain(value), x=x, y=frame.bottom + 16, class_="tick mid"))
    if named:
        name = f"Distance from the metal that loses, {scale.unit}"
        middle = frame.left + frame.width / 2
        parts.append(tag("text", name, x=middle, y=frame.bottom + 32, class_="axis-name mid"))
    return Markup("").join(parts)
