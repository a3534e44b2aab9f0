"""One line of a supplier's list to an offer, or the cell and the reason why it is none."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError
from longhold.intake.offer_columns import MAY_BE_A_SIGN, kind_of
from longhold.intake.offer_numbers import (
    BY,
    LOOKED_AT,
    OtherSignError,
    has_no_unit,
    read_count,
    read_date,
    read_days,
    read_price,
    sign_in_format,
)
from longhold.intake.offer_table import ListTable
from longhold.intake.problems import problems_of
from longhold.intake.sheet_values import plain_text
from longhold.intake.workbook import Cell, Row
from longhold.labels.read import read_label
from longhold.model.offer import Offer
from longhold.model.offer_list import NEEDED, ListColumns

__all__ = ["LineReader"]


class LineReader:
    """Reads the lines of one list.

    Parameters
    ----------
    table : the list, for the names of its cells
    how : what its user said of it
    place : where each of our columns stands
    """

    def __init__(self, table: ListTable, how: ListColumns, place: Mapping[str, int]) -> None:
        self._table = table
        self._how = how
        self._place = place
        self._labels: dict[tuple[Any, ...], str] = {}
        self._items: dict[str, int] = {}

    def offer(self, row: Row) -> Offer | str:
        """The offer of a line, or why the line is none, with the cell."""
        cells = {name: row.cells[at] for name, at in self._place.items() if at < len(row.cells)}
        told = {name: cell for name, cell in cells.items() if not cell.is_empty}
        told = {**{name: Cell(value) for name, value in self._how.fixed.items()}, **told}
        if gaps := [name for name in NEEDED if name not in told and name != MAY_BE_A_SIGN]:
            return self._gaps(row, gaps)
        given: dict[str, Any] = {}
        for name, cell in told.items():
            try:
                given[name] = self._value(name, cell)
            except OtherSignError as error:
                return self._at(row, name, cell, str(error), _say_sign(error))
            except ValueError as error:
                return self._at(row, name, cell, str(error))
        return self._valid(row, told, given)

    def _gaps(self, row: Row, gaps: Sequence[str]) -> str:
        """What a line lacks, with the cell in which it should stand."""
        where = [f"{self._table.cell(row.number, self._place[one])} ({one})" for one in gaps]
        return f"{' and '.join(where)} {'is' if len(gaps) == 1 else 'are'} blank."

    def _value(self, name: str, cell: Cell) -> Any:
        if cell.fault:
            raise ValueError(cell.fault)
        read: Callable[[Cell], Any] | None = {
            "size": self._size,
            "price": self._price,
            "price_date": self._date,
            "kind": self._kind,
            "currency": lambda one: _text(one).upper(),
            "pack": _count,
            "price_for": _count,
            "least_packs": _count,
            "lead_days": lambda one: one.value if isinstance(one.value, int) else read_days(_text(one)),
        }.get(name)
        return _text(cell) if read is None else read(cell)

    def _size(self, cell: Cell) -> str:
        """A size with the unit of the list, where it is numbers alone."""
        said = _text(cell)
        if not self._how.unit or not has_no_unit(said):
            return said
        plain = said.replace(",", ".") if self._how.decimal != "." else said
        return " x ".join(
            f"{one.strip()} {self._how.unit}" for one in re.split(BY, plain, flags=re.IGNORECASE)
        )

    def _price(self, cell: Cell) -> tuple[float, frozenset[str]]:
        if isinstance(cell.value, int | float) and not isinstance(cell.value, bool):
            if cell.value < 0:
                raise ValueError("must not be negative")
            sign = sign_in_format(cell.format)
            return float(cell.value), read_price(f"1 {sign}")[1] if sign else frozenset()
        return read_price(_text(cell), self._how.decimal)

    def _date(self, cell: Cell) -> datetime.date:
        if isinstance(cell.value, datetime.datetime):
            return cell.value.date()
        return (
            cell.value if isinstance(cell.value, datetime.date) else read_date(_text(cell), self._how.dates)
        )

    def _kind(self, cell: Cell) -> str:
        said = _text(cell)
        return kind_of(said, self._how.kinds) or said.casefold().replace(" ", "_")

    def _valid(self, row: Row, told: Mapping[str, Cell], given: dict[str, Any]) -> Offer | str:
        price, codes = given.pop("price")
        if "currency" not in given:
            if len(codes) != 1:
                if codes:
                    return self._several(row, told, codes)
                return self._at(row, "price", told["price"], "has no currency", _say_currency())
            given["currency"] = next(iter(codes))
        elif codes and given["currency"] not in codes:
            said = f"shows the sign of {' or '.join(sorted(codes))}, and the currency is {given['currency']}"
            return self._at(row, "price", told["price"], said)
        pieces = given.pop("price_for", None)
        if pieces == 0:
            return self._at(row, "price_for", told["price_for"], "must be at least 1")
        given["price"] = price if pieces is None else price * given.get("pack", 1) / pieces
        try:
            offer = Offer.model_validate(given)
        except ValidationError as error:
            return self._refused(row, told, error, given)
        if (why := self._unread(offer)) is not None:
            return self._at(row, "label", told["label"], why)
        if (first := self._items.setdefault(offer.item, row.number)) != row.number:
            return self._at(row, "item", told["item"], f"stands in line {first} already")
        return offer

    def _several(self, row: Row, told: Mapping[str, Cell], codes: frozenset[str]) -> str:
        said = f"has a sign that may be {', '.join(sorted(codes))}"
        return self._at(row, "price", told["price"], said, _say_currency())

    def _refused(
        self, row: Row, told: Mapping[str, Cell], error: ValidationError, given: dict[str, Any]
    ) -> str:
        reasons = []
        for problem in problems_of(error, Offer, given):
            name = problem.where
            if name == "kind" and name in told:
                do = _say_kind(_text(told[name])[:40])
                reasons.append(self._at(row, name, told[name], problem.allowed.rstrip("."), do))
            elif name in told:
                reasons.append(self._at(row, name, told[name], problem.allowed.rstrip("."), problem.do))
            else:
                reasons.append(str(problem))
        return " ".join(reasons)

    def _unread(self, offer: Offer) -> str | None:
        """Why a label cannot be read; None where it can."""
        size = offer.part.measures
        key = (offer.label, offer.kind, size.thickness_mm, size.diameter_mm)
        if key not in self._labels:
            try:
                read_label(
                    offer.label, item=offer.kind, thickness_mm=size.thickness_mm, diameter_mm=size.diameter_mm
                )
                self._labels[key] = ""
            except InputError as error:
                first = error.problems[0]
                self._labels[key] = f"{first.allowed.rstrip('.')}. {first.do}".strip().rstrip(".")
        return self._labels[key] or None

    def _at(self, row: Row, name: str, cell: Cell, why: str, do: str = "") -> str:
        shown = "" if cell.fault else f" is {_text(cell)[:80]!r}:"
        if name in self._place:
            return f"{self._table.cell(row.number, self._place[name])} ({name}){shown} {why}. {do}".rstrip()
        return f"{name}, the same for the whole list,{shown} {why}. {do}".rstrip()


def _say_currency() -> str:
    return told_here(
        command="Say it for the whole list: --fixed currency=USD",
        page="Read the list in another way: say the currency, the same for every line.",
        program="Give the list a column currency, such as USD.",
    )


def _say_sign(error: OtherSignError) -> str:
    why = f"It was said of this list, or its first {LOOKED_AT:,} lines show it."
    do = told_here(
        command=f"If {error.sign!r} is right: --decimal {error.sign!r}",
        page=f"If {error.sign!r} is right, read the list in another way: say its decimal sign.",
        program=f"If {error.sign!r} is right, write {error.sign!r} in every price.",
    )
    return f"{why} {do}"


def _say_kind(word: str) -> str:
    return told_here(
        command=f'Say what it is: --kind "{word}=nail"',
        page=f"Read the list in another way: say what {word!r} means.",
        program="Write one of these kinds.",
    )


def _text(cell: Cell) -> str:
    """A cell's text as it is shown: with the zeros that its format puts before a number."""
    said = str(plain_text(cell.value)).strip()
    zeros = cell.format if cell.format and set(cell.format) == {"0"} else ""
    return said.zfill(len(zeros)) if zeros and said.isdigit() else said


def _count(cell: Cell) -> int:
    return read_count(_text(cell))
