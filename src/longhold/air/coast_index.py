"""The shoreline as an index: pieces of line in blocks that unpack when asked for, and the nearest segment.

Everything is reckoned in earth-centred coordinates of WGS 84, so poles and date line are no special
places. A straight chord orders shore points like the geodesic does: the difference of the two,
d^3 / 24 R^2, depends on direction only through the radius of curvature (1 % at most), which is 0.001 %
of 1,000 km and 0.01 % of 2,700 km, farther than which no point on earth lies from a shore.
"""

from __future__ import annotations

import weakref
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import TableError

__all__ = ["Array", "Nearest", "Shoreline", "earth_xyz", "latitude_longitude"]

Array = NDArray[np.float64]
Index = NDArray[np.intp]

# WGS 84: definition of the figure of the earth, not data of ours
SEMI_MAJOR_M = 6378137.0
_ECCENTRICITY2 = (2.0 - 1.0 / 298.257223563) / 298.257223563
_FORMAT = 1
_PER_DEGREE = 100_000.0
# 1 cm in 32-bit integers: a vertex shared by two pieces is the very same point in both
_PER_METRE = 100.0
_FEW = 500
# pieces are searched in two trees, so that the many small islands do not suffer from the long pieces' reach
_WIDE_M = 1500.0
# relative and absolute slack in which two squared distances are the same shore point
_SAME, _SAME_M2 = 1e-12, 1e-6


def earth_xyz(latitude: Any, longitude: Any) -> Array:
    """Earth-centred coordinates [m] of points on the ellipsoid WGS 84, in the last axis.

    >>> [round(x) for x in earth_xyz(0.0, 90.0)]
    [0, 6378137, 0]
    """
    lat, lon = np.radians(latitude), np.radians(longitude)
    normal = SEMI_MAJOR_M / np.sqrt(1.0 - _ECCENTRICITY2 * np.sin(lat) ** 2)
    out: Array = np.stack(
        [
            normal * np.cos(lat) * np.cos(lon),
            normal * np.cos(lat) * np.sin(lon),
            normal * (1.0 - _ECCENTRICITY2) * np.sin(lat),
        ],
        axis=-1,
    )
    return out


def latitude_longitude(xyz: Array) -> tuple[Array, Array]:
    """Latitude and longitude [degree] of points on the ellipsoid, back from earth-centred coordinates [m].

    >>> [round(float(x), 6) for x in latitude_longitude(earth_xyz(-35.0, 170.0))]
    [-35.0, 170.0]
    """
    flat = np.hypot(xyz[..., 0], xyz[..., 1])
    latitude = np.degrees(np.arctan2(xyz[..., 2], flat * (1.0 - _ECCENTRICITY2)))
    return latitude, np.degrees(np.arctan2(xyz[..., 1], xyz[..., 0]))


@dataclass(frozen=True)
class Nearest:
    """The nearest shore of some points.

    Attributes
    ----------
    chord_m : straight distance [m]
    xyz : nearest point of the shore, earth-centred [m], n x 3
    seaward : horizontal direction square to the shore segment, towards the water, n x 3
    at_sea : whether the point lies on the water's side of it
    body : 0 for the ocean, else the row of the table of inland salt waters
    """

    chord_m: Array
    xyz: Array
    seaward: Array
    at_sea: NDArray[np.bool_]
    body: NDArray[np.uint8]


