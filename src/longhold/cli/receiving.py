"""Command ``receive``: what came against what was ordered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.options import Draws, JsonOnly, Seed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from longhold.documents.receipt_words import EffectRow, InsteadRow
    from longhold.inspect.delivery import Receipt
    from longhold.inspect.instead import Instead
    from longhold.model.offer import Offer
    from longhold.model.structure import Structure

__all__ = ["receive"]

_STYLES = {"accepted": "green", "noted": "green", "refused": "bold red", "open": "yellow"}


def receive(
    order: Annotated[
        Path,
        typer.Argument(
            metavar="ORDER",
            help="Papers that 'longhold choose' wrote (XLSX), a list (CSV, XLSX) or a structure file.",
        ),
    ],
    delivered: Annotated[
        Path,
        typer.Argument(
            metavar="DELIVERED",
            help="CSV or XLSX: kind, size, label, quantity; also item, certificate, edition, photo.",
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
    structure: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Structure file: what a refused line would do to its joints is computed."
        ),
    ] = None,
    offers: Annotated[
        Path | None, typer.Option(metavar="LIST", help="A supplier's list, by which what came is priced.")
    ] = None,
    by: Annotated[str, typer.Option(metavar="NAME", help="Who checked, for the record.")] = "",
    report: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the record: FILE.pdf or FILE.html.")
    ] = None,
    json: JsonOnly = False,
    draws: Draws = 2000,
    seed: Seed = 1,
) -> None:
    """Check a delivery against its order: which boxes may be used, which go back, and why.

    The exit code is 1 where a line is refused or open, or something did not come.
    """
    from dataclasses import replace

    from longhold.cli.pairs import pairs
    from longhold.documents.receipt_words import instead_rows, left_aside_words, priced_words
    from longhold.inspect.consequence import placed
    from longhold.inspect.delivery import check_delivery
    from longhold.intake.delivery import load_delivery, load_order
    from longhold.intake.load import load
    from longhold.intake.offers import load_offers

    if report is not None:
        from longhold.cli.recording import check_record

        check_record(report, [one for one in (order, delivered, structure, offers) if one is not None])
    asked = load_order(order, certificates=certificates)
    theirs = pairs(column or [], "--column", "OURS=THEIRS, such as quantity=Stk.")
    came = load_delivery(delivered, theirs, sheet=sheet)
    whole = load(structure) if structure is not None else None
    if whole is not None:
        asked = replace(placed(asked, whole), name=whole.name)
    listed = load_offers(offers) if offers is not None else None
    found = check_delivery(asked, came.lines)
    effects, other = _effects(found, whole, listed.offers if listed else (), draws, seed)
    in_place = instead_rows(other or ())
    notes = tuple(
        dict.fromkeys((*asked.notes, *came.notes, *((whole.note,) if whole and whole.note else ())))
    )
    if other is not None and offers is not None and listed is not None:
        notes = (*notes, priced_words(offers.name), *left_aside_words(listed.refused, offers.name))
    if report is not None:
        from datetime import date

        from longhold.cli.recording import write_record
        from longhold.documents.receipt_record import receipt_record

        made = f"{draws:,} draws, seed {seed}" if effects else ""
        write_record(
            report,
            receipt_record(
                *(found, effects, in_place),
                by=by,
                file=delivered.name,
                notes=notes,
                as_of=date.today(),
                made=made,
            ),
        )
    if json:
        from json import dumps

        from longhold.documents.receipt_exchange import receipt_json

        told = receipt_json(found, effects, notes, other)
        print(dumps(told, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(found, effects, in_place, notes)
    if report is not None and not json:
        print(f"Record: {report}")
    if not found.whole:
        raise typer.Exit(1)


def _effects(
    found: Receipt, structure: Structure | None, offers: Sequence[Offer], draws: int, seed: int
) -> tuple[tuple[EffectRow, ...], tuple[Instead, ...] | None]:
    """What refused lines would do, and what may take their place; None where that cannot be asked."""
    from longhold.cli.show import progress_bar
    from longhold.documents.receipt_words import effect_rows
    from longhold.inspect.consequence import consequences, cost_move
    from longhold.inspect.instead import instead

    if structure is None:
        return (), None
    with progress_bar("Refused lines, used all the same") as progress:
        effects = consequences(found, structure, draws=draws, seed=seed, progress=progress)
    rows = effect_rows(effects, [cost_move(one.line, offers) for one in effects])
    if not offers or not effects:
        return rows, () if offers else None
    with progress_bar("Offers in their place") as progress:
        other = instead(effects, found.order, structure, offers, draws=draws, seed=seed, progress=progress)
    return rows, other


def _print(
    found: Receipt, effects: Sequence[EffectRow], other: Sequence[InsteadRow], notes: Sequence[str]
) -> None:
    from longhold.cli.show import console, plain, print_caution, show_rows
    from longhold.documents.receipt_words import receipt_lede, receipt_rows

    to = console()
    to.print()
    to.print(plain(f"{found.order.name}: what came"), style="bold")
    to.print(plain(receipt_lede(found)))
    rows = receipt_rows(found)
    cells = [(row.line, row.verdict, row.why, row.mend) for row in rows]
    show_rows(to, ("Line", "", "Why", "What would mend it"), cells, [_STYLES[row.kind] for row in rows])
    if effects:
        to.print(plain("If a refused line were used all the same, chance of reaching the design life:"))
        heads = ("Line", "Joint", "Chance", "Years", "")
        told = [
            (
                one.line,
                one.joint or "no joint",
                f"{one.chance_ordered} as ordered, {one.chance_came} as it came" if one.joint else "",
                f"{one.years_ordered} as ordered, {one.years_came} as it came" if one.joint else "",
                one.more,
            )
            for one in effects
        ]
        show_rows(to, heads, told)
    if other:
        to.print(plain("What may take its place, least cost first; every joint of the line then holds:"))
        show_rows(
            to,
            ("Refused line", "Instead", "Joint served least well", "As ordered", "With it", "Cost"),
            [tuple(plain(cell) for cell in one) for one in other],
        )
    for note in notes:
        to.print(plain(note))
    print_caution(to)
