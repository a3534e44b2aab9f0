"""The error that rounding the sites of a portfolio makes in life, and which input of the rule it comes from.

    python benchmarks/rounding.py --keep FOLDER [--sites 10000] [--error-sites 200] [--draws 500]

Sites of an invented portfolio (tools/demo_portfolio.py) are rounded with the usual limits; a joint at each
of some random sites is then drawn with its site as it is, and with that which stands for it. What was drawn
is kept in FOLDER: a run that was stopped goes on when it is given again. No figure here is asserted anywhere.
"""

from __future__ import annotations

import argparse
import os
import pickle
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.table import Table
from scipy.stats import spearmanr
from unrounded import off_by, picked, sites_alone

from portfolio import demo_table

_SITES_AT_ONCE = 50
_INPUTS = ("temperature", "humidity", "ln of rain", "swing over the year", "ln of the zinc lost")


def facts_of(sites, engine, file: Path):
    """What the rule needs of each site, found once."""
    from longhold.portfolio.sites import locate_sites

    if not file.exists():
        batches = [sites[at : at + _SITES_AT_ONCE] for at in range(0, len(sites), _SITES_AT_ONCE)]
        found = dict(engine.each(locate_sites, batches))
        file.write_bytes(pickle.dumps([one for at in range(len(batches)) for one in found[at]]))
    return pickle.loads(file.read_bytes())


def in_numbers(facts) -> np.ndarray:
    """The inputs of the rule, shape (sites, 5)."""
    return np.array(
        [
            (one.temperature_c, one.humidity_pct, np.log(one.rain_mm), one.swing_c, np.log(one.zinc_um))
            for one in facts
        ]
    )


def joints_alone(gathered, joints):
    """The portfolio with no joints but these, at all of its sites."""
    return replace(
        gathered,
        structure=gathered.structure[joints],
        kind=gathered.kind[joints],
        quantity=gathered.quantity[joints],
        joint_ids=tuple(gathered.joint_ids[one] for one in joints.tolist()),
    )


def main() -> None:
    """Run everything and print the figures."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--keep", type=Path, required=True)
    ask.add_argument("--sites", type=int, default=10_000)
    ask.add_argument("--error-sites", type=int, default=200)
    ask.add_argument("--draws", type=int, default=500)
    ask.add_argument("--workers", type=int, default=2)
    told = ask.parse_args()
    os.environ["LONGHOLD_CACHE"] = "off"
    from longhold.portfolio.classes import Limits, classify
    from longhold.portfolio.drawing import Terms
    from longhold.portfolio.engine import dask_engine
    from longhold.portfolio.line import Portfolio, _looked_at, run_instead, run_portfolio
    from longhold.portfolio.mapping import drawn_of
    from longhold.portfolio.table import gather_table

    start = time.perf_counter()
    told.keep.mkdir(parents=True, exist_ok=True)
    table = told.keep / f"sites-{told.sites}.parquet"
    if not table.exists():
        demo_table(told.sites, 10 * told.sites, table)
    gathered, terms, limits = gather_table(table), Terms(told.draws), Limits.usual()
    chosen, joints = picked(gathered, told.error_sites)
    with dask_engine(told.workers) as engine:
        facts = facts_of(gathered.sites, engine, told.keep / f"facts-{told.sites}.pickle")
        seen = _looked_at([kind.at(gathered.sites[0]) for kind in gathered.kinds])
        timbers = frozenset().union(*(simulated for _, simulated in seen))
        classes = classify(facts, len(gathered.kinds), len(timbers), limits)
        whole = Portfolio(gathered, classes, drawn_of([], len(classes.rungs), 1), terms, limits)
        rounded = run_instead(whole, joints_alone(gathered, joints), told.keep / "rounded", engine)
        alone = sites_alone(gathered, chosen, joints)
        exact, _ = run_portfolio(alone, told.keep / "exact", engine, terms, None)
    found = off_by(rounded, exact, chosen, gathered.kind[joints])
    known, off, chance = found.known, found.life, found.chance
    share = np.quantile(np.abs(off), [0.5, 0.75, 0.9, 1.0])
    figures = Table("figure", "value")
    figures.add_row("classes of climate, rungs of air", f"{len(classes.weather_of)}, {len(classes.rungs)}")
    figures.add_row("steps widened", "{:.2f}, {:.2f}".format(*classes.widened))
    figures.add_row("sites, of them with a known life", f"{len(chosen)}, {int(known.sum())}")
    figures.add_row(
        "middle life off by: half, 3 in 4, 9 in 10, all within",
        ", ".join(f"{100 * (np.exp(one) - 1):.0f} %" for one in share),
    )
    figures.add_row("longer or shorter in the middle", f"{100 * (np.exp(np.median(off)) - 1):+.1f} %")
    figures.add_row("chance off by: mean, most", f"{np.nanmean(chance):.3f}, {np.nanmax(chance):.3f}")
    figures.add_row("outcomes that differ", f"{found.outcomes}")
    numbers = in_numbers(facts)
    apart = (numbers[chosen] - numbers[classes.weather_of[classes.climate_of[chosen]]])[known]
    for name, column in zip(_INPUTS, apart.T, strict=True):
        goes_with = spearmanr(column, off).statistic
        figures.add_row(
            f"error goes with {name} (rank correlation), half within",
            f"{goes_with:+.2f}, {np.median(np.abs(column)):.2f}",
        )
    figures.add_row("took", f"{time.perf_counter() - start:.0f} s")
    Console(width=110).print(figures)


if __name__ == "__main__":
    main()
