"""Commands that look things up: ``label`` and ``sources``."""

from __future__ import annotations

from typing import Annotated

import typer

__all__ = ["label", "sources"]


def label(
    text: Annotated[list[str], typer.Argument(metavar="TEXT", help="The words of the label, quoted or not.")],
    json: Annotated[bool, typer.Option("--json", metavar="", help="Print only JSON.")] = False,
) -> None:
    """Say what the words on a label promise: metal, layers and standard, or what they leave open.

    A text on several parts is read part by part: longhold label "hanger G185 with 10d nails A153 D"
    """
    words = " ".join(text)
    if json:
        from json import dumps

        from longhold.documents.label_view import label_json
        from longhold.labels.several import read_parts

        print(dumps(label_json(words, read_parts(words)), indent=2, ensure_ascii=False, allow_nan=False))
        return
    from longhold.cli.show import console, show_lines
    from longhold.labels import explain

    to = console()
    for index, heading in enumerate(explain(words)):
        if index:
            to.print()
        show_lines(to, heading.title, heading.lines)


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
