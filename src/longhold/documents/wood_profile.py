"""Loss against depth beside the timber and its fastener, at one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.axes import Frame, nice_most, ticks
from longhold.documents.figures import figure, film, film_units
from longhold.documents.svg import path, tag, text_lines
from longhold.documents.wood_charts import depth_axis, depth_frame, wood_svg
from longhold.documents.wood_rows import depth_words
from longhold.documents.words import metal_words

if TYPE_CHECKING:
    from longhold.assessment.wood_findings import MetalLoss, WoodBlock

__all__ = ["Shank", "at_face", "profile_chart"]

_STRIP, _GAP, _MOST_PANELS = 44.0, 18.0, 2


@dataclass(frozen=True)
class Shank:
    """A fastener within one timber: its id, diameter and how deep it reaches [mm]."""

    id: str
    diameter_mm: float
    reach_mm: float
    through: bool


def at_face(block: WoodBlock, one: MetalLoss) -> bool:
    """Whether a metal loses most at the face itself: under a plate, or in the outermost cell."""
    return one.worst_mm is None or one.worst_mm <= block.depth_mm[0]


def profile_chart(
    block: WoodBlock, losses: Sequence[MetalLoss], shank: Shank | None, system: System
) -> Markup:
    """Loss of the first year against depth, beside the timber and its fastener at one scale.

    Parameters
    ----------
    block : the timber
    losses : metals with a curve; the first two are drawn
    shank : the fastener; None leaves it out
    system : its units come first
    """
    drawn = losses[:_MOST_PANELS]
    whole = depth_frame(1.0, block.thickness_mm, system)
    parts = [depth_axis(whole, system, grid=True), _strip(whole, shank)]
    room = whole.width - _STRIP
    wide = room / len(drawn) - _GAP
    most = nice_most(1.02 * max(max(one.curve.p90_um) for one in drawn if one.curve is not None))
    for number, one in enumerate(drawn):
        left = whole.left + _STRIP + _GAP + number * (wide + _GAP)
        frame = Frame(left, whole.top, wide, whole.height, most, block.thickness_mm, downward=True)
        parts += _panel(frame, block, one, system)
    below = whole.bottom + 32
    unit = film_units(system)[0][0]
    middle = whole.left + _STRIP + room / 2
    parts.append(tag("text", f"Lost in the first year, {unit}", x=middle, y=below, class_="axis-name mid"))
    words = "; ".join(
        f"{metal_words(one.metal)} most at {depth_words(one.worst_mm, system)}, "
        f"{film(one.worst_um.p50, system)}"
        for one in drawn
        if one.worst_mm is not None
    )
    return wood_svg(below + 8.0, f"Loss in the first year against depth in {block.timber}: {words}.", parts)


def _strip(frame: Frame, shank: Shank | None) -> Markup:
    """The timber as a strip, with the fastener in it at the scale of the depth axis."""
    parts = [
        tag("rect", x=frame.left, y=frame.top, width=_STRIP, height=frame.height, class_="timber"),
        tag("rect", x=frame.left, y=frame.top, width=_STRIP, height=frame.height, class_="timber-edge"),
    ]
    if shank is not None:
        px = frame.height / frame.y_most
        middle, half = frame.left + _STRIP / 2, min(shank.diameter_mm * px / 2, _STRIP / 2 - 3)
        tip = frame.y(shank.reach_mm)
        point = 0.0 if shank.through else min(3.2 * half, 0.3 * (tip - frame.top))
        outline = [
            (middle - half, frame.top - 4),
            (middle + half, frame.top - 4),
            (middle + half, tip - point),
        ]
        outline += [(middle, tip)] if point else []
        outline += [(middle - half, tip - point)]
        parts.append(tag("path", d=path(outline, close=True), class_="metal"))
    return Markup("").join(parts)


def _panel(frame: Frame, block: WoodBlock, one: MetalLoss, system: System) -> list[Markup]:
    curve = one.curve
    if curve is None or one.worst_mm is None:
        return []
    depths = [frame.y(depth) for depth in curve.depth_mm]
    low, middle, high = (
        [(frame.x(value), y) for value, y in zip(values, depths, strict=True)]
        for values in (curve.p10_um, curve.p50_um, curve.p90_um)
    )
    name = metal_words(one.metal)
    parts = [
        tag("path", d=path([*high, *reversed(low)], close=True), class_="band"),
        tag("line", x1=frame.left, x2=frame.left, y1=frame.top, y2=frame.bottom, class_="axis"),
        tag("line", x1=frame.left, x2=frame.right, y1=frame.bottom, y2=frame.bottom, class_="axis"),
        tag("path", d=path(middle), class_="median"),
    ]
    per_um = film_units(system)[0][1]
    for value in ticks(frame.x_most * per_um, 2):
        x = frame.x(value / per_um)
        parts.append(tag("line", x1=x, x2=x, y1=frame.bottom, y2=frame.bottom + 4, class_="axis"))
        last = "tick end" if x > frame.right - 8 else "tick mid"
        parts.append(tag("text", f"{value:g}", x=x, y=frame.bottom + 16, class_=last))
    worst = curve.depth_mm.index(one.worst_mm)
    x, y = frame.x(one.worst_um.p50), middle[worst][1]
    deep = "at the face" if at_face(block, one) else depth_words(one.worst_mm, system).partition(" (")[0]
    said = [
        f"worst {deep}",
        *(f"{figure(per * one.worst_um.p50)} {unit}" for unit, per in film_units(system)),
    ]
    top = _clear_of_curve(frame, middle, 13.0 * len(said))
    corner = (frame.right - 40, top if y < top else top + 13.0 * len(said))
    parts.append(tag("path", d=path([(x, y), corner]), class_="leader"))
    parts.append(tag("circle", cx=x, cy=y, r=3.5, class_="dot"))
    parts.append(text_lines(said, frame.right - 2, top + 11, class_="label strong end"))
    parts.append(tag("text", name, x=frame.left, y=frame.top - 12, class_="label strong"))
    return parts


def _clear_of_curve(frame: Frame, middle: Sequence[tuple[float, float]], high: float) -> float:
    """Upper edge of words at the right that keep clear of the curve: beside where least is lost."""
    steps = [frame.top + 4 + 4.0 * i for i in range(int((frame.height - high - 8) / 4) + 1)]

    def reach(top: float) -> float:
        return max((x for x, y in middle if top - 8 <= y <= top + high + 8), default=frame.left)

    return min(steps, key=reach)
