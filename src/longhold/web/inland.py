"""What to go by on a map that shows no shore: where it lies among the coasts, and how far the nearest is."""

from __future__ import annotations

from typing import NamedTuple

from longhold.assessment.located import shoreline
from longhold.base.errors import InputError
from longhold.base.quantities import System
from longhold.documents.air_map import about, compass
from longhold.documents.world_map import MapView, wider_with_coast

__all__ = ["Inland", "inland"]


class Inland(NamedTuple):
    """What stands beside a map without a shore.

    Attributes
    ----------
    wider : the view that shows where the map lies
    said : how far off the nearest shore is; blank where that cannot be found
    """

    wider: MapView
    said: str


def inland(view: MapView, system: System) -> Inland | None:
    """What to go by beside a map; None where it shows a shore, or none is installed.

    >>> inland(MapView(38.5, -98.0, 1.0), "us").said
    'No shore in this map: the nearest to its middle is 630 miles to the south.'
    >>> inland(MapView(50.07, -5.72, 1.0), "us") is None
    True
    """
    wider = wider_with_coast(view)
    return None if wider is None else Inland(wider, _nearest(view, system))


def _nearest(view: MapView, system: System) -> str:
    try:
        found = shoreline().nearest_shore(view.latitude, view.longitude)
    except InputError:
        return ""
    away = f"{about(float(found.distance_m), system)} to the {compass(float(found.bearing_deg))}"
    water = f", {found.water}" if str(found.water) else ""
    return f"No shore in this map: the nearest to its middle is {away}{water}."
