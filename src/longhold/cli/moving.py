"""Command ``moved``: two versions of a structure, what moved between them and why."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import Draws, JsonOnly, ReportFile, Seed

if TYPE_CHECKING:
    from rich.console import Console

    from longhold.assessment.findings import JointFinding
    from longhold.assessment.moved import Moved
    from longhold.model.structure import Structure

__all__ = ["moved"]


def moved(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="Structure file, the earlier version.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="Structure file, the later version.")],
    json: JsonOnly = False,
    report: ReportFile = None,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Say what changed between two versions of a structure, which findings moved, and why.

    Joints, parts and timbers are matched by their ids. The exit code is 1 where a joint that changed, or
    came, falls short in the new version.
    """
    from longhold.cli.output import check_target, refuse_overwriting, write_whole

    if report is not None:
        refuse_overwriting(report, "--report", [old, new])
        check_target(report, "--report", ".html")
    found = _moved(old, new, draws, seed)
    if report is not None:
        from datetime import date

        from longhold.documents.moved_page import moved_html

        write_whole(report, moved_html(found, (old.name, new.name), date.today()))
    if json:
        from json import dumps

        from longhold.documents.exchange import moved_json

        print(dumps(moved_json(found), indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, report)
    if any(one.outcome == "fails" for one in (*(move.after for move in found.joints), *found.added)):
        raise typer.Exit(1)


def _moved(old: Path, new: Path, draws: int, seed: int) -> Moved:
    from longhold.assessment.moved import moved as moved_between
    from longhold.assessment.prepare import prepare
    from longhold.base.errors import InputError
    from longhold.cli.show import progress_bar
    from longhold.intake.load import load

    versions = [load(old), load(new)]
    for file, version in zip((old, new), versions, strict=True):
        try:
            prepare(version)
        except InputError as error:
            raise error.in_file(str(file)) from None
    with progress_bar("Answers on the way from old to new") as progress:
        return moved_between(*versions, draws=draws, seed=seed, progress=progress)


def _print(found: Moved, report: Path | None) -> None:
    from longhold.cli.show import STYLES, console, plain, print_caution, show_rows
    from longhold.documents.moved_values import rename_words
    from longhold.documents.moved_view import came_and_went, input_rows, joint_views, moved_lede

    to = console()
    to.print()
    to.print(plain(f"{found.versions.new.name}: what moved"), style="bold")
    to.print(plain(moved_lede(found)))
    for rename in found.versions.renames:
        to.print(plain(rename_words(rename)))
    for doubt in found.versions.doubts:
        to.print(plain(f"Not sure: {doubt}"))
    inputs = (*input_rows(found), *came_and_went(found))
    if inputs:
        rows = [(row.what, row.was, row.now, row.moves) for row in inputs]
        show_rows(to, ("Input", "Was", "Now", "Moves"), rows)
    views = joint_views(found)
    told = [view for view in views if not view.small]
    if told:
        cells = [
            (
                f"{view.id} {view.name}",
                f"{view.outcome_words}: {view.bar}",
                "\n".join(f"{line.what}: {line.was} → {line.now}" for line in view.lines),
                "\n".join(view.why),
            )
            for view in told
        ]
        show_rows(to, ("Joint", "", "Moved", "Why"), cells, [STYLES[view.outcome] for view in told])
    for word, some in (("Added", found.added), ("Removed", found.removed)):
        structure = found.versions.new if word == "Added" else found.versions.old
        for one in some:
            _print_one_sided(to, word, one, structure)
    small = [view.id for view in views if view.small]
    still = [move.after.joint.id for move in found.joints if not move.moved]
    for ids, words in (
        (small, "Moved by less than is told"),
        (still, "Touched by a change, and not moved"),
        (found.untouched, "Not touched by any change, so the same as before"),
    ):
        if ids:
            to.print(plain(f"{words}: {', '.join(ids)}."))
    print_caution(to)
    if report is not None:
        to.print(plain(f"Report: {report}"))


def _print_one_sided(to: Console, word: str, finding: JointFinding, structure: Structure) -> None:
    from longhold.assessment.bar import bar_words
    from longhold.cli.show import plain
    from longhold.documents.moved_page import found_words
    from longhold.documents.words import outcome_words

    name = f"{finding.joint.id} {finding.joint.name}"
    stands = f"{outcome_words(finding.outcome).lower()}: {bar_words(finding, structure, code_beside=True)}"
    to.print(plain(f"{word}: {name}: {stands}. {found_words(finding)}"))
