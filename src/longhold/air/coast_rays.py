"""Open water and land along bearings: the first shore that a ray meets, and what shore that makes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from longhold.air.coast_index import Array, Shoreline, earth_xyz, latitude_longitude
from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml

__all__ = ["ShoreKind", "ShoreType", "check_reach", "first_shore", "judged_shore", "ray_lengths"]

ShoreKind = Literal["surf", "sheltered", "inlet"]
_TABLE = "air/own/coast.toml"

# near shores first: most rays end there, and the pieces farther out are never unpacked
_RINGS_M = (2_000.0, 10_000.0, 40_000.0)


@dataclass(frozen=True)
class ShoreType:
    """What a shore is.

    Attributes
    ----------
    kind : surf, sheltered (bay, sound, behind islands) or inlet (estuary, harbour, lagoon, creek)
    fetch_m : mean open water before the shore, rays weighted by the cosine of their angle to it [m]
    distance_m : from the place to it [m]
    latitude, longitude : where it is [degree]
    seaward_deg : direction from the land to the open water [degree]
    bearing_deg, open_water_m : the rays and the open water along each, no longer than the reach [m]
    told : whether the user said the kind, whatever the rule finds
    """

    kind: ShoreKind
    fetch_m: float
    distance_m: float
    latitude: float
    longitude: float
    seaward_deg: float
    bearing_deg: Array
    open_water_m: Array
    told: bool = False


def first_shore(
    shoreline: Shoreline, latitude: float, longitude: float, bearings_deg: Array, reach_m: float
) -> Array:
    """Points where rays first meet a shore, earth-centred [m], n x 3; NaN where none lies within reach.

    A ray is the normal section of the ellipsoid, which over 100 km is within a meter of the geodesic.

    Parameters
    ----------
    shoreline : index of the shore
    latitude, longitude : where the rays start [degree]
    bearings_deg : clockwise from north [degree]
    reach_m : how far to look [m]
    """
    origin = earth_xyz(latitude, longitude)
    up, east, north = _axes(latitude, longitude)
    angle = np.radians(bearings_deg)
    ahead = np.cos(angle)[:, None] * north + np.sin(angle)[:, None] * east
    across = np.cross(ahead, up)
    chord = np.full(len(angle), np.inf)
    found = np.full((len(angle), 3), np.nan)
    for ring in [*(ring for ring in _RINGS_M if ring < reach_m), reach_m]:
        open_still = np.flatnonzero(chord > ring)
        if not len(open_still):
            break
        pieces = shoreline.within(origin, ring)
        offset = shoreline.centre[pieces] - origin
        radius = shoreline.radius_m[pieces]
        for ray in open_still:
            # a piece meets the ray only if its ball does: near the ray's plane and not wholly behind
            meets = (np.abs(offset @ across[ray]) <= radius) & (offset @ ahead[ray] >= -radius)
            if meets.any():
                _cross(shoreline, pieces[meets], origin, ahead[ray], across[ray], chord, found, int(ray))
    found[chord > reach_m] = np.nan
    return found


def ray_lengths(
    shoreline: Shoreline, geod: Any, latitude: float, longitude: float, bearings_deg: Array, reach_m: float
) -> Array:
    """Geodesic distance [m] along rays to the first shore; infinite where none lies within reach.

    ``geod`` is pyproj's Geod of WGS 84; the rest as for ``first_shore``.
    """
    shore_lat, shore_lon = latitude_longitude(
        first_shore(shoreline, latitude, longitude, bearings_deg, reach_m)
    )
    out = np.full(len(bearings_deg), np.inf)
    met = np.isfinite(shore_lat)
    start = np.ones(int(met.sum()))
    out[met] = geod.inv(longitude * start, latitude * start, shore_lon[met], shore_lat[met])[2]
    return out


def judged_shore(
    shoreline: Shoreline, geod: Any, place: tuple[float, float], shore_xyz: Array, seaward_deg: float
) -> ShoreType:
    """What a shore is by the open water before it; the rule stands with ``Coast.shore_type``.

    Parameters
    ----------
    shoreline, geod : index of the shore, and pyproj's Geod of WGS 84
    place : latitude and longitude [degree] from which the distance counts
    shore_xyz : point of the shore, earth-centred [m]
    seaward_deg : direction from land to water there [degree]
    """
    table = load_toml(_TABLE)
    fetch, bounds = table["fetch"], table["shore"]
    lat, lon = (float(value) for value in latitude_longitude(shore_xyz))
    half = fetch["half_sector_deg"]
    turn = np.linspace(-half, half, round(2 * half / fetch["step_deg"]) + 1)
    bearings = (seaward_deg + turn) % 360.0
    start_lon, start_lat, _ = geod.fwd(lon, lat, seaward_deg, fetch["start_m"])
    water = np.zeros(len(turn))
    # where the start is land again, the water is a creek narrower than that
    if shoreline.nearest(earth_xyz(start_lat, start_lon)[None]).at_sea[0]:
        open_water = ray_lengths(shoreline, geod, start_lat, start_lon, bearings, fetch["reach_m"])
        water = np.minimum(open_water, fetch["reach_m"])
    weight = np.cos(np.radians(turn))
    mean = float((water * weight).sum() / weight.sum())
    kind: ShoreKind = "sheltered"
    if mean >= bounds["surf_from_m"]:
        kind = "surf"
    elif mean < bounds["inlet_below_m"]:
        kind = "inlet"
    away = float(geod.inv(place[1], place[0], lon, lat)[2])
    return ShoreType(kind, mean, away, lat, lon, seaward_deg, bearings, water)


def check_reach(reach_m: float, most_m: float) -> None:
    """InputError unless a reach [m] is more than 0 and no more than the most.

    >>> check_reach(100.0, 1000.0)
    """
    if not 0.0 < reach_m <= most_m:
        raise InputError(Problem("reach_m", reach_m, f"must be more than 0 and at most {most_m:,.0f} m."))


def _cross(
    shoreline: Shoreline,
    pieces: np.ndarray[tuple[int], np.dtype[np.intp]],
    origin: Array,
    ahead: Array,
    across: Array,
    chord: Array,
    found: Array,
    ray: int,
) -> None:
    """Note the nearest crossing of one ray with some pieces."""
    vertices, count = shoreline.lines(pieces)
    local = vertices - origin
    side = local @ across
    last = np.zeros(len(local), dtype=bool)
    last[np.cumsum(count) - 1] = True
    start = np.flatnonzero(((side[:-1] < 0) != (side[1:] < 0)) & ~last[:-1])
    share = side[start] / (side[start] - side[start + 1])
    points = local[start] + share[:, None] * (local[start + 1] - local[start])
    points = points[points @ ahead > 0]
    if len(points):
        away = np.sqrt((points**2).sum(axis=1))
        nearest = int(np.argmin(away))
        if away[nearest] < chord[ray]:
            chord[ray] = away[nearest]
            found[ray] = points[nearest] + origin


def _axes(latitude: float, longitude: float) -> tuple[Array, Array, Array]:
    """Unit vectors up, east and north at a point; at a pole, north is along its longitude."""
    lat, lon = np.radians(latitude), np.radians(longitude)
    up = np.array([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])
    east = np.array([-np.sin(lon), np.cos(lon), 0.0])
    return up, east, np.cross(up, east)