class Shoreline:
    """Pieces of shoreline, read from the file of the data package; blocks unpack on first use and stay."""

    def __init__(self, path: Path) -> None:
        self._file = np.load(path)
        weakref.finalize(self, self._file.close)
        if int(self._file["format"]) != _FORMAT:
            raise TableError(f"{path.name}: format {self._file['format']}, this Longhold reads {_FORMAT}")
        self.count = self._file["count"].astype(np.intp)
        self.body = self._file["body"]
        self.radius_m = self._file["radius_m"].astype(float)
        self._start = np.cumsum(_whole(self._file["start"]), axis=0, dtype=np.int32)
        self.centre = _from_units(self._start + _whole(self._file["centre"]))
        self._block_first = self._file["block_first"].astype(np.intp)
        self._block_of = np.repeat(np.arange(len(self._block_first) - 1), np.diff(self._block_first))
        self._first_vertex = np.cumsum(self.count) - self.count
        self._vertices = np.empty((int(self.count.sum()), 3), np.int32)
        self._unpacked = np.zeros(len(self._block_first) - 1, dtype=bool)
        ocean, wide = self.body == 0, self.radius_m > _WIDE_M
        self._ocean = self._trees(ocean & wide) + self._trees(ocean & ~wide)
        self._all = self._ocean + self._trees(~ocean)

    def within(self, xyz: Array, reach_m: float) -> Index:
        """Pieces with any part within a chord [m] of one point (and a few more)."""
        found = np.concatenate([tree.within(xyz[None], np.array([reach_m]))[1] for tree in self._all])
        chord = np.sqrt(((self.centre[found] - xyz) ** 2).sum(axis=1))
        out: Index = np.sort(found[chord - self.radius_m[found] <= reach_m])
        return out

    def lines(self, pieces: Index) -> tuple[Array, Index]:
        """Vertices of pieces one after another, earth-centred [m], and how many each piece has."""
        vertices, count, _ = self._gathered(pieces)
        return vertices / _PER_METRE, count

    def nearest(self, xyz: Array, ocean_only: bool = False) -> Nearest:
        """The nearest shore of some thousand points, n x 3 and at least one, earth-centred [m]."""
        trees = self._ocean if ocean_only else self._all
        best = _Best(xyz)
        rows = np.arange(len(xyz))
        for tree in trees:
            # the piece of the nearest centre makes the bound tight before all in reach are looked at
            chord, piece = tree.nearest(xyz)
            best.cap(chord)
            self._measure(best, rows, piece)
        for tree in trees:
            at, piece = tree.within(xyz, best.chord())
            chord = np.sqrt(((self.centre[piece] - xyz[at]) ** 2).sum(axis=1))
            near = chord - self.radius_m[piece] <= best.chord()[at]
            self._measure(best, at[near], piece[near])
        return Nearest(np.sqrt(best.squared), best.xyz, best.seaward, best.cross > 0.0, self.body[best.piece])

    def _trees(self, part: NDArray[np.bool_]) -> list[_Tree]:
        return [_Tree(self.centre, self.radius_m, np.flatnonzero(part))] if part.any() else []

    def _measure(self, best: _Best, rows: Index, pieces: Index) -> None:
        """Compare segments of pieces with the best of points; rows rise."""
        if not len(rows):
            return
        vertices, count, piece_of = self._gathered(pieces)
        local = vertices / _PER_METRE - np.repeat(best.points[rows], count, axis=0)
        inner = np.ones(len(local), dtype=bool)
        inner[np.cumsum(count) - 1] = False
        start = np.flatnonzero(inner)
        a = local[start]
        along = local[start + 1] - a
        length2 = np.einsum("ij,ij->i", along, along)
        share = np.clip(-np.einsum("ij,ij->i", a, along) / np.where(length2 > 0, length2, 1.0), 0.0, 1.0)
        offset = a + share[:, None] * along
        squared = np.einsum("ij,ij->i", offset, offset)
        row_of = np.repeat(rows, count)[start]
        least = np.full(len(best.points), np.inf)
        firsts = np.flatnonzero(np.diff(row_of, prepend=-1))
        least[row_of[firsts]] = np.minimum.reduceat(squared, firsts)
        close = squared <= np.minimum(least, best.squared)[row_of] * (1.0 + _SAME) + _SAME_M2
        at = np.flatnonzero(close)
        best.take(row_of[at], squared[at], offset[at], a[at], along[at], piece_of[start[at]])

    def _gathered(self, pieces: Index) -> tuple[NDArray[np.int32], Index, Index]:
        """Vertices [cm] of pieces, how many each has, and the piece of each vertex."""
        for block in np.unique(self._block_of[pieces]):
            if not self._unpacked[block]:
                self._unpack(int(block))
        count = self.count[pieces]
        ends = np.cumsum(count)
        where = np.arange(int(ends[-1]) if len(ends) else 0)
        where += np.repeat(self._first_vertex[pieces] - (ends - count), count)
        return self._vertices[where], count, np.repeat(pieces, count)

    def _unpack(self, block: int) -> None:
        low, high = self._block_first[block], self._block_first[block + 1]
        count, start = self.count[low:high], self._start[low:high]
        planes = self._file[f"b{block:04d}"].reshape(4, -1).astype(np.int32)
        zigzag = np.stack([planes[0] | planes[1] << 8, planes[2] | planes[3] << 8], axis=-1)
        ends = np.cumsum(count)
        whole = np.zeros((int(ends[-1]), 2), np.int32)
        moved = np.ones(len(whole), dtype=bool)
        moved[ends - count] = False
        whole[moved] = (zigzag >> 1) ^ -(zigzag & 1)
        whole = np.cumsum(whole, axis=0, dtype=np.int32)
        whole += np.repeat(start - whole[ends - count], count, axis=0)
        first = self._first_vertex[low]
        self._vertices[first : first + len(whole)] = np.round(_from_units(whole) * _PER_METRE)
        self._unpacked[block] = True


