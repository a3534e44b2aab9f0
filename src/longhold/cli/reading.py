"""Commands that look things up: ``label`` and ``sources``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from rich.console import Console

    from longhold.intake.photo import PhotoText

__all__ = ["label", "sources"]


def label(
    text: Annotated[
        list[str] | None, typer.Argument(metavar="TEXT", help="The words of the label, quoted or not.")
    ] = None,
    photo: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Read the words from this photograph (JPEG, PNG, WebP)."),
    ] = None,
    corrected: Annotated[
        str | None,
        typer.Option(
            "--text", metavar="WORDS", help="With --photo: what the label says where it was misread."
        ),
    ] = None,
    json: JsonOnly = False,
) -> None:
    """Say what the words on a label promise: metal, layers and standard, or what they leave open.

    A text on several parts is read part by part: longhold label "hanger G185 with 10d nails A153 D".
    With --photo the words found on a photograph are shown first; likely slips are proposed, never put right.
    """
    _check_label_words(text, photo, corrected)
    read = None
    if photo is not None:
        from longhold.base.files import read_bytes
        from longhold.base.limits import MOST_LABEL_BYTES
        from longhold.intake.photo import read_photo

        read = read_photo(read_bytes(photo, "a photograph", most=MOST_LABEL_BYTES))
    words = corrected or (read.label_words if read is not None else " ".join(text or ()))
    if json:
        _print_label_json(words, read)
        return
    from longhold.cli.show import console

    to = console()
    if read is not None:
        from longhold.cli.show import show_lines
        from longhold.intake.photo_told import photo_headings

        for heading in photo_headings(read, corrected):
            show_lines(to, heading.title, heading.lines)
            to.print()
    _explain(to, words, read)


def _check_label_words(text: list[str] | None, photo: Path | None, corrected: str | None) -> None:
    """Refuse words from two places, from none, and corrections of nothing."""
    from longhold.base.errors import InputError, Problem

    if photo is None and corrected is not None:
        raise InputError(Problem("--text", corrected, "goes with --photo.", "Give the words without it."))
    if photo is None and not text:
        raise InputError(Problem("label", None, "has no words.", "Give them, or a photograph: --photo FILE"))
    if photo is not None and text:
        said = "cannot go with --photo."
        raise InputError(Problem("TEXT", " ".join(text), said, 'Correct what was read with --text "WORDS".'))
    if corrected is not None and not corrected.strip():
        raise InputError(Problem("--text", corrected, "is blank.", "Write what the label says."))


def _explain(to: Console, words: str, read: PhotoText | None) -> None:
    """What the words promise; of words off a photograph, also what to do where they promise nothing."""
    from longhold.base.errors import InputError, Problem
    from longhold.cli.show import show_lines
    from longhold.labels import LabelError, explain

    if not words:
        said, do = (
            "shows a code, but no words that can be read.",
            'Give the words of the label: --text "WORDS"',
        )
        raise InputError(Problem("photograph", None, said, do))
    try:
        headings = explain(words)
    except LabelError as error:
        if read is None:
            raise
        do = 'If they were misread, run it again with --text "WORDS"; or take the photograph anew.'
        raise LabelError(words, error.why, nearest=error.nearest, do=do) from None
    for index, heading in enumerate(headings):
        if index:
            to.print()
        show_lines(to, heading.title, heading.lines)


def _print_label_json(words: str, read: PhotoText | None) -> None:
    from json import dumps

    from longhold.documents.label_view import label_json
    from longhold.labels import LabelError
    from longhold.labels.several import read_parts

    refused = ""
    try:
        told = label_json(words, read_parts(words))
    except LabelError as error:
        if read is None:
            raise
        refused = error.why
        told = {**label_json(words, ()), "refused": refused}
    if read is not None:
        from longhold.intake.photo_told import photo_json

        told["photo"] = photo_json(read)
    print(dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
    if refused:
        raise typer.Exit(2)


def sources() -> None:
    """List the sources that the numbers come from, and how sure each is."""
    from collections import Counter

    from longhold.base.marks import Mark
    from longhold.base.sources import register
    from longhold.base.uses import count_uses
    from longhold.cli.show import console, counted, show_rows

    uses = count_uses()
    rows = []
    for name, source in sorted(register().items()):
        marks = uses.get(name, {})
        used = (
            ", ".join(f"{marks[mark]:,} {mark.value}" for mark in Mark if marks.get(mark)) or "no table row"
        )
        rows.append((name, used, source.title, source.where))
    total = Counter[Mark]()
    for marks in uses.values():
        total.update(marks)
    to = console()
    show_rows(to, ("Source", "Numbers by mark", "What it is", "Where it was read"), rows)
    by_mark = ", ".join(f"{total[mark]:,} {mark.value}" for mark in Mark if total[mark])
    to.print(f"{counted(len(rows), 'source', 'sources')}; rows of tables by mark: {by_mark}.")
    for mark in Mark:
        to.print(f"  {mark.value}: {mark.in_words}")
