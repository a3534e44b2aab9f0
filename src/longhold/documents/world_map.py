"""A map of the world that is pressed to choose a place: it works without a script and without internet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import import_module
from math import ceil, cos, radians
from pathlib import Path

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from longhold.air.coast_index import SEMI_MAJOR_M
from longhold.air.coast_lines import thin_world
from longhold.base.quantities import System
from longhold.base.recent import once
from longhold.documents.air_map import scale_length
from longhold.documents.svg import path, tag

__all__ = ["HEIGHT", "SMALL", "WIDE", "WIDTH", "MapView", "coast_data", "map_svg", "wider_with_coast"]

Array = NDArray[np.float64]

WIDTH, HEIGHT = 340, 230
"""Of the picture on a phone [CSS px]."""
WIDE = 2
"""Times that at a desk."""
SMALL = 0.5
"""Times that beside a map without a shore, to show where that map lies."""
_WIDEST_DEG, _NARROWEST_DEG = 360.0, 0.1
_CLOSER = 4.0
_KNOWN_BY_COASTS_DEG = 60.0
_LEAST_PX, _MARGIN_PX, _LEAST_LINES = 1.2, 12.0, 3
_GRID_STEPS = (45.0, 15.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
_WIDEST_WITH_SCALE_DEG, _SCALE_SHARE = 100.0, 0.28
_LETTER_PX, _ASIDE_PX, _GAP_PX = 6.75, 2.0, 6.0  # of the widest of the fonts that a device may have
_M_PER_DEG = radians(1.0) * SEMI_MAJOR_M  # of longitude at the equator
_STYLE = """
svg{background:#fbfaf6}.land{fill:none;stroke:#17191c;stroke-width:1.1;stroke-linejoin:round}
.grid{stroke:#c9c6bc;stroke-width:.6}text{font:10.5px system-ui,sans-serif;fill:#53585e}
.here,.bar{fill:none;stroke:#17191c;stroke-width:1.6}
.scale{fill:#17191c;stroke:#fbfaf6;stroke-width:3;paint-order:stroke}
@media (prefers-color-scheme:dark){svg{background:#14161a}.land{stroke:#efece5}.grid{stroke:#474c53}
text{fill:#b0b4b8}.here,.bar{stroke:#efece5}.scale{fill:#efece5;stroke:#14161a}}
"""


@dataclass(frozen=True)
class MapView:
    """What part of the world is shown.

    Attributes
    ----------
    latitude, longitude : of its middle [degree]
    span_deg : degrees of longitude from edge to edge
    times : size of the picture, as a multiple of that on a phone
    """

    latitude: float = 20.0
    longitude: float = 0.0
    span_deg: float = _WIDEST_DEG
    times: float = 1

    @property
    def width(self) -> int:
        """Of the picture [CSS px]."""
        return round(WIDTH * self.times)

    @property
    def height(self) -> int:
        """Of the picture [CSS px]."""
        return round(HEIGHT * self.times)

    @property
    def scale(self) -> tuple[float, float]:
        """Pixels for a degree of longitude and of latitude, which look alike in the middle of the picture."""
        across = self.width / self.span_deg
        return across, across / max(cos(radians(self.latitude)), 0.2)

    @property
    def meters_a_pixel(self) -> float:
        """How much ground a pixel in the middle of the picture shows [m]."""
        return _M_PER_DEG * cos(radians(self.latitude)) / self.scale[0]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Latitude and longitude [degree] under a point of the picture [px].

        >>> MapView().at(170, 115)
        (20.0, 0.0)
        """
        across, up = self.scale
        latitude = self.latitude - (y - self.height / 2) / up
        longitude = self.longitude + (x - self.width / 2) / across
        return max(-90.0, min(90.0, latitude)), (longitude + 180.0) % 360.0 - 180.0

    def pixel(self, latitude: float, longitude: float) -> tuple[float, float]:
        """The point of the picture [px] that shows a place [degree]."""
        across, up = self.scale
        x = ((longitude - self.longitude + 180.0) % 360.0 - 180.0) * across + self.width / 2
        return x, self.height / 2 - (latitude - self.latitude) * up

    def shows(self, latitude: float, longitude: float) -> bool:
        """Whether a place [degree] lies in the picture.

        >>> MapView(40.0, -100.0, 20.0).shows(45.0, -93.0), MapView(40.0, -100.0, 20.0).shows(45.0, 10.0)
        (True, False)
        """
        x, y = self.pixel(latitude, longitude)
        return 0.0 <= x <= self.width and 0.0 <= y <= self.height

    def about(self, latitude: float, longitude: float) -> MapView:
        """A view as wide as this, about another place."""
        return MapView(latitude, longitude, self.span_deg)

    def closer(self, latitude: float, longitude: float) -> MapView:
        """A closer view about a place."""
        return MapView(latitude, longitude, max(self.span_deg / _CLOSER, _NARROWEST_DEG))

    def farther(self) -> MapView:
        """A wider view about the same place."""
        return MapView(self.latitude, self.longitude, min(self.span_deg * _CLOSER, _WIDEST_DEG))


@lru_cache(maxsize=256)
def map_svg(
    view: MapView, here: tuple[float, float] | None, system: System = "us", *, bare: bool = False
) -> Markup:
    """Coastlines, a grid with its degrees, a scale, and the chosen place.

    Parameters
    ----------
    view : what is shown
    here : latitude and longitude of the chosen place [degree]
    system : units of the scale
    bare : whether to leave out the grid and the scale
    """
    return tag(
        "svg",
        tag("style", Markup(_STYLE)),  # noqa: S704 - a constant of ours
        *([] if bare else [*_meridians(view), *_parallels(view)]),
        tag("path", d=coast_data(view) or None, class_="land"),
        *([] if bare else _scale_bar(view, system)),
        *([] if here is None else _mark(*view.pixel(*here))),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {view.width} {view.height}",
        width=view.width,
        height=view.height,
    )


def coast_data(view: MapView) -> str:
    """Path data of the coastlines in a view; empty where none are, or the shoreline is not installed."""
    return "".join(piece for line in _seen(view) for piece in _pieces(line, view))


@lru_cache(maxsize=256)
def wider_with_coast(view: MapView) -> MapView | None:
    """A view about the same place in which continents are known by their coasts, drawn small.

    None where the view shows one itself, and where no shoreline is installed.
    """
    if not _lines() or _shows_coast(view):
        return None
    wider = MapView(view.latitude, view.longitude, max(view.span_deg, _KNOWN_BY_COASTS_DEG))
    while wider.span_deg < _WIDEST_DEG and not _shows_coast(wider):
        wider = wider.farther()
    return replace(wider, times=SMALL)


def _shows_coast(view: MapView) -> bool:
    for line in _seen(view):
        x, y = _drawn(line, view)
        across = (np.maximum(x[1:], x[:-1]) >= 0) & (np.minimum(x[1:], x[:-1]) <= view.width)
        along = (np.maximum(y[1:], y[:-1]) >= 0) & (np.minimum(y[1:], y[:-1]) <= view.height)
        if np.any(across & along & (np.abs(np.diff(x)) <= view.width)):
            return True
    return False


def _seen(view: MapView) -> Iterator[Array]:
    """Lines large enough to be seen."""
    for number in np.flatnonzero(_widths_deg() * view.scale[1] > _LEAST_PX):
        yield _lines()[number]


def _drawn(line: Array, view: MapView) -> tuple[Array, Array]:
    """Where the points of a line lie in the picture [px]."""
    across, up = view.scale
    x: Array = ((line[:, 0] - view.longitude + 180.0) % 360.0 - 180.0) * across + view.width / 2
    y: Array = view.height / 2 - (line[:, 1] - view.latitude) * up
    return x, y


@once
def _lines() -> tuple[Array, ...]:
    try:
        folder = Path(import_module("longhold_places").folder())
    except (ModuleNotFoundError, FileNotFoundError):
        return ()
    return tuple(np.asarray(line, float) for line in thin_world(folder / "coast_small.npz"))


@once
def _widths_deg() -> Array:
    """The greater of width and height of each line [degree]."""
    return np.array([np.ptp(line, axis=0).max() for line in _lines()])


def _pieces(line: Array, view: MapView) -> Iterator[str]:
    """Path data of what a view shows of a coastline, in as many points as can be told apart."""
    x, y = _drawn(line, view)
    if x.max() < 0 or x.min() > view.width or y.max() < 0 or y.min() > view.height:
        return
    near = (x > -view.width) & (x < 2 * view.width) & (y > -view.height) & (y < 2 * view.height)
    jumps = np.abs(np.diff(x)) > view.width
    breaks = np.flatnonzero(jumps | ~near[1:] | ~near[:-1]) + 1
    for piece in np.split(np.column_stack([x, y]), breaks):
        if len(piece) > 1:
            yield path([tuple(point) for point in _thinned(piece).tolist()])


def _thinned(points: Array) -> Array:
    cells = np.round(points / _LEAST_PX)
    moved = np.any(np.diff(cells, axis=0) != 0, axis=1)
    kept: Array = points[np.concatenate([[True], moved])]
    return kept


def _mark(x: float, y: float) -> Iterator[Markup]:
    yield tag("circle", cx=x, cy=y, r=6, class_="here")
    for dx, dy in ((0, -1), (0, 1), (-1, 0), (1, 0)):
        yield tag("line", x1=x + 4 * dx, y1=y + 4 * dy, x2=x + 11 * dx, y2=y + 11 * dy, class_="here")


def _scale_bar(view: MapView, system: System) -> Iterator[Markup]:
    """A length over ground in the middle of the picture; none where the edges are of another scale."""
    if view.span_deg > _WIDEST_WITH_SCALE_DEG:
        return
    across = _M_PER_DEG * cos(radians(view.latitude)) / view.scale[0]  # meters for a pixel
    length_m, words = scale_length(across * view.width * _SCALE_SHARE, system)
    right, low = view.width - 8.0, view.height - 20.0
    left = right - length_m / across
    bent = f"{left:.1f},{low - 5} {left:.1f},{low} {right},{low} {right},{low - 5}"
    yield tag("polyline", points=bent, class_="bar")
    yield tag("text", words, x=(left + right) / 2, y=low - 5, text_anchor="middle", class_="scale")


def _meridians(view: MapView) -> Iterator[Markup]:
    """Lines, and at as many of them as have room for it, evenly, the degrees."""
    step = _step(view.span_deg)
    degrees = _steps(view.longitude, view.span_deg, step)
    words = [_degrees((degree + 180.0) % 360.0 - 180.0, "EW") for degree in degrees]
    room = _ASIDE_PX + _LETTER_PX * max(map(len, words), default=0)
    every = ceil((room + _GAP_PX) / (step * view.scale[0]))
    for degree, said in zip(degrees, words, strict=True):
        x, _ = view.pixel(view.latitude, degree)
        yield tag("path", d=f"M{x:.1f} 0V{view.height}", class_="grid")
        is_last_edge = degree >= view.longitude + 180.0
        if round(degree / step) % every == 0 and x + room <= view.width and not is_last_edge:
            yield tag("text", said, x=x + _ASIDE_PX, y=view.height - 3)


def _parallels(view: MapView) -> Iterator[Markup]:
    for degree in _steps(view.latitude, view.height / view.scale[1], _step(view.span_deg)):
        _, y = view.pixel(degree, view.longitude)
        if abs(degree) < 90.0 and _MARGIN_PX < y < view.height - _MARGIN_PX:
            yield tag("path", d=f"M0 {y:.1f}H{view.width}", class_="grid")
            yield tag("text", _degrees(degree, "NS"), x=2, y=y - 2)


def _step(span: float) -> float:
    """A round number of degrees between the lines of the grid."""
    return next((one for one in _GRID_STEPS if span / one >= _LEAST_LINES), _GRID_STEPS[-1])


def _steps(middle: float, span: float, step: float) -> list[float]:
    """Round degrees inside a span."""
    first, last = np.ceil((middle - span / 2) / step), np.floor((middle + span / 2) / step)
    degrees: list[float] = np.round(np.arange(first, last + 1) * step, 6).tolist()
    return degrees


def _degrees(value: float, letters: str) -> str:
    """Degrees as a map writes them.

    >>> _degrees(-45.0, "NS"), _degrees(0.0, "EW")
    ('45° S', '0°')
    """
    return f"{abs(value):g}° {letters[value < 0]}" if value else "0°"
