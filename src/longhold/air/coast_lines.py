"""Coastlines for pictures: the lines near a point, thinned to a tolerance."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from longhold.air.coast_index import Array, earth_xyz, latitude_longitude

__all__ = ["SMALL_TOLERANCE_M", "drawn", "joined", "lines_about", "simplify", "thin_world"]

# what tools/build_coast.py thins the small file to
SMALL_TOLERANCE_M = 1000.0


def simplify(points: Array, tolerance_m: float) -> NDArray[np.intp]:
    """Indices of the points that keep a line within a tolerance of every point left out.

    Douglas and Peucker's splitting at the farthest point, in space; the two ends always stay.

    Parameters
    ----------
    points : n x 3, earth-centred [m] (``earth_xyz``)
    tolerance_m : greatest distance of a point left out from the line that replaces it [m]

    >>> simplify(np.array([[0.0, 0, 0], [1, 0.1, 0], [2, 0, 0], [3, 5, 0]]), 0.5)
    array([0, 2, 3])
    """
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    open_ends = [(0, len(points) - 1)]
    while open_ends:
        first, last = open_ends.pop()
        if last - first < 2:
            continue
        offset = _offset(points[first + 1 : last], points[first], points[last])
        worst = int(np.argmax(offset))
        if offset[worst] > tolerance_m:
            middle = first + 1 + worst
            keep[middle] = True
            open_ends += [(first, middle), (middle, last)]
    return np.flatnonzero(keep)


def joined(lines: list[Array]) -> list[Array]:
    """Lines joined where one starts at the very point at which another ends.

    >>> joined([np.array([[1.0, 1], [2, 2]]), np.array([[0.0, 0], [1, 1]])])[0].tolist()
    [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]
    """
    by_start = {tuple(line[0].tolist()): number for number, line in enumerate(lines)}
    has_before = {by_start[end] for line in lines if (end := tuple(line[-1].tolist())) in by_start}
    starts = [n for n in range(len(lines)) if n not in has_before] + sorted(has_before)
    used: set[int] = set()
    found = []
    for number in starts:
        chain: list[Array] = []
        step: int | None = number
        while step is not None and step not in used:
            used.add(step)
            chain.append(lines[step] if not chain else lines[step][1:])
            step = by_start.get(tuple(lines[step][-1].tolist()))
        if chain:
            found.append(np.concatenate(chain))
    return found


def _offset(points: Array, start: Array, end: Array) -> Array:
    """Distance of points from the segment between two others [m]."""
    along = end - start
    length2 = float(along @ along)
    from_start = points - start
    share = np.clip(from_start @ along / length2, 0.0, 1.0) if length2 > 0 else np.zeros(len(points))
    out: Array = np.sqrt(((from_start - share[:, None] * along) ** 2).sum(axis=1))
    return out


def thin_world(path: Path) -> list[Array]:
    """Lines (longitude, latitude) of the small file, thinned to ``SMALL_TOLERANCE_M``."""
    with np.load(path) as file:
        size = file["size"].astype(int)
        moves = np.stack([file["lon"], file["lat"]], axis=-1).astype(np.int64)
    ends = np.cumsum(size)
    whole = np.cumsum(moves, axis=0)
    # each line starts with its own position: take off what the lines before added up to
    before = np.concatenate([np.zeros((1, 2), np.int64), whole[ends[:-1] - 1]])
    degrees = (whole - np.repeat(before, size, axis=0)) * (360.0 / 65536.0)
    return np.split(degrees, ends[:-1])


def lines_about(lines: list[Array], latitude: float, longitude: float, radius_m: float) -> list[Array]:
    """Parts of lines (earth-centred, n x 3) within a radius, and one vertex more at either end."""
    centre = earth_xyz(latitude, longitude)
    size = np.array([len(line) for line in lines], dtype=int)
    if not len(size):
        return []
    points = np.concatenate(lines)
    inside = ((points - centre) ** 2).sum(axis=1) <= radius_m**2
    line_of = np.repeat(np.arange(len(lines)), size)
    kept = inside.copy()
    joins = line_of[:-1] == line_of[1:]
    kept[:-1] |= inside[1:] & joins
    kept[1:] |= inside[:-1] & joins
    at = np.flatnonzero(kept)
    breaks = np.flatnonzero((np.diff(at) != 1) | (np.diff(line_of[at]) != 0)) + 1
    return [part for part in np.split(points[at], breaks) if len(part) > 1]


def drawn(lines: list[Array], longitude: float, tolerance_m: float) -> list[Array]:
    """Lines (earth-centred) thinned, as (longitude, latitude) without a jump at the date line.

    A closed line smaller than the tolerance would be a dot: it is left out.
    """
    found = []
    for line in lines:
        if np.sqrt((np.ptp(line, axis=0) ** 2).sum()) <= tolerance_m:
            continue
        latitude, east = latitude_longitude(line[simplify(line, tolerance_m)])
        found.append(np.stack([longitude + (east - longitude + 180.0) % 360.0 - 180.0, latitude], axis=-1))
    return found
