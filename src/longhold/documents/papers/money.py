"""Amounts of money and counts as cells: made once, the same in print and in a sheet."""

from __future__ import annotations

from longhold.documents.papers.model import Cell

__all__ = ["amount", "count", "money"]


def amount(value: float, currency: str) -> str:
    """An amount in a sentence.

    >>> amount(8762, "USD")
    '8,762.00 USD'
    """
    return f"{money(value).text} {currency}"


def money(value: float) -> Cell:
    """An amount of money, to the cent; the currency stands in the head.

    >>> money(8762.5)
    Cell(text='8,762.50', value=8762.5, calculation=0)
    """
    cents = round(value, 2)
    return Cell(f"{cents:,.2f}", cents)


def count(value: int) -> Cell:
    """A whole number.

    >>> count(2400)
    Cell(text='2,400', value=2400, calculation=0)
    """
    return Cell(f"{value:,}", value)
