"""Rows about the salt water near a site: how far, which way, what shore it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.marks import Mark
from longhold.base.quantities import System
from longhold.documents.air_map import about, compass
from longhold.documents.coast import far

if TYPE_CHECKING:
    from longhold.assessment.findings import SiteFinding
    from longhold.assessment.shore import ShoreFinding
    from longhold.model.site import Site

__all__ = ["AirRow", "shore_rows"]

_KINDS = {
    "surf": "open to the sea",
    "sheltered": "sheltered: a bay, a sound or behind islands",
    "inlet": "an inlet: an estuary, a harbor or a creek",
}
_TOLD = {"surf": "surf", "sheltered": "sheltered"}


@dataclass(frozen=True)
class AirRow:
    """One quantity of the air: its value, where that comes from, its mark (None where the user told it)."""

    name: str
    value: str
    how: str
    mark: Mark | None


def shore_rows(site: Site, found: SiteFinding, system: System) -> Iterator[AirRow]:
    """Distance to salt water as given and as found, and the kind of shore."""
    told = site.distance_to_salt_water
    if told is not None:
        yield AirRow("Distance to salt water", far(told, system), "as given", None)
    shore = found.shore
    if shore is not None:
        yield AirRow("Nearest shore", _nearest(shore, system), _how(shore, told, system), shore.mark)
    if site.shore in _TOLD:
        yield AirRow("Kind of shore", _TOLD[site.shore], "as given", None)
    if shore is not None and shore.type is not None:
        fetch = about(shore.type.fetch_m, system)
        least = "at least " if min(shore.type.open_water_m) == max(shore.type.open_water_m) > 0 else ""
        how = "judged by the open water before it; the estimate of salt counts only a stated kind of shore"
        name = "Kind of shore by the map" if site.shore in _TOLD else "Kind of shore"
        yield AirRow(name, f"{_KINDS[shore.type.kind]}; {least}{fetch} of open water", how, Mark.OWN)


def _nearest(shore: ShoreFinding, system: System) -> str:
    nearest = shore.nearest
    bearing = float(nearest.bearing_deg)
    way = f"{about(float(nearest.distance_m), system)} to the {compass(bearing)} ({bearing:.0f}°)"
    if bool(nearest.at_sea):
        return f"the site lies on the water; land {way}"
    return f"{way}, {nearest.water}" if str(nearest.water) else way


def _how(shore: ShoreFinding, told_m: float | None, system: System) -> str:
    good = f"a world shoreline, half of which lies within {about(shore.half_within_m, system)} of a survey"
    if told_m is not None:
        return f"{good}; the distance given is used instead"
    return f"{good}; taken as {far(float(shore.nearest.to_salt_water_m), system)}"
