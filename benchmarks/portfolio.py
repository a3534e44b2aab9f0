"""Time a portfolio beside a plain loop over ``assess``, one worker beside two; the error of rounding sites.

    python benchmarks/portfolio.py [--sites 24] [--joints 2400] [--draws 500] [--million]

The portfolio is invented (tools/demo_portfolio.py). Nothing simulated before is used. No figure here is
asserted anywhere: machines differ.
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import tempfile
import threading
import time
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table
from unrounded import off_by, picked, sites_alone

ROOT = Path(__file__).resolve().parents[1]


class Memory(threading.Thread):
    """Greatest sum of the memory of this process and its children [GB], looked at once a second."""

    def __init__(self) -> None:
        super().__init__(daemon=True)
        self.most = 0.0
        self.over = threading.Event()

    def run(self) -> None:
        import psutil

        here = psutil.Process()
        while not self.over.wait(1.0):
            held = 0
            for one in (here, *here.children(recursive=True)):
                try:
                    held += one.memory_info().rss
                except psutil.NoSuchProcess:
                    continue
            self.most = max(self.most, held / 1e9)


def demo_table(sites: int, joints: int, file: Path) -> None:
    """The invented portfolio as Parquet."""
    from pyarrow import parquet

    spec = importlib.util.spec_from_file_location("demo_portfolio", ROOT / "tools" / "demo_portfolio.py")
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    parquet.write_table(tool.portfolio(sites, joints, 1), file)


def whole_run(table: Path, out: Path, workers: int, terms, limits, cache: Path | None):
    """One run from the table to the ranked rows: seconds, CPU seconds of the workers, the portfolio."""
    from longhold.portfolio.engine import dask_engine
    from longhold.portfolio.joints import totals_of, write_parts
    from longhold.portfolio.line import run_portfolio
    from longhold.portfolio.ranking import ranked
    from longhold.portfolio.table import gather_table

    os.environ["LONGHOLD_CACHE"] = "off" if cache is None else str(cache)
    start = time.perf_counter()
    gathered = gather_table(table)
    read = time.perf_counter() - start
    with dask_engine(workers) as engine:
        up = time.perf_counter()
        portfolio, folder = run_portfolio(gathered, out, engine, terms, limits)
        drawn = time.perf_counter() - up
        used = sum(engine.client.run(cpu_seconds).values())
    write_parts(portfolio, folder)
    ranked(portfolio, totals_of(portfolio), "chance")
    return time.perf_counter() - start, read, drawn, used, portfolio


def cpu_seconds() -> float:
    times = os.times()
    return times.user + times.system


def naive_seconds(portfolio, structures: int, terms) -> float:
    """A plain loop over ``assess``, a joint [s]: whole structures, nothing kept between them."""
    from longhold.assessment.line import assess

    os.environ["LONGHOLD_CACHE"] = "off"
    gathered = portfolio.gathered
    joints = 0
    start = time.perf_counter()
    for number in range(structures):
        own = np.flatnonzero(gathered.structure == number)
        first = gathered.kinds[gathered.kind[own[0]]]
        at = gathered.sites[gathered.structures[number].site]
        timbers, parts = {}, []
        for place, joint in enumerate(own.tolist()):
            kind = gathered.kinds[gathered.kind[joint]]
            name = f"timber{int(gathered.kind[joint])}"
            timbers[name] = kind.timbers["main"]
            parts.append(kind.joints[0].model_copy(update={"id": f"J{place}", "main": name}))
        assess(first.model_copy(update={"site": at, "timbers": timbers, "joints": parts}), draws=terms.draws)
        joints += len(own)
    return (time.perf_counter() - start) / joints


def rounding_error(portfolio, sites: int, terms, folder: Path):
    """Life with rounded sites over life without, of one joint at each of some random sites."""
    from longhold.portfolio.engine import dask_engine
    from longhold.portfolio.line import run_portfolio

    gathered = portfolio.gathered
    chosen, joints = picked(gathered, sites)
    with dask_engine(2) as engine:
        exact, _ = run_portfolio(sites_alone(gathered, chosen, joints), folder, engine, terms, None)
    off = off_by(portfolio, exact, chosen, gathered.kind[joints])
    return np.abs(off.life), off.chance[np.isfinite(off.chance)], off.outcomes, len(chosen)


def main() -> None:
    """Run everything and print the figures."""
    from longhold.portfolio.classes import Limits
    from longhold.portfolio.drawing import Terms

    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--sites", type=int, default=24)
    ask.add_argument("--joints", type=int, default=2400)
    ask.add_argument("--draws", type=int, default=500)
    ask.add_argument("--exposures", type=int, default=0, help="at most; 0 takes the usual limit")
    ask.add_argument("--combinations", type=int, default=0, help="at most; 0 takes the usual limit")
    ask.add_argument("--error-sites", type=int, default=4, help="for the error of rounding")
    ask.add_argument("--one-worker", action=argparse.BooleanOptionalAction, default=True)
    ask.add_argument("--million", action="store_true", help="1,000,000 joints at 10,000 sites, 2,000 draws")
    told = ask.parse_args()
    if told.million:
        told.sites, told.joints, told.draws, told.one_worker = 10_000, 1_000_000, 2000, False
    usual = Limits.usual()
    small = Limits(48, 240) if not told.million else usual
    limits = Limits(told.exposures or small.exposures, told.combinations or small.combinations)
    terms = Terms(told.draws)
    memory = Memory()
    memory.start()
    figures = Table("figure", "value")
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        demo_table(told.sites, told.joints, folder / "demo.parquet")
        seconds, read, drawn, used, portfolio = whole_run(
            folder / "demo.parquet", folder / "two", 2, terms, limits, None
        )
        memory.over.set()
        classes = portfolio.classes
        joints = len(portfolio.gathered.kind)
        rows = [
            (
                "joints, sites, structures",
                f"{joints:,}, {len(classes.climate_of):,}, {len(portfolio.gathered.structures):,}",
            ),
            ("classes of climate, rungs of air", f"{len(classes.weather_of)}, {len(classes.rungs)}"),
            ("combinations drawn, draws each", f"{len(portfolio.drawn):,}, {terms.draws:,}"),
            ("steps of climate and air widened by", "{:.2f}, {:.2f}".format(*classes.widened)),
            ("two workers, start to ranked rows", f"{seconds:.1f} s"),
            ("of it reading, drawing", f"{read:.1f} s, {drawn:.1f} s"),
            ("CPU time of the workers", f"{used:.1f} s"),
            ("load of the machine just now", f"{os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"),
            ("joints a second", f"{joints / seconds:,.0f}"),
            ("greatest memory, all processes", f"{memory.most:.2f} GB"),
        ]
        if told.one_worker:
            alone, _, drawn_alone, used_alone, _ = whole_run(
                folder / "demo.parquet", folder / "one", 1, terms, limits, None
            )
            rows.append(("CPU time of one worker over that of two", f"{used_alone / used:.2f}"))
            rows.append(("one worker over two, drawing alone", f"{drawn_alone / drawn:.2f}"))
            rows.append(("one worker over two, start to ranked rows", f"{alone / seconds:.2f}"))
        each = naive_seconds(portfolio, 1, terms)
        rows.append(("plain loop over assess, one structure, scaled", f"{each * joints:,.0f} s"))
        rows.append(("plain loop over two workers", f"{each * joints / seconds:,.1f}"))
        if told.error_sites:
            ratio, chance, differ, count = rounding_error(
                portfolio, told.error_sites, terms, folder / "exact"
            )
            if len(ratio):
                half, most = np.exp(np.quantile(ratio, [0.5, 0.9])) - 1.0
                rows.append(
                    (
                        f"middle life by rounding off by, {len(ratio)} known lives, half and 9 in 10 within",
                        f"{half:.1%}, {most:.1%}",
                    )
                )
            rows.append(
                (f"chance off by, {count} sites, mean and most", f"{chance.mean():.3f}, {chance.max():.3f}")
            )
            rows.append(("outcomes that differ", f"{differ} of {count}"))
    for row in rows:
        figures.add_row(*row)
    Console(width=110).print(figures)


if __name__ == "__main__":
    main()
