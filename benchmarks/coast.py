"""Time the distance to salt water beside two named peers measured in the same run.

    python benchmarks/coast.py

Peers: pyproj's geodesics to every vertex within a degree, and scipy's KD-tree over all vertices of the same
shoreline, which answers with the nearest vertex, not the nearest shore. No figure here is asserted anywhere.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable

import numpy as np
from rich.console import Console
from rich.table import Table

MANY, PEER_MANY = 1_000_000, 100_000


def timed(job: Callable[[], object], runs: int = 1) -> float:
    """Shortest wall time of some runs [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        times.append(time.perf_counter() - start)
    return min(times)


def memory_mb() -> float:
    """Most memory that this process has held so far [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)


def main() -> None:
    """Run ours, then the peers, and print both."""
    from pyproj import Geod
    from scipy.spatial import cKDTree

    from longhold.air.coast import Coast
    from longhold.air.coast_index import earth_xyz, latitude_longitude

    base = memory_mb()
    start = time.perf_counter()
    coast = Coast.load()
    load = time.perf_counter() - start
    lat, lon = 33.99684, -77.90721
    cold = timed(lambda: coast.nearest_shore(lat, lon))
    warm = timed(lambda: coast.nearest_shore(lat, lon), 50)
    kind = timed(lambda: coast.shore_type(lat, lon), 20)
    around = timed(lambda: coast.distance_by_direction(lat, lon), 20)
    rng = np.random.default_rng(1)
    vertex = coast._shoreline.centre[rng.integers(0, len(coast._shoreline.centre), MANY)]
    near_lat, near_lon = latitude_longitude(vertex)
    near_lat = np.clip(near_lat + rng.normal(0, 0.1, MANY), -90, 90)
    near_lon = (near_lon + rng.normal(0, 0.1, MANY) + 180) % 360 - 180
    coastal = timed(lambda: coast.nearest_shore(near_lat, near_lon))
    globe_lat = np.degrees(np.arcsin(rng.uniform(-1, 1, MANY)))
    globe = timed(lambda: coast.nearest_shore(globe_lat, rng.uniform(-180, 180, MANY)))
    ours_mb = memory_mb()

    shoreline = coast._shoreline
    vertices, _ = shoreline.lines(np.arange(len(shoreline.count)))
    at_lat, at_lon = latitude_longitude(vertices)
    close = (np.abs(at_lat - lat) < 1) & (np.abs(at_lon - lon) < 1)
    geod, one = Geod(ellps="WGS84"), np.ones(int(close.sum()))
    brute = timed(lambda: geod.inv(lon * one, lat * one, at_lon[close], at_lat[close]), 3)
    start = time.perf_counter()
    tree = cKDTree(vertices)
    build = time.perf_counter() - start
    one_point = earth_xyz(lat, lon)
    tree_warm = timed(lambda: tree.query(one_point), 50)
    some = earth_xyz(near_lat[:PEER_MANY], near_lon[:PEER_MANY])
    tree_many = timed(lambda: tree.query(some, workers=-1)) * MANY / PEER_MANY
    peer_mb = memory_mb()

    pyproj, kd = f"pyproj to {len(one):,} vertices", f"KD-tree on {len(vertices):,} vertices"
    table = Table("job", "ours [s]", "peer", "peer [s]", "peer / ours")
    for job, ours, peer, theirs in (
        ("load", load, kd, build),
        ("first query of a region", cold, pyproj, brute),
        ("warm query", warm, pyproj, brute),
        ("warm query", warm, kd, tree_warm),
        ("a million points near shores", coastal, f"{kd} (a tenth, scaled)", tree_many),
    ):
        table.add_row(job, f"{ours:.6f}", peer, f"{theirs:.6f}", f"{theirs / ours:.1f}")
    table.add_row("a million points anywhere", f"{globe:.4f}", "-", "-", "-")
    table.add_row("kind of shore, warm", f"{kind:.4f}", "-", "-", "-")
    table.add_row("36 directions, warm", f"{around:.4f}", "-", "-", "-")
    console = Console(width=130)
    console.print(table)
    console.print(
        f"memory: {base:.0f} MB before, {ours_mb:.0f} MB at most for ours, {peer_mb:.0f} MB with the peers"
    )


if __name__ == "__main__":
    main()
