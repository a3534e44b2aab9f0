"""A map of the world that is pressed to choose a place: it works without a script and without internet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import import_module
from math import cos, radians
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from longhold.air.coast_lines import thin_world

__all__ = ["HEIGHT", "WIDTH", "MapView", "map_svg"]

Array = NDArray[np.float64]

WIDTH, HEIGHT = 340, 230
"""Of the picture [CSS px]."""
_WIDEST_DEG, _NARROWEST_DEG = 360.0, 0.1
_CLOSER = 4.0
_GRID_STEPS = (45.0, 15.0, 5.0, 1.0, 0.5, 0.1, 0.05, 0.02)
_STYLE = """
svg{background:#fbfaf6}.land{fill:none;stroke:#17191c;stroke-width:1.1;stroke-linejoin:round}
.grid{stroke:#c9c6bc;stroke-width:.6}text{font:10.5px system-ui,sans-serif;fill:#53585e}
.here{fill:none;stroke:#17191c;stroke-width:1.6}
@media (prefers-color-scheme:dark){svg{background:#14161a}.land{stroke:#efece5}.grid{stroke:#474c53}
text{fill:#b0b4b8}.here{stroke:#efece5}}
"""


@dataclass(frozen=True)
class MapView:
    """What part of the world is shown.

    Attributes
    ----------
    latitude, longitude : of its middle [degree]
    span_deg : degrees of longitude from edge to edge
    """

    latitude: float = 20.0
    longitude: float = 0.0
    span_deg: float = _WIDEST_DEG

    @property
    def scale(self) -> tuple[float, float]:
        """Pixels for a degree of longitude and of latitude, which look alike in the middle of the picture."""
        across = WIDTH / self.span_deg
        return across, across / max(cos(radians(self.latitude)), 0.2)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Latitude and longitude [degree] under a point of the picture [px].

        >>> MapView().at(170, 115)
        (20.0, 0.0)
        """
        across, up = self.scale
        latitude = self.latitude - (y - HEIGHT / 2) / up
        longitude = self.longitude + (x - WIDTH / 2) / across
        return max(-90.0, min(90.0, latitude)), (longitude + 180.0) % 360.0 - 180.0

    def closer(self, latitude: float, longitude: float) -> MapView:
        """A closer view about a place."""
        return MapView(latitude, longitude, max(self.span_deg / _CLOSER, _NARROWEST_DEG))

    def farther(self) -> MapView:
        """A wider view about the same place."""
        return MapView(self.latitude, self.longitude, min(self.span_deg * _CLOSER, _WIDEST_DEG))


def map_svg(view: MapView, here: tuple[float, float] | None) -> str:
    """Coastlines, a grid with its degrees, and the chosen place.

    Parameters
    ----------
    view : what is shown
    here : latitude and longitude of the chosen place [degree]
    """
    lines = "".join(_path(line, view) for line in _lines())
    marked = "" if here is None else _mark(*_pixel(here[1], here[0], view))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" '
        f'height="{HEIGHT}"><style>{_STYLE}</style>{_grid(view)}<path class="land" d="{lines}"/>{marked}</svg>'
    )


@cache
def _lines() -> tuple[Array, ...]:
    try:
        folder = Path(import_module("longhold_places").folder())
    except (ModuleNotFoundError, FileNotFoundError):
        return ()
    return tuple(np.asarray(line, float) for line in thin_world(folder / "coast_small.npz"))


@cache
def _boxes() -> Array:
    return np.array([[*line.min(axis=0), *line.max(axis=0)] for line in _lines()]).reshape(-1, 4)


def _path(line: Array, view: MapView) -> str:
    across, up = view.scale
    x = ((line[:, 0] - view.longitude + 180.0) % 360.0 - 180.0) * across + WIDTH / 2
    y = HEIGHT / 2 - (line[:, 1] - view.latitude) * up
    if x.max() < 0 or x.min() > WIDTH or y.max() < 0 or y.min() > HEIGHT:
        return ""
    if np.ptp(x) < 1.2 and np.ptp(y) < 1.2:
        return ""
    points = np.column_stack([x, y])
    seen = (x > -WIDTH) & (x < 2 * WIDTH) & (y > -HEIGHT) & (y < 2 * HEIGHT)
    pieces, pen, last = [], False, None
    for point, inside in zip(np.round(points, 1).tolist(), seen.tolist(), strict=True):
        if not inside or (last is not None and abs(point[0] - last[0]) > WIDTH):
            pen, last = False, point if inside else None
            if not inside:
                continue
        if pen and last is not None and abs(point[0] - last[0]) + abs(point[1] - last[1]) < 0.8:
            continue
        pieces.append(f"{'L' if pen else 'M'}{point[0]:g} {point[1]:g}")
        pen, last = True, point
    return "".join(pieces)


def _pixel(longitude: float, latitude: float, view: MapView) -> tuple[float, float]:
    across, up = view.scale
    x = ((longitude - view.longitude + 180.0) % 360.0 - 180.0) * across + WIDTH / 2
    return x, HEIGHT / 2 - (latitude - view.latitude) * up


def _mark(x: float, y: float) -> str:
    return (
        f'<circle class="here" cx="{x:.1f}" cy="{y:.1f}" r="6"/>'
        f'<path class="here" d="M{x:.1f} {y - 11:.1f}v7M{x:.1f} {y + 4:.1f}v7M{x - 11:.1f} {y:.1f}h7M{x + 4:.1f} {y:.1f}h7"/>'
    )


def _grid(view: MapView) -> str:
    step = next((one for one in _GRID_STEPS if view.span_deg / one >= 4), _GRID_STEPS[-1])
    drawn = []
    for number in range(int((view.longitude - view.span_deg / 2) // step), int((view.longitude + view.span_deg / 2) // step) + 1):
        degree = (number + 1) * step
        x = (degree - view.longitude) * view.scale[0] + WIDTH / 2
        if 0 < x < WIDTH:
            shown = (degree + 180.0) % 360.0 - 180.0
            drawn.append(f'<path class="grid" d="M{x:.1f} 0V{HEIGHT}"/><text x="{x + 2:.1f}" y="{HEIGHT - 3}">{_degrees(shown, "EW")}</text>')
    high = HEIGHT / view.scale[1] / 2
    for number in range(int((view.latitude - high) // step), int((view.latitude + high) // step) + 1):
        degree = (number + 1) * step
        y = HEIGHT / 2 - (degree - view.latitude) * view.scale[1]
        if 12 < y < HEIGHT - 12 and abs(degree) <= 90:
            drawn.append(f'<path class="grid" d="M0 {y:.1f}H{WIDTH}"/><text x="2" y="{y - 2:.1f}">{_degrees(degree, "NS")}</text>')
    return "".join(drawn)


def _degrees(value: float, letters: str) -> str:
    if abs(value) < 1e-9:
        return "0°"
    return f"{abs(value):.6g}° {letters[value < 0]}"
