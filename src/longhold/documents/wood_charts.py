"""Moisture of a timber against time and depth as a picture, depth to scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.axes import Frame, length_scales, ticks
from longhold.documents.svg import tag

if TYPE_CHECKING:
    from longhold.assessment.wood_findings import WoodBlock

__all__ = ["CLASSES_PCT", "depth_axis", "depth_frame", "heat_map", "wood_svg"]

CLASSES_PCT = (10.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0)
"""Borders between the shades [%]; 18 is the threshold, 22 and 28 are where the two responses level off."""
_WIDTH, _LEFT, _TOP, _TALL = 360.0, 34.0, 26.0, 190.0
_FACE = "face that the metal enters"
_LETTERS = "JFMAMJJASOND"

Grid = Sequence[Sequence[float]]


def heat_map(block: WoodBlock, threshold_pct: float, system: System, words: str) -> Markup:
    """Moisture as darkness, months across and depth down, with the threshold as a heavy line.

    Parameters
    ----------
    block : its year where it has one, else its monthly means
    threshold_pct : where the line runs [%]; one of ``CLASSES_PCT``
    system : its unit is that of the depth axis; where it is that of the US, mm stand at the right
    words : the picture in words
    """
    grid: Grid = block.monthly_pct if block.year is None else block.year.moisture_pct
    frame = depth_frame(float(len(grid)), block.thickness_mm, system)
    edges = [frame.y(depth) for depth in _edges(block.depth_mm, block.thickness_mm)]
    columns = [frame.x(float(i)) for i in range(len(grid) + 1)]
    plate = tag(
        "rect", x=frame.left, y=frame.top, width=frame.width, height=frame.height, class_="heat-plate"
    )
    line = "".join(_contour(grid, threshold_pct, columns, edges))
    parts = [
        plate,
        *_shades(grid, columns, edges),
        tag("path", d=line, class_="contour under") if line else "",
        tag("path", d=line, class_="contour") if line else "",
        depth_axis(frame, system, grid=False),
        tag("text", _FACE, x=frame.left + frame.width / 2, y=frame.top - 12, class_="tick mid"),
        _line_words(grid, threshold_pct, columns, edges),
        _months(frame),
        _key(frame.bottom + 40.0, threshold_pct),
    ]
    height = frame.bottom + 84.0
    return wood_svg(height, words, parts)


def depth_frame(x_most: float, thickness_mm: float, system: System) -> Frame:
    """The box of a drawing of one timber: its front face on top, its back face at the bottom."""
    right = 36.0 if system == "us" else 8.0
    return Frame(_LEFT, _TOP, _WIDTH - _LEFT - right, _TALL, x_most, thickness_mm, downward=True)


def _edges(depth_mm: Sequence[float], thickness_mm: float) -> list[float]:
    """Borders of cells from their middles, face to face."""
    edges = [0.0]
    for middle in depth_mm[:-1]:
        edges.append(min(max(2.0 * middle - edges[-1], edges[-1]), thickness_mm))
    return [*edges, thickness_mm]


def _shade(value: float) -> int:
    return sum(value >= border for border in CLASSES_PCT)


def _shades(grid: Grid, columns: Sequence[float], edges: Sequence[float]) -> Iterator[Markup]:
    """One path for each shade, cells joined along a depth."""
    runs: dict[int, list[str]] = {}
    for j in range(len(edges) - 1):
        start = 0
        for i in range(1, len(grid) + 1):
            if i == len(grid) or _shade(grid[i][j]) != _shade(grid[start][j]):
                left, right = f"{columns[start]:.1f}", f"{columns[i]:.1f}"
                box = f"M{left} {edges[j]:.2f}H{right}V{edges[j + 1]:.2f}H{left}z"
                runs.setdefault(_shade(grid[start][j]), []).append(box)
                start = i
    for shade, boxes in sorted(runs.items()):
        if shade:
            yield tag("path", d="".join(boxes), class_=f"heat wet{shade}")


def _contour(
    grid: Grid, threshold_pct: float, columns: Sequence[float], edges: Sequence[float]
) -> Iterator[str]:
    """Strokes along the borders of cells between the wet and the dry side of the threshold."""
    wet = [[value >= threshold_pct for value in column] for column in grid]
    for i in range(1, len(grid)):
        changed = [wet[i][j] != wet[i - 1][j] for j in range(len(edges) - 1)]
        for start, end in _spans(changed):
            yield f"M{columns[i]:.1f} {edges[start]:.2f}V{edges[end]:.2f}"
    for j in range(1, len(edges) - 1):
        changed = [column[j] != column[j - 1] for column in wet]
        for start, end in _spans(changed):
            yield f"M{columns[start]:.1f} {edges[j]:.2f}H{columns[end]:.1f}"


def _line_words(
    grid: Grid, threshold_pct: float, columns: Sequence[float], edges: Sequence[float]
) -> Markup | str:
    """The threshold, written on the longest level stretch of its line."""
    longest, place = 0.0, (0.0, 0.0)
    for j in range(1, len(edges) - 1):
        changed = [(column[j] >= threshold_pct) != (column[j - 1] >= threshold_pct) for column in grid]
        for start, end in _spans(changed):
            if columns[end] - columns[start] > longest:
                longest = columns[end] - columns[start]
                place = ((columns[start] + columns[end]) / 2, edges[j])
    if not longest:
        return ""
    x = min(max(place[0], columns[0] + 18), columns[-1] - 18)
    y = place[1] - 6 if place[1] > edges[0] + 30 else place[1] + 15
    return tag("text", f"{threshold_pct:g} %", x=x, y=y, class_="label strong mid")


def _spans(flags: Sequence[bool]) -> Iterator[tuple[int, int]]:
    start = None
    for i, flag in enumerate([*flags, False]):
        if flag and start is None:
            start = i
        if not flag and start is not None:
            yield start, i
            start = None


def depth_axis(frame: Frame, system: System, *, grid: bool) -> Markup:
    """Depth down the left in the unit of the system, at the right in mm where that is inches, both faces."""
    first, *others = length_scales(system)
    parts = [tag("text", f"Depth, {first.unit}", x=0, y=frame.top - 12, class_="axis-name")]
    for value in ticks(frame.y_most * first.per_one, 5):
        y = frame.y(value / first.per_one)
        if grid:
            parts.append(tag("line", x1=frame.left, x2=frame.right, y1=y, y2=y, class_="grid"))
        parts.append(tag("line", x1=frame.left - 4, x2=frame.left, y1=y, y2=y, class_="axis"))
        parts.append(tag("text", f"{value:g}", x=frame.left - 7, y=y + 4, class_="tick end"))
    for second in others:
        parts.append(tag("text", second.unit, x=frame.right + 8, y=frame.top - 12, class_="axis-name"))
        for value in ticks(frame.y_most * second.per_one, 4):
            y = frame.y(value / second.per_one)
            parts.append(tag("line", x1=frame.right, x2=frame.right + 4, y1=y, y2=y, class_="axis"))
            parts.append(tag("text", f"{value:g}", x=frame.right + 7, y=y + 4, class_="tick"))
    faces = (frame.top, frame.bottom)
    parts += [tag("line", x1=frame.left, x2=frame.right, y1=y, y2=y, class_="edge") for y in faces]
    return Markup("").join(parts)


def _months(frame: Frame) -> Markup:
    parts = []
    step = frame.width / 12
    for number, letter in enumerate(_LETTERS):
        x = frame.left + number * step
        parts.append(tag("line", x1=x, x2=x, y1=frame.bottom, y2=frame.bottom + 5, class_="axis"))
        parts.append(tag("text", letter, x=x + step / 2, y=frame.bottom + 16, class_="tick mid"))
    return Markup("").join(parts)


def _key(top: float, threshold_pct: float) -> Markup:
    """The shades as a bar with the figures at their borders."""
    left, wide, high = _LEFT, _WIDTH - _LEFT - 60.0, 14.0
    step = wide / (len(CLASSES_PCT) + 1)
    parts = [
        tag("text", "Moisture, % of dry mass", x=left, y=top - 6, class_="axis-name"),
        tag("rect", x=left, y=top, width=wide, height=high, class_="heat-plate"),
    ]
    for shade in range(1, len(CLASSES_PCT) + 1):
        x = left + shade * step
        parts.append(tag("rect", x=x, y=top, width=step, height=high, class_=f"heat wet{shade}"))
    parts.append(tag("rect", x=left, y=top, width=wide, height=high, class_="heat-frame"))
    for shade, border in enumerate(CLASSES_PCT, start=1):
        x, heavy = left + shade * step, border == threshold_pct
        if heavy:
            parts.append(tag("line", x1=x, x2=x, y1=top - 4, y2=top + high + 4, class_="contour under"))
        kind = "contour" if heavy else "axis"
        parts.append(tag("line", x1=x, x2=x, y1=top - 3 * heavy, y2=top + high + 4, class_=kind))
        name = "tick mid strong" if heavy else "tick mid"
        parts.append(tag("text", f"{border:g}", x=x, y=top + high + 17, class_=name))
    return Markup("").join(parts)


def wood_svg(height: float, words: str, parts: Sequence[str]) -> Markup:
    """The whole drawing, with its words."""
    return tag(
        "svg", *parts, viewBox=f"0 0 {_WIDTH:g} {height:.0f}", role="img", aria_label=words, class_="chart"
    )
