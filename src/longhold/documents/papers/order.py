"""The order: whole packs of every item, with what is needed, what is spare, and what it costs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import ceil

from longhold.choose.spare_packs import pieces_of
from longhold.documents.choice_words import spare_words
from longhold.documents.papers.deal import Deal
from longhold.documents.papers.model import Cell, Column, Paper, Row, Table
from longhold.documents.papers.money import amount, count, money
from longhold.documents.papers.schedule import unsettled_lines
from longhold.documents.words import plural

__all__ = ["order_of", "pieces_needed"]

_PRICE = 9
_WHOLE = 1e-6  # a share of a piece that rounding leaves


def pieces_needed(deal: Deal) -> Counter[str]:
    """Item -> pieces of it that all joints take, nothing spare."""
    return pieces_of(deal.choice)


def order_of(deal: Deal) -> Paper:
    """The order for a choice."""
    rows = tuple(_rows(deal))
    packs = sum(deal.choice.purchase.packs.values())
    price = amount(_summed(rows), deal.choice.currency)
    answer = f"{plural(len(deal.items), 'item')} in {plural(packs, 'pack')} cost {price}."
    return Paper(
        name="order",
        title="Order",
        answer=answer,
        warnings=(*unsettled_lines(deal), *_foreign(deal)),
        tables=(_table(deal, rows),),
        notes=tuple(_notes(deal)),
    )


def _table(deal: Deal, rows: tuple[Row, ...]) -> Table:
    currency = deal.choice.currency
    columns = (
        Column("Item", wide=1.4),
        Column("What", wide=2.5),
        Column("Label must read", wide=1.6),
        Column("Pieces needed", "count", 0.9),
        Column("With spare", "count", 0.8),
        Column("In a pack", "count", 0.8),
        Column("Packs", "count", 0.7),
        Column("Left over", "count", 0.8),
        Column(f"Price of a pack, {currency}", "money", 1.0),
        Column(f"Price, {currency}", "money", 1.1),
        Column("Days until it arrives", "count", 1.0),
        Column("Price held on", wide=1.3),
    )
    packs = sum(deal.choice.purchase.packs.values())
    blank = Cell("")
    total = (
        *(Cell("All"), blank, blank, blank, blank, blank),
        *(count(packs), blank, blank, money(_summed(rows)), blank, blank),
    )
    return Table("Order", "What to order", columns, rows, total=total)


def _summed(rows: tuple[Row, ...]) -> float:
    """Price of all rows as printed, so that the order adds up to the cent."""
    return sum(row[_PRICE].value or 0.0 for row in rows)


def _rows(deal: Deal) -> Iterator[Row]:
    choice, spare, needed = deal.choice, deal.market.costs.spare, pieces_needed(deal)
    for item, found in deal.items.items():
        box, packs, offer = choice.boxes[item], choice.purchase.packs[item], found.offer
        with_spare = ceil((1.0 + spare) * needed[item] - _WHOLE)
        yield (
            Cell(item),
            Cell(f"{offer.part.kind_words}, {offer.size}"),
            Cell(found.protection.designation),
            count(needed[item]),
            count(with_spare),
            count(box.pack),
            count(packs),
            count(packs * box.pack - needed[item]),
            money(box.price),
            money(box.price * packs),
            Cell("") if offer.lead_days is None else count(offer.lead_days),
            Cell(offer.price_date.isoformat() if offer.price_date else "not stated"),
        )


def _foreign(deal: Deal) -> Iterator[str]:
    others = {one.offer.currency for one in deal.items.values()} - {deal.choice.currency}
    for other in sorted(others):
        rate = deal.market.costs.rates[other]
        yield f"Prices in {other} are changed at {rate:g} {other} for one {deal.choice.currency}."


def _notes(deal: Deal) -> Iterator[str]:
    costs = deal.market.costs
    assumed = "" if "spare" in costs.model_fields_set else " (assumed: none was stated)"
    yield f"Spare: {100 * costs.spare:g} % more pieces than the joints take{assumed}, then whole packs."
    yield from spare_words(deal.choice)
    if waits := [one.offer.lead_days for one in deal.items.values() if one.offer.lead_days is not None]:
        yield f"The last of it arrives {plural(max(waits), 'day')} after it is ordered."
