"""Distance to salt water at any place on earth: to the nearest shore, along bearings; what shore it is."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from functools import cached_property
from importlib import import_module
from pathlib import Path
from typing import Any, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.air.coast_index import Array, Nearest, Shoreline, earth_xyz, latitude_longitude
from longhold.air.coast_lines import SMALL_TOLERANCE_M, drawn, joined, lines_about, thin_world
from longhold.air.coast_rays import ShoreKind, ShoreType, check_reach, first_shore, judged_shore, ray_lengths
from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.base.tables import load_toml

__all__ = ["Coast", "Directions", "ShoreDistance", "ShoreKind", "ShoreType", "coordinates"]

_TABLE = "air/own/coast.toml"
# places looked up at a time, which bounds the memory in use
_BATCH = 5_000
_KINDS = np.array(["ocean", "inland_sea"], dtype=object)
_FARTHEST_M = 1_000_000.0


@dataclass(frozen=True)
class ShoreDistance:
    """How far salt water is, for one place or an array of places.

    Attributes
    ----------
    distance_m : geodesic to the nearest shore line, from land or from water [m]
    latitude, longitude : the nearest point of the shore [degree]
    bearing_deg : from the place to it, clockwise from north [degree]
    at_sea : whether the place lies on the water; small islands that the shoreline lacks count as water
    kind : ``ocean`` with every sea joined to it, or ``inland_sea`` for a salt lake without outlet
    water : name of the inland sea, blank for the ocean
    """

    distance_m: Any
    latitude: Any
    longitude: Any
    bearing_deg: Any
    at_sea: Any
    kind: Any
    water: Any

    @property
    def to_salt_water_m(self) -> Any:
        """Distance from the place to salt water [m]: nought at sea."""
        return np.where(self.at_sea, 0.0, self.distance_m)[()]

    @property
    def refer(self) -> Any:
        """Whether the salt of this water is none that the laws for sea air know: ask a specialist."""
        return np.asarray(np.asarray(self.kind) == "inland_sea", dtype=bool)[()]


@dataclass(frozen=True)
class Directions:
    """First shore along bearings.

    Attributes
    ----------
    bearing_deg : clockwise from north [degree], n
    distance_m : to the first shore along each [m], n or places x n; infinite where none is within reach
    reach_m : how far was looked [m]
    """

    bearing_deg: Array
    distance_m: Array
    reach_m: float


class Coast:
    """The world's shoreline (GSHHG 2.3.6, full resolution) from the data package ``longhold-places``.

    Answers lie on that line: half of it is within about 160 m of an official survey, nine tenths within
    440 m (table ``air/own/coast.toml``, source coast-compared); the reckoning itself is exact to a meter.
    """

    def __init__(self, folder: Path) -> None:
        from pyproj import Geod

        self._folder = folder
        self._shoreline = Shoreline(folder / "coast.npz")
        with (folder / "salt_waters.csv").open(encoding="utf-8", newline="") as file:
            self._waters = np.array(["", *(row["name"] for row in csv.DictReader(file))], dtype=object)
        self._geod = Geod(ellps="WGS84")

    @classmethod
    def load(cls, folder: Path | None = None) -> Coast:
        """The shoreline of the installed data package, or of a folder that holds its files.

        Takes some tenths of a second; keep what it returns.

        Raises
        ------
        InputError : where the data or the two libraries that read them are not installed
        """
        try:
            place = folder if folder is not None else Path(import_module("longhold_places").folder())
            return cls(place)
        except (ModuleNotFoundError, FileNotFoundError) as error:
            raise InputError(
                lacking(
                    "distance_to_salt_water",
                    "places",
                    otherwise="Or give distance_to_salt_water.",
                )
            ) from error

    @property
    def line_error_m(self) -> tuple[float, float]:
        """How far [m] half and nine tenths of the shoreline lie from an official survey, at most.

        Source coast-compared, mark own; for whoever prints a distance to print beside it.
        """
        line = load_toml(_TABLE)["line"]
        return line["half_within_m"], line["nine_in_ten_within_m"]

    def nearest_shore(
        self, latitude: ArrayLike, longitude: ArrayLike, ocean_only: bool = False
    ) -> ShoreDistance:
        """The nearest shore of places.

        The shore is a line of segments, not a set of points; the nearest point is found by straight chords
        between earth-centred coordinates, which rank like geodesics to 0.01 %, and the distance to it is
        the geodesic on WGS 84.

        Parameters
        ----------
        latitude, longitude : WGS 84 [degree], -90 to 90 and -180 to 180, numbers or arrays
        ocean_only : pass over inland seas

        Raises
        ------
        InputError : for coordinates that are none

        >>> there = Coast.load().nearest_shore(33.99684, -77.90721)  # a test site by the Atlantic
        >>> round(float(there.distance_m)), bool(there.at_sea), str(there.kind)
        (163, False, 'ocean')
        """
        lat, lon = coordinates(latitude, longitude)
        flat_lat, flat_lon = lat.ravel(), lon.ravel()
        numbers = np.empty((4, flat_lat.size))
        at_sea = np.empty(flat_lat.size, dtype=bool)
        body = np.empty(flat_lat.size, dtype=np.uint8)
        for low in range(0, flat_lat.size, _BATCH):
            part = slice(low, low + _BATCH)
            found = self._shoreline.nearest(earth_xyz(flat_lat[part], flat_lon[part]), ocean_only)
            shore_lat, shore_lon = latitude_longitude(found.xyz)
            ahead, _, distance = self._geod.inv(flat_lon[part], flat_lat[part], shore_lon, shore_lat)
            numbers[:, part] = distance, shore_lat, shore_lon, np.asarray(ahead) % 360.0
            at_sea[part], body[part] = found.at_sea, found.body
        values = (*numbers, at_sea, _KINDS[np.minimum(body, 1)], self._waters[body])
        return ShoreDistance(*(value.reshape(lat.shape)[()] for value in values))

    def distance_by_direction(
        self, latitude: ArrayLike, longitude: ArrayLike, n: int = 36, reach_m: float = 100_000.0
    ) -> Directions:
        """Distance [m] to the first shore along n even bearings from north; infinite beyond reach.

        From land that is how far salt water is in each direction, from water how far land is.

        Parameters
        ----------
        latitude, longitude : WGS 84 [degree], numbers or arrays
        n : how many bearings, 1 to 3600
        reach_m : how far to look [m], more than 0 and at most 1,000 km

        Raises
        ------
        InputError : for coordinates that are none, or n or reach_m out of range
        """
        if not 1 <= n <= 3600:
            raise InputError(Problem("n", n, "must lie between 1 and 3600."))
        check_reach(reach_m, _FARTHEST_M)
        lat, lon = coordinates(latitude, longitude)
        bearings: Array = np.arange(n, dtype=np.float64) * (360.0 / n)
        rows = [
            ray_lengths(self._shoreline, self._geod, float(a), float(o), bearings, reach_m)
            for a, o in zip(lat.flat, lon.flat, strict=True)
        ]
        return Directions(bearings, np.array(rows).reshape(*lat.shape, n), reach_m)

    def shore_type(self, latitude: float, longitude: float, told: ShoreKind | None = None) -> ShoreType:
        """What shore the nearest one is, by the open water before it.

        Rule, our own (table ``air/own/coast.toml``): rays start 30 m off the nearest shore point, every 5
        degrees within 45 degrees of the seaward direction, and run to the next shore or 100 km; their mean,
        weighted by the cosine of the angle, is the fetch. From 50 km it is surf, below 5 km an inlet, else
        sheltered. The seaward direction is that from the place to the shore (from a place at sea, the
        reverse). Waves that bend or come through a narrow mouth, reefs and flats are not seen: ``told``
        overrules. On a spit or a barrier island the surf may lie a little farther: ask ``shores_about``.

        Parameters
        ----------
        latitude, longitude : WGS 84 [degree]
        told : the kind as the user knows it

        Raises
        ------
        InputError : for coordinates that are none, or another kind

        >>> Coast.load().shore_type(33.99684, -77.90721).kind
        'surf'
        """
        if told is not None and told not in get_args(ShoreKind):
            raise InputError(Problem("shore", told, f"must be one of {', '.join(get_args(ShoreKind))}."))
        lat, lon = _one_place(latitude, longitude)
        found = self._shoreline.nearest(earth_xyz(lat, lon)[None])
        seaward = self._seaward(lat, lon, found)
        shore = judged_shore(self._shoreline, self._geod, (lat, lon), found.xyz[0], seaward)
        return shore if told is None else replace(shore, kind=told, told=True)

    def shores_about(self, latitude: float, longitude: float, reach_m: float) -> tuple[ShoreType, ...]:
        """The nearest shore of each kind in sight of a place: its nearest shore, and those along 24 bearings.

        For spits and barrier islands, where a creek behind the house is nearer than the surf before it: take
        the one that brings more salt. Shores behind other water are not in sight.

        Parameters
        ----------
        latitude, longitude : WGS 84 [degree]
        reach_m : how far to look [m], more than 0 and at most 100 km

        Raises
        ------
        InputError : for coordinates that are none, or reach_m out of range
        """
        check_reach(reach_m, load_toml(_TABLE)["fetch"]["reach_m"])
        lat, lon = _one_place(latitude, longitude)
        best: dict[str, ShoreType] = {}
        bearings: Array = np.arange(0.0, 360.0, load_toml(_TABLE)["sight"]["step_deg"])
        met = first_shore(self._shoreline, lat, lon, bearings, reach_m)
        nearest = self.shore_type(lat, lon)
        found = [nearest] if nearest.distance_m <= reach_m else []
        for xyz in met[np.isfinite(met[:, 0])]:
            seaward = self._seaward(lat, lon, self._shoreline.nearest(xyz[None]))
            found.append(judged_shore(self._shoreline, self._geod, (lat, lon), xyz, seaward))
        for shore in sorted(found, key=lambda shore: shore.distance_m):
            best.setdefault(shore.kind, shore)
        return tuple(best.values())

    def coast_lines(
        self, latitude: float, longitude: float, radius_m: float, tolerance_m: float
    ) -> list[Array]:
        """Coastlines about a place, for drawing: arrays of (longitude, latitude), land to the right.

        Longitudes run on past 180 where the date line is near. Islands smaller than the tolerance are left
        out. From a tolerance of 1 km the small file is enough, which has no island under 3 km.

        Parameters
        ----------
        latitude, longitude : WGS 84 [degree]
        radius_m : how far about the place [m], more than 0; lines end a vertex outside
        tolerance_m : how far a line left out may lie from what is drawn [m], not negative

        Raises
        ------
        InputError : for coordinates that are none, or a radius or tolerance out of range
        """
        if not (radius_m > 0.0 and tolerance_m >= 0.0):
            given = f"{radius_m}, {tolerance_m}"
            raise InputError(Problem("radius_m, tolerance_m", given, "must be above 0 and not negative."))
        lat, lon = _one_place(latitude, longitude)
        if tolerance_m >= SMALL_TOLERANCE_M:
            lines = self._thin_lines
        else:
            vertices, count = self._shoreline.lines(self._shoreline.within(earth_xyz(lat, lon), radius_m))
            lines = joined(np.split(vertices, np.cumsum(count)[:-1])) if len(count) else []
        return drawn(lines_about(lines, lat, lon, radius_m), lon, tolerance_m)

    @cached_property
    def _thin_lines(self) -> list[Array]:
        return [earth_xyz(line[:, 1], line[:, 0]) for line in thin_world(self._folder / "coast_small.npz")]

    def _seaward(self, lat: float, lon: float, found: Nearest) -> float:
        """Direction from land to water at the nearest shore point [degree]."""
        shore_lat, shore_lon = (float(value) for value in latitude_longitude(found.xyz[0]))
        near = load_toml(_TABLE)["near"]
        if float(found.chord_m[0]) < near["too_near_m"]:
            step_lat, step_lon = latitude_longitude(found.xyz[0] + near["step_m"] * found.seaward[0])
            return float(self._geod.inv(shore_lon, shore_lat, float(step_lon), float(step_lat))[0]) % 360.0
        _, back, _ = self._geod.inv(lon, lat, shore_lon, shore_lat)
        # arriving at the shore one faces the water when one comes from land
        return float(back if found.at_sea[0] else back + 180.0) % 360.0


def _one_place(latitude: float, longitude: float) -> tuple[float, float]:
    lat, lon = coordinates(latitude, longitude)
    if lat.ndim:
        raise InputError(Problem("latitude, longitude", None, "must be one place here, not an array."))
    return float(lat), float(lon)


def coordinates(latitude: ArrayLike, longitude: ArrayLike) -> tuple[Array, Array]:
    """Latitude and longitude as arrays of one shape; InputError where any is none.

    >>> [float(x) for x in coordinates(34, -77.9)]
    [34.0, -77.9]
    """
    problems = []
    arrays: list[NDArray[np.float64]] = []
    could_be_swapped = bool(np.all(np.abs(np.asarray(longitude, dtype=float)) <= 90.0))
    for name, given, most in (("latitude", latitude, 90.0), ("longitude", longitude, 180.0)):
        values = np.asarray(given, dtype=float)
        wrong = ~(np.abs(values) <= most)
        arrays.append(values)
        if wrong.any():
            first = float(values[wrong].flat[0])
            more = f" {int(wrong.sum()):,} such values." if values.ndim and wrong.sum() > 1 else ""
            hint = _hint(name, first, could_be_swapped)
            problems.append(
                Problem(name, first, f"must lie between -{most:g} and {most:g} degrees.{more}", hint)
            )
    if problems:
        raise InputError(*problems)
    try:
        lat, lon = np.broadcast_arrays(*arrays)
    except ValueError:
        shapes = " and ".join(str(array.shape) for array in arrays)
        raise InputError(
            Problem("latitude, longitude", None, f"must be as many; their shapes are {shapes}.")
        ) from None
    return lat, lon


def _hint(name: str, value: float, could_be_swapped: bool) -> str:
    if name == "longitude" and 180.0 < value <= 360.0:
        return f"West of Greenwich is negative: give {value - 360.0:g}."
    if name == "latitude" and 90.0 < abs(value) <= 180.0 and could_be_swapped:
        return "Latitude and longitude may have been swapped."
    return ""
