"""Command ``plan``: which readings a visit should take, and what it should look at."""

from __future__ import annotations

from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.base.errors import InputError
from longhold.base.extras import Extra, lacking
from longhold.cli.options import CostsFile, Draws, JsonOnly, Limit, ReadingsFirst, ReportFile, Seed

if TYPE_CHECKING:
    from longhold.cli.visit_question import Question
    from longhold.inspect.plan import InspectionPlan

__all__ = ["plan"]


def plan(
    structure: Annotated[Path, typer.Argument(metavar="STRUCTURE", help="Structure file, with build_date.")],
    costs: CostsFile,
    readings: ReadingsFirst = None,
    on: Annotated[str, typer.Option(metavar="DATE", help="Date of the visit; today unless given.")] = "",
    next_visit: Annotated[
        str,
        typer.Option(
            "--next", metavar="YEARS", help='To the one after it, such as "5 years"; else as the costs say.'
        ),
    ] = "",
    limit: Limit = None,
    report: ReportFile = None,
    sheets: Annotated[
        Path | None,
        typer.Option(metavar="OUT.pdf", help="Write field sheets to this file, a page for each stop."),
    ] = None,
    calendar: Annotated[
        Path | None, typer.Option(metavar="OUT.ics", help="Write the visits as a calendar to this file.")
    ] = None,
    json: JsonOnly = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Say which readings a visit should take, by what they would turn, and what else it should look at.

    The exit code is 1 where a joint is to be made safe.
    """
    from longhold.cli.output import write_whole
    from longhold.cli.visit_question import check_targets, question_of
    from longhold.inspect.plan import plan_readings

    targets = [(report, "--report", ".html"), (sheets, "--sheets", ".pdf"), (calendar, "--calendar", ".ics")]
    check_targets(targets, [structure, costs, readings])
    _check_library(sheets, "--sheets", "typst", "pdf")
    _check_library(calendar, "--calendar", "icalendar", "calendar")
    question = question_of(
        *(structure, costs, readings),
        on=on,
        next_visit=next_visit,
        limit=limit,
        draws=draws,
        seed=seed,
    )
    found = plan_readings(
        *(question.structure, question.costs, question.asked),
        learned=question.learned,
        draws=draws,
        seed=seed,
    )
    made: dict[Path, str | bytes] = {}
    today = date.today()
    if report is not None:
        from longhold.documents.visit_page import plan_html

        file = "" if readings is None else readings.name
        made[report] = plan_html(found, stated_next=question.stated_next, file=file, as_of=today)
    if sheets is not None:
        from longhold.assessment.line import assess
        from longhold.documents.field_sheets import field_sheets_pdf

        drawn = assess(question.structure, draws=draws, seed=seed, learned=question.learned)
        made[sheets] = field_sheets_pdf(found, drawn, today)
    if calendar is not None:
        from longhold.documents.visit_calendar import visits_ics

        made[calendar] = visits_ics(found, today)
    for path, content in made.items():
        write_whole(path, content)
    if json:
        from json import dumps

        from longhold.documents.visit_exchange import plan_json

        told = plan_json(found, stated_next=question.stated_next)
        print(dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, question, list(made))
    if any(one.answer == "make_safe" for one in found.stops):
        raise typer.Exit(1)


def _check_library(target: Path | None, option: str, module: str, extra: Extra) -> None:
    if target is not None and find_spec(module) is None:
        raise InputError(lacking(option, extra, value=str(target)))


def _print(found: InspectionPlan, question: Question, made: list[Path]) -> None:
    from longhold.cli.show import STYLES, console, plain, print_caution, show_lines, show_rows
    from longhold.documents.thresholds_view import turns_on
    from longhold.documents.visit_view import plan_assumed, plan_lede, planned_rows, stop_rows

    to = console()
    to.print()
    to.print(plain(f"{found.structure.name}: plan of a visit on {found.asked.on}"), style="bold")
    to.print(plain(plan_lede(found)))
    for line in question.repeated:
        to.print(plain(f"{line[:1].upper()}{line[1:]}."))
    heads = ("Reading", "How", "Expected", "Worth alone", "Adds", "Costs", "Would turn")
    cells = [
        (row.where, row.how, row.expected, row.worth, row.adds, row.cost, "\n".join(row.turns))
        for row in planned_rows(found)
    ]
    if cells:
        show_rows(to, heads, cells)
    stops = stop_rows(found)
    on_the_way = [
        (
            f"{stop.number}. {', '.join(stop.ids)} {stop.name}",
            stop.answer if stop.kind == "make_safe" else f"without the visit: {stop.answer.lower()}",
            "\n".join(check.words for check in stop.checks),
            stop.unread,
        )
        for stop in stops
    ]
    styles = [STYLES["fails"] if stop.kind == "make_safe" else "" for stop in stops]
    show_rows(to, ("Joint", "Stands", "Look at", "Left open"), on_the_way, styles)
    assumed = plan_assumed(found, stated_next=question.stated_next)
    show_lines(to, "Assumed", [(what, f"{taken}; {why}") for what, taken, why in assumed])
    to.print(plain(turns_on("plan", invented=found.costs.invented).mark.as_weakest))
    print_caution(to)
    if made:
        to.print(plain(f"Written: {', '.join(str(one) for one in made)}"))
