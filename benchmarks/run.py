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
    few = 20
    peer = best_of(1, lambda: [assess(structure, draws=1, seed=seed) for seed in range(few)]) / few * 2000
    return "demo, 12 joints, 2000 draws, warm", ours, "one assessment per draw (20 runs, scaled)", peer


def many_joints() -> tuple[str, float, str, float]:
    """500 joints of the demo's kinds, beside 500 times one joint assessed alone."""
    from longhold.assessment.line import assess
    from longhold.intake.load import load

    structure = load(DEMO)
    joints = [
        joint.model_copy(update={"id": f"{joint.id}-{copy}"})
        for copy in range(42)
        for joint in structure.joints
    ][:500]
    large = structure.model_copy(update={"joints": joints})
    ours = best_of(1, lambda: assess(large))
    alone = structure.model_copy(update={"joints": structure.joints[:1]})
    peer = best_of(3, lambda: assess(alone)) * len(joints)
    return "500 joints, 2000 draws", ours, "one joint alone, times 500", peer


def main() -> None:
    """Run every benchmark and print the table."""
    table = Table("job", "ours [s]", "peer", "peer [s]", "peer / ours")
    for benchmark in (label_cold, demo_warm, many_joints):
        job, ours, peer, theirs = benchmark()
        table.add_row(job, f"{ours:.3f}", peer, f"{theirs:.3f}", f"{theirs / ours:.1f}")
    Console(width=120).print(table)


if __name__ == "__main__":
    main()
