"""Commands ``sample`` and ``bare``: a lot is measured and passes or not; repairs of bare spots."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from longhold.inspect.check import LotCheck

__all__ = ["bare", "sample"]


def sample(
    standard: Annotated[
        str, typer.Option(metavar="NAME", help='By which the lot is sampled and judged: "ASTM A123".')
    ],
    lot: Annotated[int, typer.Option(metavar="PIECES", help="Pieces in the lot.")],
    label: Annotated[str, typer.Option(metavar="WORDS", help="What the label promises.")] = "",
    least: Annotated[
        str,
        typer.Option(
            metavar="THICKNESS",
            help='In place of a label: "45 um", or "average 43 um, at least 36 um". Of A123 it is a grade.',
        ),
    ] = "",
    readings: Annotated[
        Path | None,
        typer.Option(metavar="FILE.csv", help="What the gauge showed: piece, reading (um), specimen."),
    ] = None,
    surface: Annotated[
        str, typer.Option(metavar="AREA", help="Surface of one piece, such as 0.15 m2 or 160 in2.")
    ] = "",
    pieces: Annotated[
        int | None, typer.Option(metavar="NUMBER", help="Pieces to measure, where you agreed a number.")
    ] = None,
    gauge: Annotated[
        str, typer.Option(metavar="HOW", help='Its uncertainty: "5 %", "2 um" or "3 % or 1 um".')
    ] = "",
    by: Annotated[str, typer.Option(metavar="NAME", help="Who checked, for the record.")] = "",
    report: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the record: FILE.pdf or FILE.html.")
    ] = None,
    json: JsonOnly = False,
) -> None:
    """Say how many pieces of a lot are measured, and with readings whether the lot is accepted.

    The exit code is 1 where readings are given and the lot is not accepted.
    """
    from longhold.inspect.check import check_lot
    from longhold.inspect.sampling import edition_in, plan_for, standard_named
    from longhold.intake.gauge_readings import load_readings
    from longhold.intake.lot_words import lot_limits, read_area, read_gauge

    if report is not None:
        from longhold.cli.recording import check_record

        check_record(report, [readings] if readings else [])
    named = standard_named(standard)
    asked = lot_limits(label, least, named)
    plan = plan_for(
        named,
        lot,
        surface_cm2=read_area(surface, "--surface") if surface else None,
        pieces=pieces,
        edition=edition_in(standard),
    )
    specimens = load_readings(readings) if readings is not None else ()
    found = check_lot(plan, asked, specimens, read_gauge(gauge, "--gauge"))
    if report is not None:
        from datetime import date

        from longhold.cli.recording import write_record
        from longhold.documents.lot_record import lot_record

        file = readings.name if readings else ""
        write_record(report, lot_record(found, by=by, file=file, as_of=date.today()))
    if json:
        from json import dumps

        from longhold.documents.receipt_exchange import lot_json

        print(dumps(lot_json(found), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, report)
    if found.judgement is not None and found.judgement.decision != "accept":
        raise typer.Exit(1)


def _print(found: LotCheck, report: Path | None) -> None:
    from longhold.cli.show import console, plain, show_lines, show_rows
    from longhold.documents.sampling_words import (
        DECISIONS,
        RECORD_CAUTION,
        criterion_rows,
        gauge_words,
        limit_words,
        plan_lines,
        risk_lines,
    )

    to = console()
    asked = (("Asked", limit_words(found.limits)), ("Gauge", gauge_words(found.gauge)))
    rests = (("Rests on", f"{found.mark.in_words} [{found.mark.value}]"),)
    show_lines(to, "What to measure", (*plan_lines(found.plan), *asked, *rests))
    judged = found.judgement
    if judged is not None:
        to.print()
        style = {"accept": "bold green", "reject": "bold red"}.get(judged.decision, "bold yellow")
        to.print(plain(f"{DECISIONS[judged.decision]}. {judged.why}"), style=style)
        if judged.by_rule is not None:
            word = "pass" if judged.by_rule else "fail"
            to.print(f"By the standard's rule alone, the gauge taken as right, they {word}.")
        heads = ("What", "Found, µm", "Asked, µm", "By the rule", "With the gauge")
        show_rows(to, heads, criterion_rows(judged))
        for line in judged.warnings:
            to.print(plain(line))
    if found.bad is not None:
        to.print()
        show_lines(
            to,
            "What the plan risks",
            [("", line) for line in (*_bad_lines(found), *risk_lines(found.curve, found.limits))],
        )
    to.print(RECORD_CAUTION)
    if report is not None:
        to.print(plain(f"Record: {report}"))


def _bad_lines(found: LotCheck) -> list[str]:
    from longhold.documents.sampling_words import bad_words

    return [bad_words(found.bad)] if found.bad is not None else []


def bare(
    standard: Annotated[str, typer.Option(metavar="NAME", help='"ISO 1461", "ISO 1461:1999", "ASTM A123".')],
    surface: Annotated[str, typer.Option(metavar="AREA", help="Surface of the article, such as 0.1 m2.")],
    spot: Annotated[
        list[str],
        typer.Option(
            metavar="AREA", help='One bare spot, "6 cm2", or with its narrowest dimension "6 cm2 x 20 mm".'
        ),
    ],
    mass: Annotated[str, typer.Option(metavar="MASS", help="Of the article, such as 12 kg.")] = "",
    least: Annotated[
        str, typer.Option(metavar="THICKNESS", help="Least local thickness it must have, such as 55 um.")
    ] = "",
    repaired: Annotated[
        str, typer.Option(metavar="THICKNESS", help="Thickness of the repair, if it is made already.")
    ] = "",
) -> None:
    """Say whether bare spots of one galvanized article may be repaired, and how thick the repair must be.

    The exit code is 1 where they may not be repaired, or that is not decided.
    """
    from longhold.cli.show import console, show_lines
    from longhold.documents.sampling_words import RECORD_CAUTION, repair_lines
    from longhold.inspect.repair import repair
    from longhold.inspect.sampling import edition_in, standard_named
    from longhold.intake.lot_words import read_area, read_mass, read_spot, read_thickness

    found = repair(
        standard_named(standard),
        [read_spot(one, "--spot") for one in spot],
        surface_cm2=read_area(surface, "--surface"),
        mass_kg=read_mass(mass, "--mass") if mass else None,
        local_um=read_thickness(least, "--least") if least else None,
        repaired_um=read_thickness(repaired, "--repaired") if repaired else None,
        edition=edition_in(standard),
    )
    to = console()
    show_lines(to, "Bare spots", repair_lines(found))
    to.print(RECORD_CAUTION)
    if found.verdict != "allowed":
        raise typer.Exit(1)
