"""Whether a press on the map meant the open sea."""

from __future__ import annotations

from typing import NamedTuple

from longhold.assessment.located import shoreline
from longhold.base.errors import InputError
from longhold.base.quantities import System
from longhold.documents.air_map import about, compass

__all__ = ["AtSea", "on_open_sea"]


class AtSea(NamedTuple):
    """A place on open sea.

    Attributes
    ----------
    said : what is said of it
    distance_m : to the nearest land
    """

    said: str
    distance_m: float


def on_open_sea(latitude: float, longitude: float, system: System) -> AtSea | None:
    """What is said of a place too far out on the water for a structure; None for land and the shore.

    As near to the shore as the shoreline itself may be wrong, and where no shoreline is installed, nothing
    is said.

    >>> on_open_sea(33.0, -70.0, "us").said.partition(";")[0]
    'That is open sea, 33.00 N 70.00 W'
    >>> on_open_sea(39.0, -98.0, "us") is None
    True
    """
    try:
        coast = shoreline()
    except InputError:
        return None
    found = coast.nearest_shore(latitude, longitude)
    if not found.at_sea or float(found.distance_m) <= coast.line_error_m[1]:
        return None
    here = f"{abs(latitude):.2f} {'NS'[latitude < 0]} {abs(longitude):.2f} {'EW'[longitude < 0]}"
    land = f"{about(float(found.distance_m), system)} to the {compass(float(found.bearing_deg))}"
    said = (
        f"That is open sea, {here}; the nearest land is {land}. The point was not set: press again "
        "on land (Wider first, if none is in sight). In the water? Then type latitude and longitude."
    )
    return AtSea(said, float(found.distance_m))
