"""How one supplier's list is read: which of its columns is which, as its user said once."""

from __future__ import annotations

from typing import Literal, get_args

from pydantic import Field

from longhold.model.fields import Record
from longhold.model.sizes import PartKind

__all__ = ["COLUMNS", "NEEDED", "ListColumns", "OfferColumn"]

OfferColumn = Literal[
    "item",
    "kind",
    "size",
    "label",
    "price",
    "currency",
    "pack",
    "price_for",
    "least_packs",
    "lead_days",
    "price_date",
]
COLUMNS: tuple[OfferColumn, ...] = get_args(OfferColumn)
"""What a line of a list may say of an offer."""
NEEDED: tuple[OfferColumn, ...] = COLUMNS[:6]
"""What it must say, in a column or for the whole list."""


class ListColumns(Record):
    """Which column of a supplier's list is which, and what holds for all of its lines."""

    name: str = Field(default="", max_length=200, description="whose list it is, for people")
    heads: list[str] = Field(
        default=[], max_length=500, description="its head row, by which the next list is known again"
    )
    sheet: str = Field(
        default="", max_length=100, description="name of its sheet, where a workbook has several"
    )
    decimal: Literal["", ".", ","] = Field(
        default="", description="sign before the decimals, where its numbers leave that open"
    )
    dates: Literal["", "day_first", "month_first"] = Field(
        default="", description="how it writes dates such as 3/4/2026"
    )
    unit: Literal["", "mm", "in"] = Field(
        default="", description="unit of its sizes, where they are numbers without one"
    )
    columns: dict[OfferColumn, str] = Field(
        default={}, description="our name of a column, and its head there"
    )
    fixed: dict[OfferColumn, str] = Field(default={}, description="what holds for every line")
    kinds: dict[str, PartKind] = Field(default={}, description="its words for kinds of parts, and ours")
