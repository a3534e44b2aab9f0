"""A site on the coast: land and salt water, the way to the nearest shore and to salt water all round."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import cos, radians, sin
from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from longhold.base.quantities import System
from longhold.documents.svg import path, tag, text_lines

if TYPE_CHECKING:
    from longhold.assessment.shore import ShoreFinding, SiteMap

__all__ = ["about", "coast_map", "compass", "map_words", "scale_length"]

Array = NDArray[np.float64]
_SIDE = 340.0
_ROW = 5.0
_SCALE_SHARE = 0.28
_EARTH_M = 6_371_009.0
_UNITS = {"us": (0.3048, "ft", 1609.344, "miles"), "si": (1.0, "m", 1000.0, "km")}
_POINTS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")


def compass(bearing_deg: float) -> str:
    """A bearing as one of eight words.

    >>> compass(130.0), compass(350.0)
    ('southeast', 'north')
    """
    return _POINTS[round(bearing_deg / 45.0) % 8]


def about(distance_m: float, system: System) -> str:
    """A distance over ground in two digits, as good as the shoreline is.

    >>> about(236.6, "us"), about(236.6, "si"), about(1.198e6, "us"), about(0.0, "si")
    ('780 ft', '240 m', '740 miles', '0 m')
    """
    unit_m, word = _unit(distance_m, system)
    return f"{float(f'{distance_m / unit_m:.2g}'):,g} {word}"


def scale_length(span_m: float, system: System) -> tuple[float, str]:
    """A round length [m] of at most a span, with its words.

    >>> scale_length(1200.0, "si"), scale_length(1200.0, "us")[1]
    ((1000.0, '1 km'), '2,000 ft')
    """
    unit_m, word = _unit(span_m, system)
    length = _round_down(span_m / unit_m)
    return length * unit_m, f"{length:,g} {word if length != 1 else word.removesuffix('s')}"


def _unit(length_m: float, system: System) -> tuple[float, str]:
    small_m, small, large_m, large = _UNITS[system]
    return (large_m, large) if length_m >= large_m else (small_m, small)


def map_words(shore: ShoreFinding, system: System) -> str:
    """What is drawn, for people."""
    reach = about(shore.directions.reach_m, system)
    count, met = len(shore.directions.bearing_deg), int(np.isfinite(shore.directions.distance_m).sum())
    over = "land" if shore.nearest.at_sea else "salt water"
    told = f"Ruled: salt water; fresh water is not drawn. Thick line: the shortest way to {over}."
    if not met:
        return f"{told} None lies within {reach} in any of {count} directions."
    some = f"{met} of {count}" if met < count else f"all {count}"
    return (
        f"{told} Thin lines: to the first {over} in each direction, where the map holds it; "
        f"{some} directions have some within {reach}."
    )


def coast_map(shore: ShoreFinding, coast: SiteMap, name: str, system: System) -> Markup:
    """The map: the site in the middle, distances and directions from it true, salt water ruled.

    Parameters
    ----------
    shore : where salt water lies
    coast : lines to draw
    name : of the site
    system : units of the lengths
    """
    meters = coast.radius_m * 2.0**0.5 / _SIDE
    lines = [_pixels(line, shore, meters) for line in coast.lines]
    nearest = shore.nearest
    away = about(float(nearest.distance_m), system)
    told = f"on salt water, {away} to land" if nearest.at_sea else f"{away} to salt water"
    ways = [
        _ray(*_at(float(bearing), float(distance) / meters))
        for bearing, distance in zip(shore.directions.bearing_deg, shore.directions.distance_m, strict=True)
        if np.isfinite(distance)
    ]
    bearing, long = float(nearest.bearing_deg), float(nearest.distance_m) / meters
    end = _at(bearing, long)
    middle = _SIDE / 2
    parts = [
        tag("path", d="".join(_ruling(lines, at_sea=bool(nearest.at_sea))) or None, class_="sea"),
        tag("path", d="".join(path(line) for line in map(_points, lines)) or None, class_="coast"),
        *ways,
        tag("line", x1=middle, y1=middle, x2=end[0], y2=end[1], class_="way"),
        tag("circle", cx=middle, cy=middle, r=4.5, class_="dot"),
        text_lines([told], middle, middle + (-14.0 if end[1] >= middle else 24.0), class_="label strong mid"),
        _scale_bar(meters, system),
        _north(),
        tag("rect", x=0.6, y=0.6, width=_SIDE - 1.2, height=_SIDE - 1.2, class_="edge"),
    ]
    words = f"Map about {name}: {told}, to the {compass(bearing)}."
    return tag(
        "svg", *parts, viewBox=f"0 0 {_SIDE:g} {_SIDE:g}", role="img", aria_label=words, class_="drawing map"
    )


def _pixels(line: Array, shore: ShoreFinding, meters: float) -> Array:
    """Azimuthal equidistant about the site: near it the same as longitude narrowed by cos(latitude)."""
    lon, lat = np.radians(line[:, 0] - shore.longitude), np.radians(line[:, 1])
    here = radians(shore.latitude)
    east = np.cos(lat) * np.sin(lon)
    north = cos(here) * np.sin(lat) - sin(here) * np.cos(lat) * np.cos(lon)
    up = sin(here) * np.sin(lat) + cos(here) * np.cos(lat) * np.cos(lon)
    flat = np.hypot(east, north)
    angle = np.arctan2(flat, up)
    stretch = np.divide(angle, flat, out=np.ones_like(flat), where=flat > 0) * _EARTH_M / meters
    return np.stack([_SIDE / 2 + stretch * east, _SIDE / 2 - stretch * north], axis=-1)


def _ruling(lines: list[Array], at_sea: bool) -> Iterator[str]:
    """Level lines over the water; land lies to the right of a coastline.

    A stretch is ruled only where both its ends say water, so that a coast with a gap leaves no line on land.
    """
    pieces = [np.concatenate([line[:-1], line[1:]], axis=1) for line in lines]
    segments = np.concatenate(pieces) if pieces else np.empty((0, 4))
    rows: list[float] = np.arange(_ROW / 2, _SIDE, _ROW).tolist()
    crossed = [_crossings(segments, 1, y) for y in rows]
    left = _edge(_crossings(segments, 0, 0.0), [not found[0][1] for found in crossed if found], at_sea)
    right = _edge(_crossings(segments, 0, _SIDE), [found[-1][1] for found in crossed if found], at_sea)
    for y, found in zip(rows, crossed, strict=True):
        ends = [(0.0, _wet(left, y)), *found, (_SIDE, not _wet(right, y))]
        for (start, opens), (stop, opens_next) in pairwise(ends):
            if opens and not opens_next:
                yield path([(start, y), (stop, y)])


def _crossings(segments: Array, axis: int, level: float) -> list[tuple[float, bool]]:
    """Where coasts cross a level of x (axis 0) or y (axis 1), and whether water follows there."""
    a, b = segments[:, axis], segments[:, 2 + axis]
    hit = (a <= level) != (b <= level)
    start, end = segments[hit, :2], segments[hit, 2:]
    share = (level - start[:, axis]) / (end[:, axis] - start[:, axis])
    other = 1 - axis
    at = start[:, other] + share * (end[:, other] - start[:, other])
    # down the page with land to the right, water lies to the east; to the west, it lies to the south
    grows = end[:, axis] > start[:, axis]
    opens = grows if axis == 1 else ~grows
    return sorted((float(x), bool(water)) for x, water in zip(at, opens, strict=True) if 0.0 <= x <= _SIDE)


def _edge(crossings: list[tuple[float, bool]], seen: list[bool], at_sea: bool) -> list[tuple[float, bool]]:
    """The crossings of an edge from its top, or, without any, what the rows say most often of it."""
    if crossings:
        return [(0.0, not crossings[0][1]), *crossings]
    return [(0.0, 2 * sum(seen) > len(seen) if seen else at_sea)]


def _wet(edge: list[tuple[float, bool]], y: float) -> bool:
    """Whether an edge is water at a height."""
    return [opens for at, opens in edge if at <= y][-1]


def _points(line: Array) -> list[tuple[float, float]]:
    return [(round(float(x), 1), round(float(y), 1)) for x, y in line]


def _at(bearing_deg: float, long: float) -> tuple[float, float]:
    angle = radians(bearing_deg)
    return _SIDE / 2 + long * sin(angle), _SIDE / 2 - long * cos(angle)


def _ray(x: float, y: float) -> Markup:
    if not (0.0 <= x <= _SIDE and 0.0 <= y <= _SIDE):
        return Markup("")
    line = tag("line", x1=_SIDE / 2, y1=_SIDE / 2, x2=x, y2=y, class_="ray")
    return line + tag("circle", cx=x, cy=y, r=1.7, class_="ray-end")


def _scale_bar(meters: float, system: System) -> Markup:
    length_m, words = scale_length(_SCALE_SHARE * _SIDE * meters, system)
    long, y = length_m / meters, _SIDE - 14.0
    return (
        tag("rect", x=6, y=y - 22, width=long + 20, height=30, class_="plate")
        + tag("path", d=path([(16, y - 4), (16, y), (16 + long, y), (16 + long, y - 4)]), class_="axis open")
        + tag("text", words, x=16 + long / 2, y=y - 8, class_="tick mid")
    )


def _north() -> Markup:
    x, y = _SIDE - 20.0, 12.0
    return (
        tag("rect", x=x - 12, y=6, width=24, height=44, class_="plate")
        + tag(
            "path",
            d=path([(x, y), (x + 5, y + 14), (x, y + 10), (x - 5, y + 14)], close=True),
            class_="life-on",
        )
        + tag("text", "N", x=x, y=y + 32, class_="label strong mid")
    )


def _round_down(value: float) -> float:
    """The largest of 1, 2, 5, 10, 20 ... that is no more than a value.

    >>> _round_down(4700.0), _round_down(0.3)
    (2000.0, 0.2)
    """
    ten = 10.0 ** float(np.floor(np.log10(value)))
    return float(next(step * ten for step in (5, 2, 1) if step * ten <= value * (1 + 1e-9)))
