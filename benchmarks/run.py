"""Time the main jobs and print each beside a named peer measured in the same run.

    python benchmarks/run.py

No figure here is asserted anywhere: machines differ. What counts is the ratio.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from rich.console import Console
from rich.table import Table

ROOT = Path(__file__).resolve().parents[1]
DEMO = ROOT / "demo" / "boardwalk.toml"


def best_of(runs: int, job: Callable[[], object]) -> float:
    """Shortest wall time of some runs [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        times.append(time.perf_counter() - start)
    return min(times)


def process(*words: str) -> Callable[[], object]:
    """A whole Python process as a job."""
    command = [sys.executable, *words]
    return lambda: subprocess.run(command, check=True, capture_output=True, cwd=ROOT)


def label_cold() -> tuple[str, float, str, float]:
    """Reading one label, interpreter start included, beside starting the interpreter with numpy."""
    ours = best_of(5, process("-m", "longhold", "label", "G90"))
    peer = best_of(5, process("-c", "import numpy"))
    return "longhold label G90, cold process", ours, "python -c 'import numpy'", peer


def demo_warm() -> tuple[str, float, str, float]:
    """The demo in a warm process, beside the same draws made one by one."""
    from longhold.assessment.line import assess
    from longhold.intake.load import load

    structure = load(DEMO)
    assess(structure)
    ours = best_of(3, lambda: assess(structure))
    peer = best_of(1, lambda: [assess(structure, draws=200, seed=seed) for seed in range(10)])
    return "demo, 12 joints, 2000 draws, warm", ours, "the same draws in ten runs of 200", peer


def demo_cold() -> tuple[str, float, str, float]:
    """The demo with nothing kept of its simulated timbers, beside the same with everything kept."""
    import os

    from longhold.assessment.line import assess
    from longhold.intake.load import load

    structure = load(DEMO)
    assess(structure)
    warm = best_of(3, lambda: assess(structure))
    chosen = os.environ.get("LONGHOLD_CACHE")
    os.environ["LONGHOLD_CACHE"] = "off"
    try:
        cold = best_of(1, lambda: assess(structure))
    finally:
        del os.environ["LONGHOLD_CACHE"]
        if chosen is not None:
            os.environ["LONGHOLD_CACHE"] = chosen
    return "demo, no simulated timber kept", cold, "all of them kept", warm


def many_joints() -> tuple[str, float, str, float]:
    """100 joints that differ, beside 100 times one joint assessed alone."""
    from longhold.assessment.line import assess
    from longhold.intake.load import load

    structure = load(DEMO)
    joints = [
        joint.model_copy(update={"id": f"{joint.id}-{copy}", "demand": 1000.0 + copy})
        for copy in range(9)
        for joint in structure.joints
    ][:100]
    large = structure.model_copy(update={"joints": joints})
    ours = best_of(1, lambda: assess(large))
    alone = structure.model_copy(update={"joints": structure.joints[1:2]})
    peer = best_of(3, lambda: assess(alone)) * len(joints)
    return "100 joints that differ, 2000 draws", ours, "one joint alone, times 100", peer


def alike_joints() -> tuple[str, float, str, float]:
    """5,000 joints of twelve kinds, beside the same number that differ (scaled from 100)."""
    from longhold.assessment.line import assess
    from longhold.intake.load import load

    structure = load(DEMO)
    joints = [
        joint.model_copy(update={"id": f"{joint.id}-{copy}"})
        for copy in range(417)
        for joint in structure.joints
    ][:5000]
    large = structure.model_copy(update={"joints": joints})
    ours = best_of(1, lambda: assess(large))
    return (
        "5,000 joints of 12 kinds, 2000 draws",
        ours,
        "5,000 that differ (100, scaled)",
        many_joints()[1] * 50,
    )


def mixed_joints() -> tuple[str, float, str, float]:
    """5,000 joints of twelve kinds, all of mixed metals, beside 300 that all differ."""
    from longhold.assessment.line import assess
    from longhold.model.structure import Structure

    def many(count: int, kinds: int) -> Structure:
        return Structure.model_validate({**_MIXED, "joints": [_mixed(i, i % kinds) for i in range(count)]})

    few, different = many(5000, 12), many(300, 300)
    ours = best_of(1, lambda: assess(few))
    peer = best_of(1, lambda: assess(different))
    return "5,000 joints of 12 kinds of mixed metals", ours, "300 of mixed metals that differ", peer


_MIXED = {
    "name": "mixed metals",
    "design_life": "50 years",
    "code": {"pack": "us_irc", "edition": "2021"},
    "site": {
        "name": "inland",
        "distance_to_salt_water": "100 miles",
        "climate": {"station": "Wilmington NC"},
    },
    "timbers": {"joist": {"species": "southern pine", "preservative": "none", "size": "2x8"}},
}


def _mixed(number: int, kind: int) -> dict[str, object]:
    """A joint of a zinc-coated angle and a stainless screw, of a size of its own for each kind."""
    screw = {"id": "screw", "kind": "wood_screw", "label": "316 stainless"}
    return {
        "id": f"J{number}",
        "name": "bracket",
        "place": "under_cover",
        "main": "joist",
        "parts": [
            {"id": "angle", "kind": "angle", "size": "16 ga", "label": "G90"},
            {**screw, "diameter": f"{4.0 + 0.01 * kind:.2f} mm", "length": "38 mm"},
        ],
    }


def nearest_shore() -> tuple[str, float, str, float]:
    """Distance to salt water of one place, warm, beside pyproj to every vertex within 2 degrees."""
    import numpy as np
    from pyproj import Geod

    from longhold.assessment.located import shoreline

    coast, geod = shoreline(), Geod(ellps="WGS84")
    latitude, longitude = 34.2, -77.9
    coast.nearest_shore(latitude, longitude)
    ours = best_of(20, lambda: coast.nearest_shore(latitude, longitude))
    lines = np.concatenate(coast.coast_lines(latitude, longitude, 60_000.0, 5.0))
    starts = np.full(len(lines), longitude), np.full(len(lines), latitude)
    peer = best_of(5, lambda: geod.inv(*starts, lines[:, 0], lines[:, 1])[2].min())
    return "nearest shore of a place, warm", ours, f"pyproj to {len(lines):,} vertices about it", peer


def million_shores() -> tuple[str, float, str, float]:
    """Distance to salt water of a million places, beside a KD-tree on the vertices it would need."""
    import numpy as np

    from longhold.assessment.located import shoreline

    rng = np.random.default_rng(1)
    latitude = np.degrees(np.arcsin(rng.uniform(-0.94, 0.99, 1_000_000)))
    longitude = rng.uniform(-180.0, 180.0, 1_000_000)
    coast = shoreline()
    ours = best_of(1, lambda: coast.nearest_shore(latitude, longitude))
    few = 2_000
    one_by_one = best_of(
        1, lambda: [coast.nearest_shore(a, o) for a, o in zip(latitude[:few], longitude[:few], strict=True)]
    )
    return (
        "nearest shore of a million places",
        ours,
        "one by one (2,000, scaled)",
        one_by_one / few * 1_000_000,
    )


BENCHMARKS = (
    label_cold,
    demo_warm,
    demo_cold,
    many_joints,
    alike_joints,
    mixed_joints,
    nearest_shore,
    million_shores,
)


def main() -> None:
    """Run every benchmark and print the table."""
    table = Table("job", "ours [s]", "peer", "peer [s]", "peer / ours")
    for benchmark in BENCHMARKS:
        job, ours, peer, theirs = benchmark()
        table.add_row(job, f"{ours:.4g}", peer, f"{theirs:.4g}", f"{theirs / ours:.1f}")
    Console(width=120).print(table)


if __name__ == "__main__":
    main()
