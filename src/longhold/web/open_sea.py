"""Whether a press on the map meant the open sea."""

from __future__ import annotations

from longhold.assessment.located import shoreline
from longhold.base.errors import InputError
from longhold.base.quantities import System
from longhold.documents.air_map import about, compass

__all__ = ["on_open_sea"]


def on_open_sea(latitude: float, longitude: float, system: System) -> str:
    """What is said of a place too far out on the water for a structure; blank for land and the shore.

    As near to the shore as the shoreline itself may be wrong, and where no shoreline is installed, nothing
    is said.

    >>> on_open_sea(33.0, -70.0, "us").partition(";")[0]
    'That is open sea, 33.00 N 70.00 W'
    >>> on_open_sea(39.0, -98.0, "us")
    ''
    """
    try:
        coast = shoreline()
    except InputError:
        return ""
    found = coast.nearest_shore(latitude, longitude)
    if not found.at_sea or float(found.distance_m) <= coast.line_error_m[1]:
        return ""
    here = f"{abs(latitude):.2f} {'NS'[latitude < 0]} {abs(longitude):.2f} {'EW'[longitude < 0]}"
    land = f"{about(float(found.distance_m), system)} to the {compass(float(found.bearing_deg))}"
    return (
        f"That is open sea, {here}; the nearest land is {land}. The point was not set: press again "
        "on land (Wider first, if none is in sight). In the water? Then type latitude and longitude."
    )
