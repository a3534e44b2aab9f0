"""Command ``decide``: what to do with each joint that stands."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import CostsFile, Draws, JsonOnly, Limit, ReadingsFirst, ReportFile, Seed

if TYPE_CHECKING:
    from longhold.cli.visit_question import Question
    from longhold.inspect.decide import Decisions, Turned

__all__ = ["decide"]


def decide(
    structure: Annotated[Path, typer.Argument(metavar="STRUCTURE", help="Structure file, with build_date.")],
    costs: CostsFile,
    readings: ReadingsFirst = None,
    on: Annotated[str, typer.Option(metavar="DATE", help="Date of the decision; today unless given.")] = "",
    next_visit: Annotated[
        str,
        typer.Option(
            "--next", metavar="YEARS", help='To the next visit, such as "5 years"; else as the costs say.'
        ),
    ] = "",
    limit: Limit = None,
    report: ReportFile = None,
    json: JsonOnly = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Decide for each joint that stands: keep, paint, strengthen, renew now or at the next visit.

    Safe first, then at least expected cost; the exit code is 1 where a joint is to be made safe.
    """
    from longhold.cli.output import write_whole
    from longhold.cli.visit_question import check_targets, question_of

    check_targets([(report, "--report", ".html")], [structure, costs, readings])
    question = question_of(
        *(structure, costs, readings),
        on=on,
        next_visit=next_visit,
        limit=limit,
        draws=draws,
        seed=seed,
    )
    found, turns = _decided(question, draws, seed)
    if report is not None:
        from datetime import date

        from longhold.documents.decide_page import decide_html

        file = "" if readings is None else readings.name
        page = decide_html(found, turns, stated_next=question.stated_next, file=file, as_of=date.today())
        write_whole(report, page)
    if json:
        from json import dumps

        from longhold.documents.decide_exchange import decide_json

        told = decide_json(found, turns, stated_next=question.stated_next)
        print(dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, turns, question, report)
    if any(one.answer == "make_safe" for one in found.each):
        raise typer.Exit(1)


def _decided(question: Question, draws: int, seed: int) -> tuple[Decisions, tuple[Turned, ...] | None]:
    from longhold.inspect.decide import decide as decide_on
    from longhold.inspect.decide import turned

    what = (question.structure, question.costs, question.asked)
    if question.learned is None:
        return decide_on(*what, draws=draws, seed=seed), None
    found = decide_on(*what, learned=question.learned, seed=seed)
    return found, turned(decide_on(*what, draws=draws, seed=seed), found)


def _print(
    found: Decisions, turns: tuple[Turned, ...] | None, question: Question, report: Path | None
) -> None:
    from longhold.cli.show import STYLES, console, plain, print_caution, show_lines, show_rows
    from longhold.documents.decide_view import assumed_rows, decide_lede, decision_rows
    from longhold.documents.thresholds_view import turns_on

    to = console()
    to.print()
    to.print(plain(f"{found.structure.name}: what to do on {found.asked.on}"), style="bold")
    to.print(plain(decide_lede(found, turns)))
    for line in question.repeated:
        to.print(plain(f"{line[:1].upper()}{line[1:]}."))
    rows = decision_rows(found, turns or ())
    cells = [
        (
            f"{', '.join(row.ids)} {row.name}",
            row.answer,
            " ".join(one for one in (row.why, row.turned) if one),
            "\n".join(f"{one.words}: {one.cost}{one.remark and ', '}{one.remark}" for one in row.actions),
        )
        for row in rows
    ]
    styles = {"make_safe": STYLES["fails"], "refer": STYLES["refer"]}
    heads = ("Joint", "Do", "Why", "Expected cost, one joint")
    show_rows(to, heads, cells, [styles.get(row.kind, "") for row in rows])
    assumed = assumed_rows(found, stated_next=question.stated_next)
    show_lines(to, "Assumed", [(what, f"{taken}; {why}") for what, taken, why in assumed])
    to.print(plain(turns_on("decisions", invented=found.costs.invented).mark.as_weakest))
    print_caution(to)
    if report is not None:
        to.print(plain(f"Report: {report}"))
