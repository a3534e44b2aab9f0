"""Command ``portfolio``: thousands of structures, ranked, on the cores of this machine or on a cluster."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from longhold.cli.options import Draws, Seed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.portfolio.engine import Engine
    from longhold.portfolio.gathering import Gathered, NotAssessed
    from longhold.portfolio.instead import Changed
    from longhold.portfolio.joints import Totals
    from longhold.portfolio.line import Portfolio, Progress
    from longhold.portfolio.money import Money, Prices
    from longhold.portfolio.ranking import Ranking, StructureRow

__all__ = ["portfolio"]

_STORES = ("postgresql:", "postgres:", "sqlite:")
_A_LINE_EACH_S = 60.0
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
    instead: Annotated[
        list[str] | None,
        typer.Option(
            metavar="FAMILY=LABEL", help='Before and after with other hardware, such as "nail=304 stainless".'
        ),
    ] = None,
    offers: Annotated[
        Path | None, typer.Option(metavar="LIST", help="Prices, for money by year: CSV or XLSX.")
    ] = None,
    costs: Annotated[
        Path | None, typer.Option(metavar="COSTS.toml", help="Labor and the discount rate, beside --offers.")
    ] = None,
    report: Annotated[
        Path | None, typer.Option(metavar="OUT.html", help="Write a page for the owner to this file.")
    ] = None,
    xlsx: Annotated[
        Path | None, typer.Option("--xlsx", metavar="OUT.xlsx", help="Write its tables as a workbook.")
    ] = None,
    exact: Annotated[
        bool, typer.Option("--exact", metavar="", help="Let every site stand for itself; takes far longer.")
    ] = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Assess many structures and say which to look at first.

    Every joint's answer goes to FOLDER as Parquet, in parts of whole sites. Sites that are alike share their
    draws by a stated rule, unless --exact.
    """
    from datetime import date

    from longhold.cli.output import check_target, write_whole
    from longhold.portfolio.classes import Limits
    from longhold.portfolio.drawing import Terms
    from longhold.portfolio.engine import OnThisProcess, dask_engine
    from longhold.portfolio.exports import not_assessed_csv, ranked_csv, workbook
    from longhold.portfolio.instead import change_of, changed_by
    from longhold.portfolio.joints import totals_of, with_faults_told, write_parts
    from longhold.portfolio.line import run_portfolio
    from longhold.portfolio.money import money_by_year
    from longhold.portfolio.ranking import ranked
    from longhold.portfolio.report import Answers, portfolio_html

    if report is not None:
        check_target(report, "--report", ".html")
    if xlsx is not None:
        check_target(xlsx, "--xlsx", ".xlsx")
    asked = [change_of(one) for one in instead or []]
    prices = _prices(offers, costs)
    with dask_engine(workers, scheduler, dashboard=dashboard) as engine:
        if engine.dashboard:
            print(f"Workers: {engine.dashboard}", file=sys.stderr)
        # files lie on this machine, and may lie nowhere else
        gathered = _gathered(source, engine if scheduler is None else OnThisProcess(), out)
        with _told() as progress:
            limits = None if exact else Limits.usual()
            found, folder = run_portfolio(gathered, out, engine, Terms(draws, seed), limits, progress)
            changes = [
                changed_by(one, found, _folder_of(out, one.family, one.label), engine, progress)
                for one in asked
            ]
    found = with_faults_told(found)
    parts = write_parts(found, folder)
    totals = totals_of(found)
    rows = ranked(found, totals, rank)
    money = money_by_year(found, date.today().year, prices)
    folder.write("ranked.csv", ranked_csv(rows).encode())
    folder.write("not_assessed.csv", not_assessed_csv(found.gathered.not_assessed).encode())
    folder.note({"state": "done", "parts": parts, "structures": len(rows)})
    if report is not None:
        write_whole(report, portfolio_html(Answers(found, rows, rank, money, changes), date.today()))
    if xlsx is not None:
        write_whole(xlsx, workbook(rows, found.gathered.not_assessed, money, changes))
    _print_answer(found, totals, rows[:top], rank, money, changes)
    for written in filter(None, (out, report, xlsx)):
        print(f"Written: {written}")
    if totals.fails.sum():
        raise typer.Exit(1)


def _folder_of(out: Path, family: str, label: str) -> Path:
    import re

    return out / "instead" / re.sub(r"[^A-Za-z0-9]+", "-", f"{family} {label}").strip("-")


