"""Command ``wood``: moisture of the timbers of a joint by time and depth, and what it does to metal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from longhold.cli.options import Draws, JsonOnly, ReportFile, Seed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from longhold.assessment.wood_findings import WoodFinding
    from longhold.base.quantities import System
    from longhold.model.structure import Structure

__all__ = ["wood"]


def wood(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")],
    joint: Annotated[str, typer.Argument(metavar="JOINT", help="Id of one of its joints.")],
    units: Annotated[
        Literal["us", "si"] | None, typer.Option(help="Units of the answer, in place of the file's.")
    ] = None,
    report: ReportFile = None,
    json: JsonOnly = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Say how wet the wood of a joint is by month and depth, and how much metal it takes depth by depth.

    Example: longhold wood structure.toml J01 --report wood.html
    """
    from longhold.cli.output import check_target, refuse_overwriting, write_whole

    if report is not None:
        refuse_overwriting(report, "--report", [file])
        check_target(report, "--report", ".html")
    structure = _structure(file, units)
    found = _assessed(structure, file, joint, draws, seed, pictured=json or report is not None)
    if report is not None:
        from datetime import date

        from longhold.documents.wood_page import wood_html

        write_whole(report, wood_html(found, structure, date.today(), structure.units))
    if json:
        _print_json(found, structure.units)
    else:
        _print_tables(found, structure.units, report)


def _structure(file: Path, units: System | None) -> Structure:
    from longhold.intake.load import load

    structure = load(file)
    return structure if units is None else structure.model_copy(update={"units": units})


def _assessed(
    structure: Structure, file: Path, joint: str, draws: int, seed: int, *, pictured: bool
) -> WoodFinding:
    from longhold.assessment.wood_line import assess_wood
    from longhold.base.errors import InputError

    try:
        return assess_wood(structure, joint, draws=draws, seed=seed, picture=pictured)
    except InputError as error:
        raise error.in_file(str(file)) from None


def _print_json(found: WoodFinding, system: System) -> None:
    from json import dumps

    from longhold.documents.exchange import wood_json

    print(dumps(wood_json(found, system), indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False))


def _print_tables(found: WoodFinding, system: System, report: Path | None) -> None:
    from longhold.cli.show import console, plain, print_caution, show_lines
    from longhold.documents.wood_table import wood_tables

    to = console()
    told = wood_tables(found, system)
    first, *others = told.says
    to.print(plain(told.name))
    to.print(plain(first), style="bold")
    for line in others:
        to.print(plain(line))
    for block in told.blocks:
        to.print()
        to.print(plain(f"{block.title[:1].upper()}{block.title[1:]}"), style="bold")
        for line in block.says:
            to.print(plain(line))
        for table in block.tables:
            to.print()
            to.print(plain(table.title))
            _show_grid(to, table.heads, table.rows)
    to.print()
    show_lines(to, "What was assumed", told.assumed)
    to.print()
    show_lines(to, "What the simulation leaves out", [("", line) for line in told.left_out])
    to.print()
    for line in told.notes:
        to.print(plain(line))
    to.print()
    print_caution(to)
    if report is not None:
        to.print(plain(f"Report: {report}"))
    else:
        to.print("The page pictures moisture against time and depth: --report OUT.html")


def _show_grid(to: Console, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Short figures in columns, units below each other in the heads; one below the other where too narrow."""
    from longhold.cli.show import plain, show_rows

    above = [head.split(", ") for head in heads]
    deep = max(map(len, above))
    lines = [[cell[i] if i < len(cell) else "" for cell in above] for i in range(deep)]
    lines += [[plain(cell) for cell in row] for row in rows]
    widths = [max(len(line[i]) for line in lines) for i in range(len(heads))]
    if sum(widths) + 2 * len(widths) > to.width:
        show_rows(to, heads, rows)
        return
    for line in lines:
        first, *others = (cell.rjust(wide) for cell, wide in zip(line, widths, strict=True))
        to.print("  ".join([first.strip().ljust(widths[0]), *others]).rstrip())
