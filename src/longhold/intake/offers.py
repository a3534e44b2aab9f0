"""A supplier's list to offers: what cannot be read is told line by line, and nothing is guessed."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from longhold.base.errors import InputError, Problem
from longhold.base.files import read_file
from longhold.intake.problems import problems_of
from longhold.model.offer import Offer

__all__ = ["COLUMNS", "OfferList", "load_offers"]

COLUMNS = ("item", "kind", "size", "label", "price", "currency", "pack", "lead_days", "price_date")
"""Columns of a list of offers; the last three may be left out."""

_NEEDED = COLUMNS[:6]
_MOST_LINES = 50_000


@dataclass(frozen=True)
class OfferList:
    """What a supplier's list holds.

    Attributes
    ----------
    offers : lines that are offers
    refused : (line number, reason) of every other line
    """

    offers: tuple[Offer, ...]
    refused: tuple[tuple[int, str], ...]


def load_offers(path: str | Path, columns: Mapping[str, str] | None = None) -> OfferList:
    """Offers from a CSV file with a head line; commas or semicolons part its cells.

    Parameters
    ----------
    columns : our name of a column -> its head in the file, where it differs

    Raises
    ------
    InputError : the file cannot be read, has no offers, too many lines, or lacks a column
    """
    text = read_file(Path(path), "a list of offers").lstrip("\ufeff")
    try:
        return _read(text, dict(columns or {}))
    except InputError as error:
        raise error.in_file(str(path)) from None


def _read(text: str, columns: Mapping[str, str]) -> OfferList:
    head = text.partition("\n")[0]
    parted = ";" if head.count(";") > head.count(",") else ","
    reader = csv.reader(io.StringIO(text), delimiter=parted)
    heads = [one.strip().casefold() for one in next(reader, [])]
    place = _places(heads, columns)
    offers, refused = [], []
    try:
        for cells in reader:
            if reader.line_num > _MOST_LINES:
                raise InputError(Problem("the file", None, f"has more than {_MOST_LINES:,} lines."))
            if not any(cell.strip() for cell in cells):
                continue
            found = _offer(cells, place)
            if isinstance(found, Offer):
                offers.append(found)
            else:
                refused.append((reader.line_num, found))
    except csv.Error as error:
        raise InputError(Problem(f"line {reader.line_num}", None, f"is not CSV: {error}.")) from None
    if not offers:
        first = f" The first reason: line {refused[0][0]}: {refused[0][1]}" if refused else ""
        raise InputError(Problem("the file", None, f"holds no offer that can be read.{first}"))
    return OfferList(tuple(offers), tuple(refused))


def _places(heads: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    """Where each of our columns stands."""
    if unknown := sorted(set(columns) - set(COLUMNS)):
        raise InputError(Problem("--column", unknown[0], f"must be one of {', '.join(COLUMNS)}."))
    place = {}
    for name in COLUMNS:
        head = columns.get(name, name).strip().casefold()
        if head in heads:
            place[name] = heads.index(head)
        elif name in columns:
            raise InputError(Problem("--column", columns[name], f"is no head; heads are {', '.join(heads)}."))
    if missing := [name for name in _NEEDED if name not in place]:
        do = f"If it has another head: --column {missing[0]}=HEAD. Heads are {', '.join(heads)}."
        raise InputError(Problem("the file", None, f"has no column {' or '.join(missing)}.", do))
    return place


def _offer(cells: Sequence[str], place: Mapping[str, int]) -> Offer | str:
    """An offer, or why the line is none."""
    told = {name: cells[at].strip() for name, at in place.items() if at < len(cells) and cells[at].strip()}
    if gaps := [name for name in _NEEDED if name not in told]:
        return f"has no {' and no '.join(gaps)}."
    given: dict[str, object] = dict(told)
    try:
        given["price"] = _number(told["price"])
        for name in ("pack", "lead_days"):
            if name in told:
                given[name] = int(told[name])
        if "price_date" in told:
            given["price_date"] = datetime.date.fromisoformat(told["price_date"])
    except ValueError as error:
        return f"{error}."
    given["kind"] = told["kind"].casefold().replace(" ", "_")
    given["currency"] = told["currency"].upper()
    try:
        return Offer.model_validate(given)
    except ValidationError as error:
        return "; ".join(str(problem) for problem in problems_of(error, Offer, given))


def _number(text: str) -> float:
    """A price with a point or a comma before the cents; thousands are not parted."""
    plain = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    try:
        return float(plain)
    except ValueError:
        raise ValueError(f"price is {text!r}: must be a number such as 12.50") from None
