"""Command ``choose``: which offers for which joint, at least cost over the life."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from longhold.base.errors import InputError, Problem
from longhold.cli.options import CostsFile, Draws, Seed
from longhold.cli.pairs import pair, pairs

__all__ = ["choose"]


def choose(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")],
    offers: Annotated[
        Path, typer.Option(metavar="LIST", help="What can be bought, with prices: CSV or XLSX.")
    ],
    costs: CostsFile,
    at: Annotated[
        Path | None, typer.Option(metavar="SITE.toml", help="The same structure on this site instead.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(metavar="OURS=THEIRS", help="Head of a column in the list, such as item=Art.No."),
    ] = None,
    columns: Annotated[
        Path | None,
        typer.Option(metavar="FILE.toml", help="How the list is read, as 'longhold offers' wrote it."),
    ] = None,
    sheet: Annotated[str, typer.Option(metavar="NAME", help="Sheet of the list, if it has several.")] = "",
    lock: Annotated[
        list[str] | None,
        typer.Option(metavar="JOINT.PART=ITEM", help="Use this item there; may be repeated."),
    ] = None,
    ban: Annotated[
        list[str] | None, typer.Option(metavar="ITEM", help="Do not use this item; may be repeated.")
    ] = None,
    without: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ITEM", help="Out of stock: what instead, and what it costs in years and money."
        ),
    ] = None,
    report: Annotated[
        Path | None, typer.Option(metavar="FILE.html", help="Write the whole choice as one page.")
    ] = None,
    turning: Annotated[
        bool,
        typer.Option("--turning", metavar="", help="Show which uncertain input could change the choice."),
    ] = False,
    papers: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help="Write schedule, order, submittal and site card into this folder, or all of them into one "
            "file that ends in .pdf, .xlsx or .html.",
        ),
    ] = None,
    draws: Draws = 2000,
    seed: Seed = 1,
    seconds: Annotated[
        float,
        typer.Option(
            min=0.1,
            max=3600.0,
            help="Most time for proving one choice, for the costs of all ages, and for all uncertain inputs.",
        ),
    ] = 60.0,
) -> None:
    """Choose what to buy for every joint: what the code allows and lasts, at least cost over the life."""
    from longhold.choose.choice import market_for
    from longhold.choose.deliberation import deliberate
    from longhold.cli.chosen import print_choice, write_report
    from longhold.cli.output import check_target, refuse_overwriting
    from longhold.cli.papering import check_papers, write_papers
    from longhold.cli.show import progress_bar, tell_macros
    from longhold.intake.load import load, load_costs, load_site
    from longhold.intake.offers import load_offers
    from longhold.intake.remembered_lists import load_columns

    read = [file, offers, costs, *(one for one in (at, columns) if one)]
    if report is not None:
        refuse_overwriting(report, "--report", read)
        check_target(report, "--report", ".html")
    if papers is not None:
        check_papers(papers, read)
    how = load_columns(columns) if columns is not None else None
    theirs = pairs(column or [], "--column", "OURS=THEIRS, such as item=Art.No.")
    structure = load(file)
    if at is not None:
        structure = structure.at(load_site(at))
    money = load_costs(costs)
    listed = load_offers(offers, theirs, how, sheet=sheet)
    tell_macros(file, offers)
    with progress_bar("Trying offers on groups of joints") as progress:
        market = market_for(
            structure,
            listed.offers,
            money,
            locks=_locks(lock or []),
            bans=frozenset(ban or []),
            draws=draws,
            seed=seed,
            progress=progress,
        )
    with progress_bar("Choosing, then trying uncertain inputs") as progress:
        found = deliberate(
            market,
            without=without or (),
            turning=turning or report is not None,
            seconds=seconds,
            progress=progress,
        )
    if report is not None:
        write_report(report, found, listed)
    print_choice(found, listed, report)
    if papers is not None:
        write_papers(papers, market, found.chosen, draws=draws, seed=seed)
    if found.chosen.left_out:
        raise typer.Exit(1)


def _locks(given: Sequence[str]) -> dict[tuple[str, str], str]:
    found = {}
    for one in given:
        where, item = pair(one, "--lock", "JOINT.PART=ITEM, such as J02.hanger=HA-101.")
        joint, _, part = where.rpartition(".")
        if not joint:
            raise InputError(Problem("--lock", one, "names no part.", "Write JOINT.PART=ITEM."))
        found[joint, part] = item
    return found
