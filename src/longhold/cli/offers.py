"""Command ``offers``: what a supplier's list holds, and which of its columns is which, said once."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from longhold.cli.pairs import pairs

if TYPE_CHECKING:
    from rich.console import Console

    from longhold.intake.offer_questions import Question
    from longhold.intake.offer_table import ListTable
    from longhold.intake.offers import OfferList
    from longhold.model.offer_list import ListColumns

__all__ = ["offers"]

_SHOWN = 20


def offers(
    file: Annotated[Path, typer.Argument(metavar="LIST", help="A supplier's list, CSV or XLSX.")],
    columns: Annotated[
        Path | None, typer.Option(metavar="FILE.toml", help="How it is read, as --save wrote it.")
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(metavar="OURS=THEIRS", help='Head of a column, such as "item=Art. No."'),
    ] = None,
    fixed: Annotated[
        list[str] | None, typer.Option(metavar="OURS=VALUE", help="What holds for every line: currency=USD.")
    ] = None,
    kind: Annotated[
        list[str] | None, typer.Option(metavar="THEIRS=OURS", help='Their word for a kind: "U-shoe=hanger".')
    ] = None,
    sheet: Annotated[str, typer.Option(metavar="NAME", help="Sheet of a workbook that has several.")] = "",
    decimal: Annotated[str, typer.Option(metavar="SIGN", help="Sign before decimals: . or ,")] = "",
    unit: Annotated[str, typer.Option(metavar="UNIT", help="Unit of sizes that tell none: mm or in.")] = "",
    dates: Annotated[str, typer.Option(metavar="ORDER", help="day_first or month_first.")] = "",
    save: Annotated[
        Path | None, typer.Option(metavar="FILE.toml", help="Write how it is read into this new file.")
    ] = None,
    remember: Annotated[
        str, typer.Option(metavar="NAME", help="Know a list with these heads again; NAME says whose it is.")
    ] = "",
    every: Annotated[
        bool, typer.Option("--all", metavar="", help="Show every line that is no offer.")
    ] = False,
) -> None:
    """Show what a supplier's list holds, line by line where it cannot be read, and say once how it is read.

    What its heads leave open is asked at a terminal; elsewhere the options that answer it are named.
    """
    from longhold.cli.output import check_target, write_new
    from longhold.cli.show import console, progress_bar, tell_macros
    from longhold.intake.offers import load_offers, open_known
    from longhold.intake.remembered_lists import columns_text

    told = _told(
        columns, column or [], fixed or [], kind or [], sheet=sheet, decimal=decimal, unit=unit, dates=dates
    )
    target = _target(remember) if remember else None
    if save is not None:
        check_target(save, "--save")
    table = open_known(file, told.sheet)
    how = told if columns is not None else _remembered(table, told) or _first_reading(table, told)
    how = how.model_copy(update={"name": remember or how.name, "sheet": how.sheet or _sheet_of(table)})
    began = time.perf_counter()
    with progress_bar("Reading the list"):
        listed = load_offers(file, how=how, table=table)
    tell_macros(file)
    _print(console(), table, listed, time.perf_counter() - began, every)
    if save is not None:
        write_new(save, columns_text(how), "--save")
        print(f"Wrote {save}. Use it: longhold choose ... --offers {file} --columns {save}")
    if target is not None:
        _keep(target, columns_text(how))


def _told(
    columns: Path | None,
    column: Sequence[str],
    fixed: Sequence[str],
    kind: Sequence[str],
    **said: str,
) -> ListColumns:
    from longhold.intake.offers import list_columns
    from longhold.intake.remembered_lists import load_columns

    return list_columns(
        load_columns(columns) if columns is not None else None,
        columns=pairs(column, "--column", 'OURS=THEIRS, such as "item=Art. No."'),
        fixed=pairs(fixed, "--fixed", "OURS=VALUE, such as currency=USD"),
        kinds=pairs(kind, "--kind", "THEIRS=OURS, such as U-shoe=hanger"),
        **said,
    )


def _sheet_of(table: ListTable) -> str:
    """The sheet that was read, so that the next workbook is known by it; empty for CSV."""
    return table.sheet.name if table.sheet is not None else ""


def _first_reading(table: ListTable, told: ListColumns) -> ListColumns:
    from longhold.base.errors import InputError, Problem
    from longhold.intake.offer_questions import first_reading, with_answer

    how, questions = first_reading(table, told)
    if questions and not sys.stdin.isatty():
        raise InputError(
            *(
                Problem(table.file, None, f"{one.words} {_choices(one)}", f"Say it: {one.option}")
                for one in questions
            )
        )
    for one in questions:
        how = with_answer(how, one, _asked(one))
    return how


def _remembered(table: ListTable, told: ListColumns) -> ListColumns | None:
    """How a list is remembered, unless its user tells anew how it is read."""
    from itertools import islice

    from longhold.intake.offers import FIRST_ROWS, remembered_for
    from longhold.model.offer_list import ListColumns

    if told.model_copy(update={"sheet": ""}) != ListColumns():
        return None
    found = remembered_for(list(islice(table.rows(), FIRST_ROWS)))
    if found is None:
        return None
    print(f"It is read as {found[0]} remembers it.")
    return found[1]


def _choices(question: Question) -> str:
    return f"It may be {', '.join(repr(one) for one in question.choices)}." if question.choices else ""


def _asked(question: Question) -> str:
    if not question.choices:
        return str(typer.prompt(question.words)).strip()
    print(question.words)
    for number, choice in enumerate(question.choices, 1):
        print(f"  {number}  {choice}")
    number = int(typer.prompt("Number", type=int))
    while not 1 <= number <= len(question.choices):
        number = int(typer.prompt(f"Number, 1 to {len(question.choices)}", type=int))
    return question.choices[number - 1]


def _target(name: str) -> Path:
    from longhold.intake.remembered_lists import where_remembered

    return where_remembered(name)


def _keep(target: Path, text: str) -> None:
    from longhold.base.errors import InputError, Problem
    from longhold.cli.output import write_whole

    was_there = target.exists()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            Problem("--remember", str(target), f"cannot be written: {error.strerror}.")
        ) from None
    write_whole(target, text)
    print(f"{'Wrote over' if was_there else 'Wrote'} {target}. A list with these heads is read by it.")


def _print(to: Console, table: ListTable, listed: OfferList, seconds: float, every: bool) -> None:
    from longhold.cli.show import counted, plain
    from longhold.intake.offer_questions import meaning_of
    from longhold.model.offer_list import COLUMNS

    how = listed.how
    rows = []
    for name in COLUMNS:
        head = how.columns.get(name, name if any(head.casefold() == name for head in how.heads) else "")
        said = f"{how.fixed[name]} (every line)" if name in how.fixed and not head else head or "not told"
        if name == "pack" and said == "not told":
            said = "not told: every price is taken as of one piece"
        rows.append((name.replace("_", " "), said, meaning_of(name)))
    to.print()
    wide = max(len(name) for name, *_ in rows)
    for ours, theirs, meaning in rows:
        to.print(plain(f"  {ours:<{wide}}  {theirs}  ({meaning})"))
    to.print()
    if how.kinds:
        taken = ", ".join(f"{theirs!r} is {ours.replace('_', ' ')}" for theirs, ours in how.kinds.items())
        to.print(plain(f"Its words for kinds: {taken}."))
    if how.unit:
        to.print(f"Sizes without a unit are in {how.unit}.")
    lines = counted(
        len(listed.refused), "line could not be read as an offer", "lines could not be read as offers"
    )
    to.print(
        plain(
            f"{counted(len(listed.offers), 'offer', 'offers')} in {table.file}; {lines}."
            f" Read in {seconds:.1f} s."
        )
    )
    shown = listed.refused if every else listed.refused[:_SHOWN]
    for _, why in shown:
        to.print(plain(f"  {why[:1].upper()}{why[1:]}"))
    if len(listed.refused) > len(shown):
        to.print(f"  and {len(listed.refused) - len(shown):,} more; --all shows them.")
    _print_without_amount(to, listed, every)


def _print_without_amount(to: Console, listed: OfferList, every: bool) -> None:
    """Offers that are read and never bought, so that nobody wonders where they went."""
    from longhold.cli.show import counted, plain
    from longhold.intake.offer_labels import without_amount

    found = without_amount(listed.offers)
    if not found:
        return
    lines = counted(len(found), "offer tells", "offers tell")
    to.print(
        plain(
            f"{lines} no amount of coat and no standard for it; nothing can be counted on, so none is chosen:"
        )
    )
    for offer in found if every else found[:_SHOWN]:
        to.print(plain(f"  {offer.item}: {offer.label!r}"))
    if not every and len(found) > _SHOWN:
        to.print(f"  and {len(found) - _SHOWN:,} more; --all shows them.")