def _prices(offers: Path | None, costs: Path | None) -> Prices | None:
    from longhold.base.errors import InputError, Problem

    if offers is None:
        if costs is not None:
            said = "needs --offers with the prices of the hardware."
            raise InputError(Problem("--costs", str(costs), said, "Give both, or neither."))
        return None
    from longhold.intake.load import load_costs
    from longhold.intake.offers import load_offers
    from longhold.portfolio.money import Prices

    found = load_offers(offers).offers
    told = None if costs is None else load_costs(costs)
    currencies = sorted({one.currency for one in found} | ({told.currency} if told else set()))
    if len(currencies) > 1:
        said = f"has prices in {' and '.join(currencies)}, which cannot be summed."
        raise InputError(Problem("--offers", str(offers), said, "Give prices and costs in one currency."))
    return Prices(found, told)


def _print_answer(
    found: Portfolio,
    totals: Totals,
    rows: Sequence[StructureRow],
    rank: Ranking,
    money: Money,
    changes: Sequence[Changed],
) -> None:
    from longhold.cli.show import console, counted, plain, print_caution
    from longhold.portfolio.exports import change_rows
    from longhold.portfolio.mapping import weakest_at
    from longhold.portfolio.ranking import RANKING_WORDS

    to = console()
    to.print(plain(f"First to look at, {RANKING_WORDS[rank]}"), style="bold")
    _print_rows(rows)
    if (mark := weakest_at(totals.mark)) is not None:
        to.print(mark.as_weakest)
    for change in changes:
        to.print(plain(f"Instead, {change.change.family}: {change.change.label}"), style="bold")
        for words, before, after in change_rows(change):
            to.print(plain(f"  {words}: {before:,.0f}, instead {after:,.0f}"))
        if change.mark is not None:
            to.print(f"  Rests on {change.mark.in_words}.")
    _print_money(money)
    _print_refused(found.gathered.not_assessed)
    print_caution(to)
    sites = counted(len(found.gathered.sites), "site", "sites")
    structures = counted(len(found.gathered.structures), "structure", "structures")
    to.print(
        f"{structures}, {counted(int(totals.joints.sum()), 'joint', 'joints')} at {sites}: "
        f"{int(totals.holds.sum()):,} hold, {int(totals.fails.sum()):,} fall short, "
        f"{int(totals.refer.sum()):,} undecided"
    )


def _print_money(money: Money) -> None:
    from longhold.cli.show import console, plain

    to = console()
    renewals = sum(row.renewals for row in money.rows)
    until = money.rows[-1].year if money.rows else 0
    told = (
        f"{renewals:,.0f} renewals expected from this year to {until}"
        if money.rows
        else "No renewal expected"
    )
    if not money.currency:
        to.print(f"{told}; without --offers they are counted, not priced. Rests on {money.mark.in_words}.")
        return
    left = "" if not money.unpriced_kinds else f"; {money.unpriced_kinds:,} kinds of joint have no price"
    to.print(
        f"{told}; present value {money.currency} {money.present:,.0f}, "
        f"at {100 * money.rate:.3g} % a year{left}. Rests on {money.mark.in_words}."
    )
    if money.note:
        to.print(plain(money.note))


def _gathered(source: str, engine: Engine, out: Path) -> Gathered:
    from longhold.base.errors import InputError, Problem

    path = Path(source)
    if path.is_dir():
        from longhold.portfolio.folder import gather_folder

        return gather_folder(path.resolve(), engine, without=out)
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
    """A bar that starts anew for each step of the work; a line a minute where the output goes to a file."""
    from longhold.cli.show import progress_bar

    told_at = time.monotonic()
    with progress_bar("Sites, joints, draws") as bar:

        def tell(step: str, done: int, total: int) -> None:
            nonlocal told_at
            if bar is not None:
                bar(done, total)
            elif time.monotonic() - told_at >= _A_LINE_EACH_S:
                told_at = time.monotonic()
                print(f"{step}: {done:,} of {total:,}", file=sys.stderr, flush=True)

        yield tell


def _print_rows(rows: Sequence[StructureRow]) -> None:
    from longhold.cli.show import console, show_rows

    heads = (
        "Structure",
        "At",
        "Joints that fall short",
        "Least sure joint ends before the design life",
        "Joints expected to end",
        "Less sure than asked",
        "Least sure joint",
    )
    cells = [
        (
            f"{row.rank} {row.structure}",
            row.site,
            f"{row.fails:,} of {row.joints:,}",
            "not known" if row.falls_below is None else f"{100 * row.falls_below:.0f} %{row.left_out}",
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
