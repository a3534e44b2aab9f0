"""Start-up, labels, joints and air, each beside a named peer."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from pairs import Job, Pair

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "demo" / "boardwalk.toml"
LABEL = "hot-dip galvanized ASTM A153 Class C"
JOINTS, ALONE, DRAWS = 500, 12, 2000
SITES, SITES_OF_PEER = 100_000, 2_000
PLACES, PLACES_OF_PEER = 200_000, 20_000


def process(*words: str) -> Job:
    """A whole Python process as a job; what it compiled is kept, as it is where people use it."""
    command = [sys.executable, *words]
    around = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return lambda: subprocess.run(command, check=True, capture_output=True, cwd=ROOT, env=around)


def start_up() -> Iterator[Pair]:
    yield Pair(
        "start-up",
        "longhold label G90, a process of its own",
        process("-m", "longhold", "label", "G90"),
        "python -c 'import numpy'",
        process("-c", "import numpy"),
    )


def labels() -> Iterator[Pair]:
    import pint

    from longhold.labels.read import read_label

    units = pint.UnitRegistry()
    yield Pair(
        "label",
        "a label of five words read, warm",
        lambda: [read_label(LABEL) for _ in range(100)],
        "pint reads 305 g/m² into oz/ft²",
        lambda: [units.Quantity("305 g/m**2").to("oz/ft**2") for _ in range(100)],
        ours_is=0.01,
        theirs_is=0.01,
    )


def joints() -> Iterator[Pair]:
    from longhold.assessment.line import assess
    from longhold.intake.load import load

    structure = load(DEMO)
    one = structure.model_copy(update={"joints": structure.joints[1:2]})
    yield Pair(
        "one joint",
        f"one joint, {DRAWS:,} draws, warm",
        lambda: assess(one, draws=DRAWS),
        "the same draws in ten runs of 200",
        lambda: [assess(one, draws=200, seed=seed) for seed in range(1, 11)],
    )
    many = [
        joint.model_copy(update={"id": f"{joint.id}-{copy}", "demand": 300.0 + copy})
        for copy in range(JOINTS // len(structure.joints) + 1)
        for joint in structure.joints
    ][:JOINTS]
    large = structure.model_copy(update={"joints": many})
    each = [structure.model_copy(update={"joints": [joint]}) for joint in many[:ALONE]]
    yield Pair(
        "500 joints",
        f"{JOINTS} joints under loads that differ",
        lambda: assess(large),
        f"a plain loop over assess, joint by joint ({ALONE} of them, scaled)",
        lambda: [assess(single) for single in each],
        turns=3,
        theirs_is=JOINTS / ALONE,
    )


def air_law() -> Iterator[Pair]:
    from longhold.air.dose_response import first_year_loss_um

    draw = np.random.default_rng(1)
    T, RH = draw.uniform(-10.0, 28.0, SITES), draw.uniform(40.0, 90.0, SITES)
    Pd, Sd = draw.uniform(1.0, 100.0, SITES), draw.uniform(1.0, 400.0, SITES)
    few = list(zip(*(one[:SITES_OF_PEER].tolist() for one in (T, RH, Pd, Sd)), strict=True))

    def one_by_one() -> list[float]:
        """ISO 9223, equation 2, for zinc."""
        return [
            0.0129 * p**0.44 * math.exp(0.046 * h + (0.038 if t <= 10.0 else -0.071) * (t - 10.0))
            + 0.0175 * s**0.57 * math.exp(0.008 * h + 0.085 * t)
            for t, h, p, s in few
        ]

    apart = np.abs(first_year_loss_um("zinc", *np.array(few).T) / np.array(one_by_one()) - 1.0).max()
    assert apart < 1e-12, apart
    yield Pair(
        "air",
        f"first-year loss of zinc at {SITES:,} sites",
        lambda: first_year_loss_um("zinc", T, RH, Pd, Sd),
        f"the same equation in a Python loop ({SITES_OF_PEER:,}, scaled)",
        one_by_one,
        theirs_is=SITES / SITES_OF_PEER,
    )


def shores() -> Iterator[Pair]:
    """Distance to salt water; the KD-tree answers with the nearest vertex, not the nearest shore."""
    from pyproj import Geod
    from scipy.spatial import cKDTree

    from longhold.air.coast import Coast
    from longhold.air.coast_index import earth_xyz, latitude_longitude

    coast, geod = Coast.load(), Geod(ellps="WGS84")
    lat, lon = 33.99684, -77.90721
    shoreline = coast._shoreline
    vertices, _ = shoreline.lines(np.arange(len(shoreline.count)))
    at_lat, at_lon = latitude_longitude(vertices)
    close = (np.abs(at_lat - lat) < 1) & (np.abs(at_lon - lon) < 1)
    ones = np.ones(int(close.sum()))
    yield Pair(
        "air",
        "nearest shore of a place, warm",
        lambda: [coast.nearest_shore(lat, lon) for _ in range(20)],
        f"pyproj to {len(ones):,} vertices within a degree",
        lambda: geod.inv(lon * ones, lat * ones, at_lon[close], at_lat[close]),
        ours_is=0.05,
    )
    tree = cKDTree(vertices)
    draw = np.random.default_rng(1)
    near_lat, near_lon = latitude_longitude(shoreline.centre[draw.integers(0, len(shoreline.centre), PLACES)])
    near_lat = np.clip(near_lat + draw.normal(0, 0.1, PLACES), -90, 90)
    near_lon = (near_lon + draw.normal(0, 0.1, PLACES) + 180) % 360 - 180
    some = earth_xyz(near_lat[:PLACES_OF_PEER], near_lon[:PLACES_OF_PEER])
    yield Pair(
        "air",
        f"nearest shore of {PLACES:,} places near the sea",
        lambda: coast.nearest_shore(near_lat, near_lon),
        f"scipy's KD-tree over {len(vertices):,} vertices, which finds a vertex only (a tenth, scaled)",
        lambda: tree.query(some, workers=-1),
        turns=3,
        theirs_is=PLACES / PLACES_OF_PEER,
    )
