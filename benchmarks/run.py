"""Time the main jobs, each in turns with a named peer, and print one table of ratios.

    python benchmarks/run.py [--only WORD ...] [--turns N] [--write FILE]

Words: start-up, label, one joint, 500 joints, air, wood, choose, page, portfolio. No figure is asserted
anywhere: machines differ. What counts is the ratio.
"""

from __future__ import annotations

import argparse
import datetime
import os
import sys
from collections.abc import Iterator
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command does, before numpy is imported

import core_pairs
import page
import wood_kernel
import work_pairs
from pairs import Measured, Pair, measure, show, write

from longhold.base.version import VERSION

ROOMS = ("start-up", "label", "one joint", "500 joints", "air", "wood", "choose", "page", "portfolio")
_CROWD_S = 60.0
MAKERS = {
    core_pairs.start_up: "start-up",
    core_pairs.labels: "label",
    core_pairs.joints: "one joint, 500 joints",
    core_pairs.air_law: "air",
    core_pairs.shores: "air",
    wood_kernel.pairs: "wood",
    work_pairs.choice: "choose",
    work_pairs.page: "page",
    work_pairs.small_portfolio: "portfolio",
}


def wanted(only: list[str]) -> Iterator[Pair]:
    """Pairs of the rooms asked for, each made ready only when its turn comes."""
    for maker, rooms in MAKERS.items():
        if any(room in rooms for room in only):
            yield from (pair for pair in maker() if pair.room in only)


def main() -> None:
    """Measure, print, and write where asked."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--only", nargs="+", choices=ROOMS, default=list(ROOMS), help="only these")
    ask.add_argument("--turns", type=int, default=20, help="at most so many turns of each, for a quick look")
    ask.add_argument("--write", type=Path, help="also write the table as a page of the documentation")
    told = ask.parse_args()
    found: list[Measured] = []
    for pair in wanted(told.only):
        print(f"{pair.room}: {pair.job} ...", file=sys.stderr, flush=True)
        found.append(measure(pair, told.turns))
    show(found)
    crowd = page.crowd(_CROWD_S) if "page" in told.only else []
    print("\n".join(crowd))
    if told.write is not None:
        left_out = [room for room in ROOMS if room not in {one.pair.room for one in found}]
        write(found, crowd, left_out, told.write, datetime.date.today().isoformat(), VERSION)
        print(f"Wrote {told.write}")


if __name__ == "__main__":
    main()
