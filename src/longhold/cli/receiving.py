"""Command ``receive``: what came against what was ordered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from longhold.inspect.delivery import Receipt

__all__ = ["receive"]

_STYLES = {"accepted": "green", "noted": "green", "refused": "bold red", "open": "yellow"}


def receive(
    order: Annotated[
        Path,
        typer.Argument(
            metavar="ORDER",
            help="The workbook of papers that 'longhold choose' wrote, a CSV or XLSX list, or a structure file.",
        ),
    ],
    delivered: Annotated[
        Path,
        typer.Argument(
            metavar="DELIVERED",
            help="CSV or XLSX: kind, size, label as delivered, quantity; item, certificate, edition or photo.",
        ),
    ],
    certificates: Annotated[
        bool, typer.Option("--certificates", metavar="", help="Ask for a certificate with every line.")
    ] = False,
    column: Annotated[
        list[str] | None,
        typer.Option(metavar="OURS=THEIRS", help="Head of a column in DELIVERED, such as quantity=Stk."),
    ] = None,
    sheet: Annotated[str, typer.Option(metavar="NAME", help="Sheet of DELIVERED, if it has several.")] = "",
) -> None:
    """Check a delivery against its order: which boxes may be used, which go back, and why.

    The exit code is 1 where a line is refused or open, or something did not come.
    """
    from longhold.cli.pairs import pairs
    from longhold.inspect.delivery import check_delivery
    from longhold.intake.delivery import load_delivery, load_order

    asked = load_order(order, certificates=certificates)
    theirs = pairs(column or [], "--column", "OURS=THEIRS, such as quantity=Stk.")
    came = load_delivery(delivered, theirs, sheet=sheet)
    found = check_delivery(asked, came.lines)
    _print(found, came.notes)
    if not found.whole:
        raise typer.Exit(1)


def _print(found: Receipt, notes: tuple[str, ...]) -> None:
    from longhold.cli.show import console, plain, print_caution, show_rows
    from longhold.documents.receipt_words import receipt_lede, receipt_rows

    to = console()
    to.print()
    to.print(plain(f"{found.order.name}: what came"), style="bold")
    to.print(plain(receipt_lede(found)))
    rows = receipt_rows(found)
    cells = [(row.line, row.verdict, row.why) for row in rows]
    show_rows(to, ("Line", "", "Why"), cells, [_STYLES[row.kind] for row in rows])
    for note in dict.fromkeys((*found.order.notes, *notes)):
        to.print(plain(note))
    print_caution(to)
