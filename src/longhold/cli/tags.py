"""Command ``tag``: what the end tag of a timber says, or what an untagged deck may be treated with."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import JsonOnly

if TYPE_CHECKING:
    from longhold.labels.old_decks import PossibleTreatment

__all__ = ["tag"]

_UNKNOWN = frozenset({"unknown", "none", "?", "no tag"})


def tag(
    text: Annotated[
        list[str], typer.Argument(metavar="TEXT", help='The words on the end tag, or "unknown" without one.')
    ],
    built: Annotated[
        int | None, typer.Option(metavar="YEAR", help="Year in which the deck was built.")
    ] = None,
    json: JsonOnly = False,
) -> None:
    """Say what the end tag of a timber tells: preservative, retention, use, and the copper that metal meets.

    Examples: longhold tag "ACQ-D 0.15 pcf UC3B AWPA U1 KDAT", or: longhold tag unknown --built 1998
    """
    from longhold.documents.tag_view import tag_json, tag_sections, unknown_json
    from longhold.labels.old_decks import possible_treatments
    from longhold.labels.tags import read_tag

    words = " ".join(text)
    found = possible_treatments(built)  # refuses a year that is none, for a tag too
    if words.strip().lower() in _UNKNOWN:
        if json:
            _print_json(unknown_json(found, built))
        else:
            _print_unknown(found, built)
        return
    read = read_tag(words)
    if json:
        _print_json(tag_json(read))
        return
    from longhold.cli.show import console, show_lines

    to = console()
    for index, (title, lines) in enumerate(tag_sections(read, built)):
        if index:
            to.print()
        show_lines(to, title, lines)


def _print_unknown(found: tuple[PossibleTreatment, ...], built: int | None) -> None:
    from longhold.cli.show import console, plain, show_lines, show_rows
    from longhold.documents.tag_view import unknown_heads, unknown_rows, unknown_words
    from longhold.labels.tag_tables import treatment_tests

    to = console()
    first, then = unknown_words(found, built)
    to.print(plain(first), style="bold")
    to.print(plain(then))
    to.print("Dates are those of US decks; none rules a treatment out for certain.")
    to.print()
    show_rows(to, unknown_heads, unknown_rows(found, built))
    lines = [(one.test, f"{one.how}. Settles: {one.settles} [{one.mark.value}]") for one in treatment_tests()]
    show_lines(to, "What settles it", lines)
    to.print("Copper is given for retentions from above ground (UC3B) to ground contact (UC4A).")
    if built is None:
        to.print("Give the year of building with --built to narrow it.")


def _print_json(plain: object) -> None:
    from json import dumps

    print(dumps(plain, indent=2, ensure_ascii=False, allow_nan=False))
