"""Command ``readings``: what was measured on site corrects the forecast."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import Draws, JsonOnly, ReportFile, Seed

if TYPE_CHECKING:
    from longhold.inspect.learn import Updated
    from longhold.intake.readings import ReadingList

__all__ = ["readings"]


def readings(
    structure: Annotated[Path, typer.Argument(metavar="STRUCTURE", help="Structure file, with build_date.")],
    table: Annotated[
        Path, typer.Argument(metavar="READINGS", help="Table of readings, CSV or XLSX; see docs/readings.md.")
    ],
    json: JsonOnly = False,
    report: ReportFile = None,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Let readings correct the forecast, and say what moved.

    A reading on one joint also tells of the joints that share its air, its timber or its box of parts. The
    exit code is 1 where a joint falls short after the readings.
    """
    from longhold.cli.output import check_target, refuse_overwriting, write_whole

    if report is not None:
        refuse_overwriting(report, "--report", [structure, table])
        check_target(report, "--report", ".html")
    found, given = _updated(structure, table, draws, seed)
    if report is not None:
        from datetime import date

        from longhold.documents.readings_page import readings_html

        write_whole(report, readings_html(found, table.name, given.repeated, date.today()))
    if json:
        from json import dumps

        from longhold.documents.readings_exchange import readings_json

        print(dumps(readings_json(found, given.repeated), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, given, report)
    if found.after.count("fails"):
        raise typer.Exit(1)


def _updated(structure: Path, table: Path, draws: int, seed: int) -> tuple[Updated, ReadingList]:
    from functools import partial

    from longhold.base.errors import InputError
    from longhold.cli.show import progress_bar
    from longhold.inspect.learn import update
    from longhold.inspect.observed import refuse_misfit
    from longhold.intake.load import load
    from longhold.intake.readings import read_readings

    described = load(structure)
    fits = None if described.build_date is None else partial(refuse_misfit, described)
    given = read_readings(table, fits)
    with progress_bar("Joints, before the readings and after") as progress:
        try:
            found = update(described, given.readings, draws=draws, seed=seed, progress=progress)
        except InputError as error:
            raise error.in_file(f"{structure} with {table}") from None
    return found, given


def _print(found: Updated, given: ReadingList, report: Path | None) -> None:
    from longhold.cli.show import STYLES, console, plain, print_caution, show_rows
    from longhold.documents.readings_view import cause_rows, joint_rows, reading_rows, readings_lede
    from longhold.documents.thresholds_view import turns_on

    to = console()
    to.print()
    to.print(plain(f"{found.after.structure.name}: forecast corrected by readings"), style="bold")
    to.print(plain(readings_lede(found)))
    for line in given.repeated:
        to.print(plain(f"{line[:1].upper()}{line[1:]}."))
    rows = [
        (
            row.where,
            row.date,
            f"{row.measured}: {row.read}",
            row.expected or "not forecast",
            row.after,
            row.remark,
        )
        for row in reading_rows(found)
    ]
    heads = ("Reading", "Date", "Read", "Expected before", "By all readings", "Remark")
    show_rows(to, heads, [tuple(plain(cell) for cell in row) for row in rows])
    joints = joint_rows(found)
    cells = [
        (
            plain(f"{row.id} {row.name}"),
            row.stands,
            f"{row.end_before}\n{row.date_before}".strip(),
            f"{row.end_after}\n{row.date_after}".strip(),
            f"{row.chance_before} → {row.chance_after}",
        )
        for row in joints
    ]
    heads_of_joints = ("Joint", "Stands", "Before", "After", "Chance")
    show_rows(to, heads_of_joints, cells, [STYLES[row.outcome] for row in joints])
    causes = cause_rows(found)
    if causes:
        show_rows(to, ("What moved", "Which way", "Doubt left"), causes)
    to.print(plain(turns_on("readings").mark.as_weakest))
    print_caution(to)
    if report is not None:
        to.print(plain(f"Report: {report}"))