class _Tree:
    """Search tree over the centres of some pieces."""

    def __init__(self, centre: Array, radius_m: Array, pieces: Index) -> None:
        from scipy.spatial import cKDTree

        self._pieces = pieces
        self._widest_m = float(radius_m[pieces].max())
        self._tree = cKDTree(centre[pieces])

    def nearest(self, xyz: Array) -> tuple[Array, Index]:
        """Chord to the nearest centre [m], and its piece, of points n x 3."""
        chord, at = self._tree.query(xyz, workers=-1 if len(xyz) > _FEW else 1)
        return chord, self._pieces[at]

    def within(self, xyz: Array, chord_m: Array) -> tuple[Index, Index]:
        """Rows of points and pieces, row by row, that may have a part within a chord [m] of the point."""
        reach = chord_m + self._widest_m
        found = self._tree.query_ball_point(xyz, reach, workers=-1 if len(xyz) > _FEW else 1)
        many = np.fromiter(map(len, found), np.intp, len(found))
        flat = np.fromiter(chain.from_iterable(found), np.intp, int(many.sum()))
        return np.repeat(np.arange(len(xyz)), many), self._pieces[flat]


class _Best:
    """The nearest shore point so far of each of some points."""

    def __init__(self, points: Array) -> None:
        self.points = points
        self.squared = np.full(len(points), np.inf)
        self.limit = np.full(len(points), np.inf)
        self.xyz = np.zeros_like(points)
        self.seaward = np.zeros_like(points)
        self.cross = np.zeros(len(points))
        self.piece = np.zeros(len(points), np.intp)

    def cap(self, chord_m: Array) -> None:
        """A centre is a vertex, known to 1 cm: the nearest shore is no farther."""
        self.limit = np.minimum(self.limit, chord_m + 0.02)

    def chord(self) -> Array:
        """No farther than this [m] is the nearest."""
        out: Array = np.minimum(np.sqrt(self.squared), self.limit)
        return out

    def take(self, rows: Index, squared: Array, offset: Array, a: Array, along: Array, piece: Index) -> None:
        """Take what is nearer; of equally near segments, which share a vertex, the one faced most squarely.

        The side of that one tells land from water: land lies to the right of every line.
        """
        up = self.points[rows]
        # the point is the origin: -a is its offset from a, seen against the water's side of the line
        seaward = np.cross(up, along)
        length = np.sqrt(np.einsum("ij,ij->i", seaward, seaward))
        seaward = seaward / np.where(length > 0, length, 1.0)[:, None]
        cross = -np.einsum("ij,ij->i", seaward, a)
        order = np.lexsort((np.abs(cross), rows))
        last = order[np.flatnonzero(np.diff(rows[order], append=-1))]
        row = rows[last]
        same = squared[last] >= self.squared[row] * (1.0 - _SAME) - _SAME_M2
        worse = same & (np.abs(cross[last]) <= np.abs(self.cross[row]))
        last, row = last[~worse], row[~worse]
        self.squared[row] = squared[last]
        self.xyz[row] = offset[last] + self.points[row]
        self.seaward[row] = seaward[last]
        self.cross[row] = cross[last]
        self.piece[row] = piece[last]


def _whole(planes: NDArray[np.uint8]) -> NDArray[np.int32]:
    """Pairs of 32-bit integers whose bytes stand apart in the file."""
    return np.ascontiguousarray(planes.T).view("<i4").astype(np.int32)


def _from_units(whole: NDArray[np.int32]) -> Array:
    """Earth-centred coordinates [m] of longitude and latitude in units of the file."""
    return earth_xyz(whole[..., 1] / _PER_DEGREE, whole[..., 0] / _PER_DEGREE)
