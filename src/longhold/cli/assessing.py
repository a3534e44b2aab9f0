"""Command ``assess``: an answer for each joint, on one site or several."""

from __future__ import annotations

import sys
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from longhold.cli.options import Draws, JsonOnly, Seed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.assessment.findings import Assessment
    from longhold.forecast.exposure import AirLaw
    from longhold.model.structure import Structure

__all__ = ["assess"]


def assess(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Structure file: TOML, JSON or XLSX.")],
    at: Annotated[
        list[Path] | None,
        typer.Option("--at", metavar="SITE.toml", help="Assess it on this site too; may be repeated."),
    ] = None,
    json: JsonOnly = False,
    report: Annotated[
        Path | None, typer.Option(metavar="OUT.html", help="Write a report for people to this file.")
    ] = None,
    drawings: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Draw each joint's section with what is gone into this folder."),
    ] = None,
    ifc: Annotated[
        Path | None,
        typer.Option("--ifc", metavar="MODEL.ifc", help="Building model whose elements the parts name."),
    ] = None,
    ifc_out: Annotated[
        Path | None,
        typer.Option("--ifc-out", metavar="OUT.ifc", help="Write that model with the findings to this file."),
    ] = None,
    draws: Draws = 2000,
    seed: Seed = 1,
    units: Annotated[
        Literal["us", "si"] | None, typer.Option(help="Units of the answers, in place of the file's.")
    ] = None,
    air_law: Annotated[
        Literal["both", "calibrated", "printed"],
        typer.Option(help="Loss in air: ISO 9223 as printed, moved to measured sites, or both by halves."),
    ] = "both",
) -> None:
    """Assess every joint: how long its metal lasts, what strength is left, whether the code allows it."""
    from longhold.cli.output import check_folder, check_target, refuse_overwriting, write_whole

    if report is not None:
        refuse_overwriting(report, "--report", [file, *(at or [])])
        check_target(report, "--report", ".html")
    if drawings is not None:
        check_folder(drawings, "--drawings")
    structures = _structures(file, at or [], units)
    model = None
    if ifc is not None or ifc_out is not None:
        from longhold.cli.drafting import model_to_write

        model = model_to_write(ifc, ifc_out, structures[0], [file, *(at or [])])
    if find_spec("numba") is None:
        from longhold.base.extras import get_extra

        slow = "Without numba the wood of each kind of timber takes two minutes or more to simulate, once."
        print(f"{slow} For seconds instead: {get_extra('fast')}", file=sys.stderr)
    assessments = _assessed(structures, [file, *(at or [])], draws, seed, air_law)
    if report is not None:
        from datetime import date

        from longhold.documents.report import report_html

        write_whole(report, report_html(assessments, as_of=date.today()))
    if drawings is not None:
        from longhold.documents.drawing_file import drawing_svg

        for finding in assessments[0].findings:
            write_whole(drawings / f"{finding.joint.id}.svg", drawing_svg(assessments[0], finding))
    if model is not None and ifc_out is not None:
        from longhold.cli.drafting import write_findings

        write_findings(model, ifc_out, assessments[0])
    if json:
        _print_json(assessments, as_list=bool(at))
    else:
        _print_tables(assessments, report)
    if any(one.count("fails") for one in assessments):
        raise typer.Exit(1)


def _structures(file: Path, at: Sequence[Path], units: Literal["us", "si"] | None) -> list[Structure]:
    from longhold.cli.show import tell_macros
    from longhold.intake.load import load, load_site

    structure = load(file)
    tell_macros(file)
    if units is not None:
        structure = structure.model_copy(update={"units": units})
    return [structure, *(structure.at(load_site(site)) for site in at)]


def _assessed(
    structures: Sequence[Structure], files: Sequence[Path], draws: int, seed: int, air_law: AirLaw
) -> list[Assessment]:
    from longhold.assessment.line import assess as assess_structure
    from longhold.base.errors import InputError
    from longhold.cli.show import progress_bar

    found = []
    for number, (structure, file) in enumerate(zip(structures, files, strict=True), start=1):
        of = f", site {number} of {len(structures)}" if len(structures) > 1 else ""
        with progress_bar(f"Assessing joints{of}") as progress:
            try:
                found.append(
                    assess_structure(structure, draws=draws, seed=seed, air_law=air_law, progress=progress)
                )
            except InputError as error:
                raise error.in_file(str(file)) from None
    return found


def _print_json(assessments: Sequence[Assessment], as_list: bool) -> None:
    from longhold.documents.exchange import assessment_json, to_json

    if not as_list:
        print(to_json(assessments[0]), end="")
        return
    from json import dumps

    plain = [assessment_json(one) for one in assessments]
    print(dumps(plain, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False))


def _print_tables(assessments: Sequence[Assessment], report: Path | None) -> None:
    from longhold.cli.show import STYLES, console, plain, print_caution, show_rows
    from longhold.documents.table import terminal_rows
    from longhold.documents.words import ORDER, outcome_words

    to = console()
    heads = ("Joint", "", "Reached and asked", "", "Code", "Answer")
    for one in assessments:
        rows = terminal_rows(one)
        to.print()
        to.print(plain(f"{one.structure.name}, at {one.structure.site.name}"), style="bold")
        to.print(ORDER)
        cells = [
            (
                f"{row.id} {row.name}",
                outcome_words(row.outcome).lower(),
                f"{row.bar[:1].upper()}{row.bar[1:]}",
                f"{row.ends[:1].upper()}{row.ends[1:]}",
                row.code,
                row.answer,
            )
            for row in rows
        ]
        show_rows(to, heads, cells, [STYLES[row.outcome] for row in rows])
        if len(assessments) > 1:
            to.print(_counts([one]))
    to.print()
    print_caution(to)
    if report is not None:
        to.print(plain(f"Report: {report}"))
    to.print(_counts(assessments))


def _counts(assessments: Sequence[Assessment]) -> str:
    from longhold.cli.show import counted

    joints = counted(len(assessments[0].findings), "joint", "joints")
    where = f" at {len(assessments)} sites" if len(assessments) > 1 else ""
    hold, fail, refer = (sum(one.count(word) for one in assessments) for word in ("holds", "fails", "refer"))
    parts = (
        counted(hold, "holds", "hold"),
        counted(fail, "falls short", "fall short"),
        f"{refer:,} undecided",
    )
    return f"{joints}{where}: {', '.join(parts)}"
