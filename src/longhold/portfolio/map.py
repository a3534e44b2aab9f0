"""Where the structures stand, and where joints are expected to end: a drawing without internet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from longhold.documents.svg import tag
from longhold.documents.world_map import MapView, coast_data
from longhold.portfolio.ranking import StructureRow

__all__ = ["portfolio_map"]

Array = NDArray[np.float64]
_TIMES = 2
_CELL_PX = 9.0
_LEAST_SPAN_DEG, _ROOM = 0.5, 1.25
_EVEN = 0.5
_NAMED = 20


@dataclass(frozen=True)
class _Cell:
    """Structures too near each other to tell apart, at the place of the first of them."""

    x: float
    y: float
    rows: list[StructureRow]

    @property
    def falls(self) -> bool:
        return any(row.falls_below is not None and row.falls_below > _EVEN for row in self.rows)

    @property
    def rank(self) -> int:
        return min(row.rank for row in self.rows)


def portfolio_map(rows: Sequence[StructureRow]) -> Markup | None:
    """The places of the structures; those too near each other to tell apart are one mark.

    A full mark holds a structure whose least sure joint is more likely than not to end before its design
    life. The first to look at have their rank beside them. None where no structure has a position.
    """
    placed = [(row.latitude, row.longitude, row) for row in rows if row.latitude is not None]
    points = [(lat, lon, row) for lat, lon, row in placed if lat is not None and lon is not None]
    if not points:
        return None
    view = _view(np.array([lat for lat, _, _ in points]), np.array([lon for _, lon, _ in points]))
    cells: dict[tuple[int, int], _Cell] = {}
    for lat, lon, row in points:
        x, y = view.pixel(lat, lon)
        cells.setdefault((int(x // _CELL_PX), int(y // _CELL_PX)), _Cell(x, y, [])).rows.append(row)
    marks = [
        tag(
            "circle",
            cx=cell.x,
            cy=cell.y,
            r=3.0 if len(cell.rows) == 1 else 4.5,
            class_="dot chosen" if cell.falls else "dot",
        )
        for cell in sorted(cells.values(), key=lambda cell: cell.falls)
    ]
    names = [
        tag("text", str(cell.rank), x=cell.x + 6.0, y=cell.y + 3.0, class_="rank")
        for cell in cells.values()
        if cell.rank <= _NAMED
    ]
    words = f"Map of {len(points):,} structures."
    return tag(
        "svg",
        tag("path", d=coast_data(view) or None, class_="coast"),
        *marks,
        *names,
        tag("rect", x=0.6, y=0.6, width=view.width - 1.2, height=view.height - 1.2, class_="edge"),
        viewBox=f"0 0 {view.width} {view.height}",
        role="img",
        aria_label=words,
        class_="drawing",
    )


def _view(latitude: Array, longitude: Array) -> MapView:
    middle = float((latitude.min() + latitude.max()) / 2.0)
    # the widest gap between neighbors lies behind the map's edge, so that no cluster is cut by a meridian
    around = np.sort(longitude)
    gaps = np.diff(np.append(around, around[0] + 360.0))
    start = float(around[(int(gaps.argmax()) + 1) % len(around)])
    span = 360.0 - float(gaps.max())
    high = float(np.ptp(latitude)) * MapView().width / MapView().height / max(np.cos(np.radians(middle)), 0.2)
    shown = min(max(_ROOM * max(span, high), _LEAST_SPAN_DEG), 360.0)
    return MapView(middle, (start + span / 2.0 + 180.0) % 360.0 - 180.0, shown, _TIMES)
