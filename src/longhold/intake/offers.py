"""A supplier's list to offers: what cannot be read is told line by line, and nothing is guessed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.intake.offer_columns import find_head, heads_of, same_head
from longhold.intake.offer_lines import LineReader
from longhold.intake.offer_table import ListTable, open_list
from longhold.intake.problems import problems_of
from longhold.intake.remembered_lists import remembered_lists
from longhold.intake.workbook import Row
from longhold.model.offer import Offer
from longhold.model.offer_list import COLUMNS, ListColumns

__all__ = [
    "FIRST_ROWS",
    "MOST_LINES",
    "OfferList",
    "list_columns",
    "load_offers",
    "open_known",
    "remembered_for",
]

MOST_LINES = 50_000
FIRST_ROWS = 40
"""Rows among which the heads of a list are looked for."""


@dataclass(frozen=True)
class OfferList:
    """What a supplier's list holds.

    Attributes
    ----------
    offers : lines that are offers
    refused : (line number, reason with the cell) of every other line
    how : which column was which
    read_by : the file that remembered it; empty where nothing was remembered
    """

    offers: tuple[Offer, ...]
    refused: tuple[tuple[int, str], ...]
    how: ListColumns = field(default_factory=ListColumns)
    read_by: str = ""


def load_offers(
    path: str | Path,
    columns: Mapping[str, str] | None = None,
    how: ListColumns | None = None,
    *,
    sheet: str = "",
    table: ListTable | None = None,
) -> OfferList:
    """Offers from a CSV file or a workbook with a row of heads.

    Parameters
    ----------
    columns : our name of a column -> its head in the file, where it differs
    how : what its user said of the list; where None, heads of our own, else a list that is remembered
    sheet : of a workbook with several
    table : the list, if it is open already

    Raises
    ------
    InputError : the file cannot be read, has no offers, too many lines, or lacks a column
    """
    try:
        opened = table or open_known(Path(path), sheet or (how.sheet if how else ""))
        return _read(opened, list_columns(how, columns=columns or {}), asked=bool(how or columns))
    except InputError as error:
        raise (error if error.problems[0].where == str(path) else error.in_file(str(path))) from None


def open_known(path: Path, sheet: str = "") -> ListTable:
    """A list, opened; of a workbook with several sheets the one that is remembered, where one alone is.

    Raises
    ------
    InputError : the file cannot be read, or which sheet is meant is open
    """
    return open_list(path, sheet, _is_remembered)


def _is_remembered(table: ListTable) -> bool:
    return remembered_for(list(islice(table.rows(), FIRST_ROWS))) is not None


def list_columns(known: ListColumns | None, **told: Any) -> ListColumns:
    """A way of reading a list, with what is told anew; what is told empty stays as it is known.

    Raises
    ------
    InputError : a column or kind that is none of ours, or a word that is not allowed
    """
    given = {} if known is None else known.model_dump()
    for name, value in told.items():
        if isinstance(value, Mapping):
            given[name] = {**given.get(name, {}), **value}
        elif value:
            given[name] = value
    for name in ("columns", "fixed"):
        if unknown := sorted(set(given.get(name, {})) - set(COLUMNS)):
            where = told_here(command="--column" if name == "columns" else "--fixed", page=name)
            raise InputError(Problem(where, unknown[0], f"must be one of {', '.join(COLUMNS)}."))
    try:
        return ListColumns.model_validate(given)
    except ValidationError as error:
        raise InputError(*problems_of(error, ListColumns, given)) from None


def _read(table: ListTable, how: ListColumns, asked: bool) -> OfferList:
    rows = table.rows()
    first = list(islice(rows, FIRST_ROWS))
    try:
        at, used, place = find_head(first, [how])
        read_by = ""
    except InputError:
        if asked:
            raise
        found = remembered_for(first)
        if found is None:
            raise
        read_by, used = found
        at, used, place = find_head(first, [used])
    reader = LineReader(table, used, place)
    offers, refused = _all_lines(reader, chain(first[at + 1 :], rows))
    if not offers:
        raise InputError(*_no_offer(refused))
    return OfferList(tuple(offers), tuple(refused), used, read_by)


def _no_offer(refused: Sequence[tuple[int, str]]) -> Iterator[Problem]:
    """That no line is an offer, then each reason once, with the first line that it is of."""
    if not refused:
        yield Problem("the file", None, "holds no offer: no line stands below its heads.")
        return
    lines = f"none of its {len(refused):,} lines" if len(refused) > 1 else "its one line is none"
    yield Problem("the file", None, f"holds no offer that can be read: {lines}.")
    alike: dict[str, list[int]] = {}
    for line, why in refused:
        alike.setdefault(why.removeprefix(f"line {line}, "), []).append(line)
    for why, of in alike.items():
        more = f"So it is with {len(of) - 1:,} more." if len(of) > 1 else ""
        yield Problem(f"line {of[0]}", None, why, more)


def _all_lines(reader: LineReader, rows: Iterator[Row]) -> tuple[list[Offer], list[tuple[int, str]]]:
    lines = list(islice(rows, MOST_LINES + 1))
    if len(lines) > MOST_LINES:
        raise InputError(Problem("the file", None, f"has more than {MOST_LINES:,} lines."))
    offers, refused = [], []
    for row in lines:
        found = reader.offer(row)
        if isinstance(found, Offer):
            offers.append(found)
        else:
            refused.append((row.number, found))
    return offers, refused


def remembered_for(first: Sequence[Row]) -> tuple[str, ListColumns] | None:
    """The one remembered list whose heads stand in one of the first rows, with its file; None if none does.

    Raises
    ------
    InputError : several that read it differently
    """
    rows = [{same_head(head) for head in heads_of(row)} for row in first]
    fits = [
        (file, how)
        for file, how in remembered_lists()
        if how.heads and any({same_head(head) for head in how.heads} <= heads for heads in rows)
    ]
    ways = {how.model_copy(update={"name": ""}).model_dump_json() for _, how in fits}
    if len(ways) > 1:
        named = ", ".join(file for file, _ in fits)
        do = told_here(
            command="Name one: --columns FILE",
            page="Read the list in another way: say which column is which.",
            program="Give each column the name that it has here as its head.",
        )
        said = f"has the heads of {len(ways)} remembered lists: {named}."
        raise InputError(Problem("the file", None, said, do))
    return fits[0] if fits else None
