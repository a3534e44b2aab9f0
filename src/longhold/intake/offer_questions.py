"""The first reading of a supplier's list: what it says by itself, and what must be asked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Literal

from longhold.base.errors import InputError, Problem
from longhold.intake.offer_columns import MAY_BE_A_SIGN, Proposal, find_head, heads_of, propose, same_head
from longhold.intake.offer_numbers import LOOKED_AT, has_no_unit, read_date, read_price, sign_in_format
from longhold.intake.offer_table import ListTable
from longhold.intake.workbook import Cell, Row
from longhold.model.offer import Offer
from longhold.model.offer_list import COLUMNS, NEEDED, ListColumns

__all__ = ["Question", "first_reading", "meaning_of", "with_answer"]

_ONE_COLUMN = "is the only column of the list, and an offer needs item, kind, size, label and price apart."
_PART_IT = "Save the list with a comma, a semicolon or a tab between its columns, or as a workbook."


@dataclass(frozen=True)
class Question:
    """What the list itself leaves open.

    Attributes
    ----------
    about : one of our columns, ``decimal``, ``unit`` or ``dates``
    words : the question
    choices : what may be answered; empty for any text
    option : how the command line answers it
    """

    about: str
    words: str
    choices: tuple[str, ...]
    option: str


def meaning_of(column: str) -> str:
    """What one of our columns says of an offer, in words.

    >>> meaning_of("pack"), meaning_of("price_for")
    ('pieces in one pack', 'pieces that the price is for, where that is not one pack')
    """
    if column == "price_for":
        return "pieces that the price is for, where that is not one pack"
    return Offer.model_fields[column].description or ""


def first_reading(table: ListTable, told: ListColumns) -> tuple[ListColumns, tuple[Question, ...]]:
    """How a list is read by what its user said and what it says itself, and the questions that stay.

    Parameters
    ----------
    told : what the user said already; it is never changed
    """
    rows = list(islice(table.rows(), LOOKED_AT))
    if not rows:
        raise InputError(Problem(table.file, None, "holds no row."))
    found = propose(rows)
    if len(found.heads) == 1 and not told.fixed:
        raise InputError(Problem(table.file, found.heads[0], _ONE_COLUMN, _PART_IT))
    if told.columns:
        found = _at_told_head(found, rows, told)
    how = told.model_copy(
        update={
            "heads": [head for head in found.heads if not re.fullmatch("column [A-Z]+", head)],
            "columns": _joined(found, told),
            "fixed": {**({} if MAY_BE_A_SIGN in told.columns else found.fixed), **told.fixed},
            "kinds": {**found.kinds, **told.kinds},
        }
    )
    data = rows[found.at + 1 :]
    how = _with_signs(how, found, data)
    return how, tuple(_questions(how, found, data))


def _joined(found: Proposal, told: ListColumns) -> dict[str, str]:
    """What the user said, and beside it what the heads say, in the order of our columns."""
    said: dict[Any, str] = {**told.columns}
    taken = {same_head(head) for head in said.values()}
    for name, head in found.columns.items():
        if same_head(head) not in taken and name not in told.fixed:
            said.setdefault(name, head)
    return {name: said[name] for name in COLUMNS if name in said}


def _at_told_head(found: Proposal, rows: Sequence[Row], told: ListColumns) -> Proposal:
    """The proposal for the row in which the heads stand that the user named, if it is another."""
    try:
        at, _, _ = find_head(rows, [told.model_copy(update={"fixed": dict.fromkeys(NEEDED, "x")})])
    except InputError:
        return found
    if at == found.at:
        return found
    below = propose([rows[at], *rows[at + 1 :]])
    below.at, below.heads = at, heads_of(rows[at])
    return below


def with_answer(how: ListColumns, question: Question, answer: str) -> ListColumns:
    """A way of reading after a question was answered."""
    if question.about in ("decimal", "dates", "unit"):
        return how.model_copy(update={question.about: answer})
    if question.choices:
        return how.model_copy(update={"columns": {**how.columns, question.about: answer}})
    return how.model_copy(update={"fixed": {**how.fixed, question.about: answer}})


def _with_signs(how: ListColumns, found: Proposal, rows: Sequence[Row]) -> ListColumns:
    """The sign before decimals and the order of dates, where the list's own cells leave no doubt."""
    decimals = {sign for text in _texts(how, found, rows, "price") if (sign := _decimal_in(text))}
    orders = {order for text in _texts(how, found, rows, "price_date") if (order := _order_in(text))}
    update: dict[str, Any] = {}
    if not how.decimal and len(decimals) == 1:
        update["decimal"] = decimals.pop()
    if not how.dates and len(orders) == 1:
        update["dates"] = orders.pop()
    if not how.unit:
        update["unit"] = _unit_in(how.columns.get("size", ""))
    return how.model_copy(update=update)


