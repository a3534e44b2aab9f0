"""Command ``portfolio``: thousands of structures, ranked, on the cores of this machine or on a cluster."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.portfolio.engine import Engine
    from longhold.portfolio.gathering import Gathered, NotAssessed
    from longhold.portfolio.line import Progress
    from longhold.portfolio.ranking import StructureRow

__all__ = ["portfolio"]

_STORES = ("postgresql:", "postgres:", "sqlite:")
_TABLES = {".csv", ".parquet"}


def portfolio(
    source: Annotated[
        str,
        typer.Argument(
            metavar="FROM",
            help="Folder of structure files, a table with a row a joint (CSV or Parquet), or a store's URL.",
        ),
    ],
    out: Annotated[
        Path, typer.Option(metavar="FOLDER", help="Results go here; a run that was stopped goes on from it.")
    ] = Path("portfolio-results"),
    workers: Annotated[
        int | None, typer.Option(min=1, max=1024, metavar="N", help="Processes here; else one a core.")
    ] = None,
    scheduler: Annotated[
        str | None, typer.Option(metavar="tcp://HOST:PORT", help="Dask scheduler of a cluster to work on.")
    ] = None,
    dashboard: Annotated[
        bool, typer.Option("--dashboard", metavar="", help="Print the address of the workers' page.")
    ] = False,
    rank: Annotated[
        Literal["chance", "consequence", "date"],
        typer.Option(
            help="What comes first: the surest to fall short, the most structural joints, the soonest."
        ),
    ] = "chance",
    top: Annotated[int, typer.Option(min=1, max=1000, help="Structures to print.")] = 20,
    exact: Annotated[
        bool, typer.Option("--exact", metavar="", help="Let every site stand for itself; takes far longer.")
    ] = False,
    draws: Annotated[int, typer.Option(min=200, max=100_000, help="Draws of the uncertain inputs.")] = 2000,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the draws.")] = 1,
) -> None:
    """Assess many structures and say which to look at first.

    Every joint's answer goes to FOLDER as Parquet, in parts of whole sites. Sites that are alike share their
    draws by a stated rule, unless --exact.
    """
    from longhold.cli.show import console, counted, plain, print_caution
    from longhold.portfolio.classes import Limits
    from longhold.portfolio.drawing import Terms
    from longhold.portfolio.engine import dask_engine
    from longhold.portfolio.joints import totals_of, write_parts
    from longhold.portfolio.line import run_portfolio
    from longhold.portfolio.ranking import RANKING_WORDS, ranked

    with dask_engine(workers, scheduler, dashboard=dashboard) as engine:
        if engine.dashboard:
            print(f"Workers: {engine.dashboard}", file=sys.stderr)
        gathered = _gathered(source, engine)
        with _told() as progress:
            found, folder = run_portfolio(
                gathered, out, engine, Terms(draws, seed), None if exact else Limits(), progress
            )
    parts = write_parts(found, folder)
    totals = totals_of(found)
    rows = ranked(found, totals, rank)
    folder.note({"state": "done", "parts": parts, "structures": len(rows)})
    to = console()
    to.print(plain(f"First to look at, {RANKING_WORDS[rank]}"), style="bold")
    _print_rows(rows[:top])
    _print_refused(found.gathered.not_assessed)
    print_caution(to)
    joints = int(totals.joints.sum())
    sites = counted(len(found.gathered.sites), "site", "sites")
    to.print(
        f"{counted(len(rows), 'structure', 'structures')}, {counted(joints, 'joint', 'joints')} at {sites}: "
        f"{int(totals.holds.sum()):,} hold, {int(totals.fails.sum()):,} fall short, "
        f"{int(totals.refer.sum()):,} undecided"
    )
    to.print(plain(f"Results: {out}"))
    if totals.fails.sum():
        raise typer.Exit(1)


def _gathered(source: str, engine: Engine) -> Gathered:
    from longhold.base.errors import InputError, Problem

    path = Path(source)
    if path.is_dir():
        from longhold.portfolio.folder import gather_folder

        return gather_folder(path, engine)
    if source.casefold().startswith(_STORES):
        from longhold.portfolio.saved import gather_store

        return gather_store(source)
    if path.suffix.casefold() in _TABLES and path.is_file():
        from longhold.portfolio.table import gather_table

        return gather_table(path)
    said = "is no folder, no table (.csv or .parquet) and no store's URL."
    raise InputError(Problem("FROM", source, said, "Give one of them."))


@contextmanager
def _told() -> Iterator[Progress]:
    """A bar for each step of the work, where somebody sees it."""
    from longhold.cli.show import progress_bar

    open_bars: list[tuple[str, object]] = []
    with progress_bar("Portfolio") as bar:

        def tell(words: str, done: int, total: int) -> None:
            if bar is not None:
                bar(done, total)
            open_bars[:] = [(words, done)]

        yield tell


def _print_rows(rows: Sequence[StructureRow]) -> None:
    from longhold.cli.show import console, show_rows

    heads = (
        "Structure",
        "At",
        "Falls short",
        "Joints expected to end",
        "Less sure than asked",
        "Least sure joint",
    )
    cells = [
        (
            f"{row.rank} {row.structure}",
            row.site,
            "not known" if row.falls_below is None else f"{100 * row.falls_below:.0f} %",
            f"{row.expected_ends:,.1f} of {row.joints:,}",
            _when(row),
            row.worst_joint,
        )
        for row in rows
    ]
    show_rows(console(), heads, cells)


def _when(row: StructureRow) -> str:
    if row.below_after_years is None:
        return "not within the years computed"
    after = f"after {row.below_after_years:.3g} years"
    return after if row.below_in_year is None else f"from {row.below_in_year}, {after}"


def _print_refused(refused: Sequence[NotAssessed]) -> None:
    if not refused:
        return
    from longhold.cli.show import console, counted, plain

    to = console()
    to.print(f"{counted(len(refused), 'structure', 'structures')} could not be assessed:")
    for one in refused[:20]:
        to.print(plain(f"  {one.source}: {one.message}"))
    if len(refused) > 20:
        to.print(f"  and {len(refused) - 20:,} more")
