"""Command ``assess``: an answer for each joint, on one site or several."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.assessment.findings import Assessment
    from longhold.model.structure import Structure

__all__ = ["assess"]


def assess(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file, TOML or JSON.")],
    at: Annotated[
        list[Path] | None,
        typer.Option("--at", metavar="SITE.toml", help="Assess it on this site too; may be repeated."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print only JSON.")] = False,
    report: Annotated[
        Path | None, typer.Option(metavar="OUT.html", help="Write a report for people to this file.")
    ] = None,
    draws: Annotated[
        int, typer.Option(min=200, max=100_000, help="Draws of the uncertain inputs.")
    ] = 2000,
    seed: Annotated[int, typer.Option(min=0, help="Seed of the draws.")] = 1,
    units: Annotated[
        Literal["us", "si"] | None, typer.Option(help="Units of the answers, in place of the file's.")
    ] = None,
) -> None:
    """Assess every joint: how long its metal lasts, what strength is left, whether the code allows it."""
    from longhold.cli.output import check_target, write_whole

    if report is not None:
        check_target(report, "--report")
    assessments = _assessed(_structures(file, at or [], units), draws, seed)
    if report is not None:
        from datetime import date

        from longhold.documents.report import report_html

        write_whole(report, report_html(assessments, as_of=date.today()))
    if json:
        _print_json(assessments, as_list=bool(at))
    else:
        _print_tables(assessments)
        if report is not None:
            print(f"Report: {report}")
    if any(one.count("fails") for one in assessments):
        raise typer.Exit(1)


def _structures(file: Path, at: Sequence[Path], units: Literal["us", "si"] | None) -> list[Structure]:
    from longhold.intake.load import load, load_site

    structure = load(file)
    if units is not None:
        structure = structure.model_copy(update={"units": units})
    return [structure, *(structure.at(load_site(site)) for site in at)]


def _assessed(structures: Sequence[Structure], draws: int, seed: int) -> list[Assessment]:
    from longhold.assessment.line import assess as assess_structure
    from longhold.cli.show import progress_bar

    found = []
    for structure in structures:
        with progress_bar(f"Assessing joints at {structure.site.name}") as progress:
            found.append(assess_structure(structure, draws=draws, seed=seed, progress=progress))
    return found
