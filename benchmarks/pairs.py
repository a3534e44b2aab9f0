"""A job of ours beside a peer, run in turns; one table of ratios for all of them.

No figure is asserted anywhere: machines differ. What counts is the ratio, with its spread over the turns.
"""

from __future__ import annotations

import os
import platform
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

Job = Callable[[], Any]
HEADS = ("job", "ours", "peer", "peer takes", "peer over ours", "lowest", "highest", "turns")
ABOUT = (
    "Each job and its peer were run in turns on the same machine; the ratio is the middle one of those",
    "turns, beside the lowest and the highest. Peers are general libraries, or the plain way to do the same.",
    "Where a part of the work was run and scaled, the words say so. Times differ by machine: what counts is",
    "the ratio. A ratio below 1 means that the peer is faster.",
)


@dataclass(frozen=True)
class Pair:
    """A job and its peer.

    Attributes
    ----------
    room : word by which ``--only`` picks it
    job, peer : what each is, in words
    ours, theirs : run them once
    turns : how often each is run, in turns
    ours_is, theirs_is : what one run stands for, as a factor on its time; other than 1 where a part of
        the work is run and scaled
    """

    room: str
    job: str
    ours: Job
    peer: str
    theirs: Job
    turns: int = 7
    ours_is: float = 1.0
    theirs_is: float = 1.0


@dataclass(frozen=True)
class Measured:
    """Times of a pair, turn by turn [s]."""

    pair: Pair
    ours_s: tuple[float, ...]
    theirs_s: tuple[float, ...]

    @property
    def ratios(self) -> list[float]:
        """The peer's time over ours in each turn: what slows the machine slows both."""
        return [theirs / ours for ours, theirs in zip(self.ours_s, self.theirs_s, strict=True)]

    @property
    def row(self) -> tuple[str, ...]:
        """As a line of the table."""
        ratios = self.ratios
        middle, low, high = statistics.median(ratios), min(ratios), max(ratios)
        return (
            self.pair.job,
            told_time(statistics.median(self.ours_s)),
            self.pair.peer,
            told_time(statistics.median(self.theirs_s)),
            *(told_ratio(one) for one in (middle, low, high)),
            str(len(self.ours_s)),
        )


def seconds(job: Job) -> float:
    """Wall time of one run [s]."""
    start = time.perf_counter()
    job()
    return time.perf_counter() - start


def measure(pair: Pair, most_turns: int) -> Measured:
    """Both once to warm up where they are run more than twice, then in turns, who begins changing."""
    turns = min(pair.turns, most_turns)
    if turns > 2:
        pair.ours()
        pair.theirs()
    ours, theirs = [], []
    for turn in range(turns):
        if turn % 2:
            theirs.append(seconds(pair.theirs) * pair.theirs_is)
            ours.append(seconds(pair.ours) * pair.ours_is)
        else:
            ours.append(seconds(pair.ours) * pair.ours_is)
            theirs.append(seconds(pair.theirs) * pair.theirs_is)
    return Measured(pair, tuple(ours), tuple(theirs))


def told_time(value_s: float) -> str:
    """A time with the unit that suits it."""
    if value_s >= 1000.0:
        return f"{value_s:,.0f} s"
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if value_s >= size:
            return f"{value_s / size:.3g} {unit}"
    return f"{value_s * 1e9:.3g} ns"


def told_ratio(ratio: float) -> str:
    """A ratio with two or three digits."""
    return f"{ratio:,.0f}" if ratio >= 100 else f"{ratio:.2g}"


def machine() -> str:
    """Class of the machine: what a stranger needs to place the times, and no name of it."""
    pages = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    load = os.getloadavg()[0]
    return (
        f"{os.cpu_count()} cores ({platform.machine()}), {pages / 2**30:.0f} GB of memory, "
        f"{platform.system()}, Python {platform.python_version()}; load {load:.1f} at the end"
    )


def show(found: Iterable[Measured]) -> None:
    """Print the table."""
    table = Table(*HEADS)
    for one in found:
        table.add_row(*one.row)
    console = Console(width=170)
    console.print(table)
    console.print(machine())


def write(
    found: Iterable[Measured], crowd: list[str], left_out: list[str], file: Path, day: str, version: str
) -> None:
    """The same as a page of the documentation.

    Parameters
    ----------
    crowd : what came of many people at once, line by line
    """
    lines = [
        "# Benchmarks",
        "",
        f"Written by `benchmarks/run.py --write` on {day}, with Longhold {version}.",
        f"Machine: {machine()}.",
        "",
        *ABOUT,
        *([f"Not measured this time: {', '.join(left_out)}."] if left_out else []),
        "",
        f"| {' | '.join(HEADS)} |",
        f"|{'---|' * len(HEADS)}",
        *(f"| {' | '.join(cell.replace('|', '/') for cell in one.row)} |" for one in found),
        "",
        *(["## Many people at once", "", *crowd, ""] if crowd else []),
    ]
    file.write_text("\n".join(lines), encoding="utf-8")
