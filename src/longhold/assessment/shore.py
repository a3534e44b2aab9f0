"""Where salt water lies about a site: the nearest shore, what shore that is, and the coast to draw."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.air.coast import Directions, ShoreDistance, ShoreType
from longhold.assessment.located import LocatedSite, shoreline
from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.model.site import Site

__all__ = ["ShoreFinding", "SiteMap", "shore_finding"]

# the nearest shore lies within 0.6 of the radius, so that a square in the circle holds it; the last holds any
_MAP_RADII_M = (
    *(3_000.0, 10_000.0, 30_000.0, 100_000.0, 300_000.0, 1_000_000.0),
    *(2_500_000.0, 5_000_000.0),
)
_NEAR_SHARE = 0.6
_TOLERANCE_SHARE = 1 / 200


@dataclass(frozen=True)
class SiteMap:
    """Coast about a site, for drawing.

    Attributes
    ----------
    radius_m : that the lines cover about the site
    lines : coastlines as (longitude, latitude) arrays [degree], land to the right
    """

    radius_m: float
    lines: tuple[NDArray[np.float64], ...]


@dataclass(frozen=True)
class ShoreFinding:
    """The salt water about a site, found from its position.

    Attributes
    ----------
    latitude, longitude : of the site [degree]
    nearest : distance and bearing to the nearest shore
    type : what shore that is; None beside an inland sea, and where it is too far off to matter
    directions : first shore along bearings
    map : for drawing; None where no coast lies near enough to draw
    half_within_m : half of the shoreline lies within this of an official survey [m]
    source, mark : of the shoreline
    """

    latitude: float
    longitude: float
    nearest: ShoreDistance
    type: ShoreType | None
    directions: Directions
    map: SiteMap | None
    half_within_m: float
    source: str
    mark: Mark


def shore_finding(site: Site, located: LocatedSite) -> ShoreFinding | None:
    """The salt water about a site; None without a position or the places data."""
    if located.shore is None:
        return None
    latitude, longitude = site.position
    away_m = float(located.shore.distance_m)
    line = load_toml("air/own/coast.toml")["line"]
    return ShoreFinding(
        latitude=latitude,
        longitude=longitude,
        nearest=located.shore,
        type=located.shore_type
        if away_m <= load_toml("air/own/salt.toml")["shore"]["none_beyond_m"]
        else None,
        directions=shoreline().distance_by_direction(latitude, longitude),
        map=_map(latitude, longitude, away_m),
        half_within_m=line["half_within_m"],
        source=line["source"],
        mark=Mark(line["mark"]),
    )


def _map(latitude: float, longitude: float, away_m: float) -> SiteMap | None:
    radius = next((one for one in _MAP_RADII_M if away_m < _NEAR_SHARE * one), _MAP_RADII_M[-1])
    try:
        lines = shoreline().coast_lines(latitude, longitude, radius, radius * _TOLERANCE_SHARE)
    except InputError:
        return None
    return SiteMap(radius, tuple(lines))