def _decimal_in(text: str) -> str:
    match = re.search(r"\d([.,])\d{1,2}(?!\d)(?![.,]\d)", text) or re.search(r"\d[.,]\d{3}([.,])\d+", text)
    return match[1] if match else ""


def _unit_in(head: str) -> Literal["", "mm", "in"]:
    """The unit that a head tells for its column: Size (mm), Size in inches."""
    words = set(same_head(head).split())
    if words & {"mm", "millimeter", "millimeters", "millimetre", "millimetres"}:
        return "mm"
    return "in" if words & {"inch", "inches"} or re.search(r"[\[(]in\.?[\])]", head) else ""


def _order_in(text: str) -> str:
    match = re.fullmatch(r"\s*(\d{1,2})[./-](\d{1,2})[./-]\d{4}\s*", text)
    if not match:
        return ""
    return "day_first" if int(match[1]) > 12 else "month_first" if int(match[2]) > 12 else ""


def _questions(how: ListColumns, found: Proposal, rows: Sequence[Row]) -> Iterator[Question]:
    free = tuple(head for head in found.heads if head not in how.columns.values())
    for name in COLUMNS:
        if name in how.columns or name in how.fixed:
            continue
        several = tuple(found.unclear.get(name, ()))
        if name == MAY_BE_A_SIGN and not several:
            if not _prices_show_it(how, found, rows):
                words = "Which currency are the prices in (ISO letters, such as USD)?"
                yield Question(name, words, (), "--fixed currency=USD; or its column: --column currency=HEAD")
        elif several or name in NEEDED:
            words = f"Which column is the {name.replace('_', ' ')} ({meaning_of(name)})?"
            yield Question(name, words, several or free, f"--column {name}=HEAD")
    if _is_open(read_price, _texts(how, found, rows, "price"), how.decimal):
        yield Question(
            "decimal", "Which sign stands before the decimals of prices?", (".", ","), "--decimal SIGN"
        )
    if not how.unit and any(has_no_unit(text) for text in _shown(how, found, rows, "size")):
        words = "In which unit are the sizes that tell none?"
        yield Question("unit", words, ("mm", "in"), "--unit mm or --unit in")
    if _is_open(read_date, _texts(how, found, rows, "price_date"), how.dates):
        words = "In which order do its dates stand?"
        yield Question("dates", words, ("day_first", "month_first"), "--dates ORDER")


def _prices_show_it(how: ListColumns, found: Proposal, rows: Sequence[Row]) -> bool:
    cells = list(_cells(how, found, rows, "price"))
    return bool(cells) and all(_shows_one(cell) for cell in cells[:50])


def _shows_one(cell: Cell) -> bool:
    text = f"1 {sign_in_format(cell.format)}" if not isinstance(cell.value, str) else cell.value
    try:
        return len(read_price(text, ".")[1] or read_price(text, ",")[1]) == 1
    except ValueError:
        return bool(re.search("[A-Z]{3}|€", text))


def _is_open(read: Any, texts: Iterable[str], said: str) -> bool:
    if said:
        return False
    for text in texts:
        try:
            read(text)
        except ValueError as error:
            if str(error).startswith("could be"):
                return True
    return False


def _texts(how: ListColumns, found: Proposal, rows: Sequence[Row], name: str) -> Iterator[str]:
    return (cell.value for cell in _cells(how, found, rows, name) if isinstance(cell.value, str))


def _shown(how: ListColumns, found: Proposal, rows: Sequence[Row], name: str) -> Iterator[str]:
    return (str(cell.value) for cell in _cells(how, found, rows, name) if not cell.fault)


def _cells(how: ListColumns, found: Proposal, rows: Sequence[Row], name: str) -> Iterator[Cell]:
    places: Mapping[str, int] = {same_head(head): at for at, head in enumerate(found.heads)}
    columns: Mapping[Any, str] = how.columns
    at = places.get(same_head(columns.get(name, "")))
    if at is None:
        return
    for row in rows:
        if at < len(row.cells) and not row.cells[at].is_empty:
            yield row.cells[at]
