"""The schedule: what each joint and each part of it gets."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from longhold.choose.choice import Bought
from longhold.documents.choice_words import chance_words, doubt_words
from longhold.documents.cost_rows import cost_table, visits_words
from longhold.documents.joint_ids import ids_words
from longhold.documents.lives import deciding_end
from longhold.documents.papers.deal import Deal, Unsettled
from longhold.documents.papers.metal import face_words
from longhold.documents.papers.model import Cell, Column, Paper, Row, Table
from longhold.documents.papers.money import amount, count, money
from longhold.documents.section import size_words
from longhold.documents.words import plural, upper_first, verdict_words
from longhold.model.surroundings import places

__all__ = ["schedule_of", "unsettled_lines"]


def schedule_of(deal: Deal) -> Paper:
    """The schedule of a choice."""
    kinds = sum(len(one.group.ids) for one in deal.choice.bought)
    built = sum(one.group.quantity for one in deal.choice.bought)
    of_all = plural(len(deal.joints), "joint described", "joints described")
    answer = f"Hardware is chosen for {kinds:,} of {of_all}: {plural(built, 'joint')} to be built."
    tables = [_unsettled(deal)] if deal.unsettled else []
    return Paper(
        name="schedule",
        title="Schedule of hardware",
        answer=answer,
        warnings=unsettled_lines(deal),
        tables=(*tables, _joints(deal), _parts(deal), _over_life(deal)),
        notes=("A chance is that of reaching the design life; a band holds 8 of 10 draws.", *_costs(deal)),
    )


def unsettled_lines(deal: Deal) -> tuple[str, ...]:
    """Which joints are not settled, in a sentence for each kind; empty where all are."""
    left = [one for one in deal.unsettled if not one.bought]
    still_open = [one for one in deal.unsettled if one.bought]
    lines = []
    if left:
        lines.append(f"Nothing is bought for {_named(left)}: somebody must decide before they are built.")
    if still_open:
        lines.append(f"Something is still to be settled at {_named(still_open)}.")
    doubts = doubt_words(deal.market, deal.choice, most=12)
    return (*lines, *(f"{words}: see the submittal." for words, _ in doubts))


def _named(some: list[Unsettled]) -> str:
    built = sum(one.quantity for one in some)
    ids = [name for one in some for name in one.ids]
    return f"{ids_words(ids, most=12)} ({plural(built, 'joint')})"


def _unsettled(deal: Deal) -> Table:
    columns = (
        Column("Joints", wide=1.2),
        Column("Name", wide=2.2),
        Column("How many", "count", 0.8),
        Column("What is in the way", wide=6.0),
    )
    rows = tuple(
        (Cell(ids_words(one.ids)), Cell(one.name), count(one.quantity), Cell(one.why))
        for one in deal.unsettled
    )
    return Table("Not settled", "Not settled: decide these first", columns, rows)


def _joints(deal: Deal) -> Table:
    life = f"{deal.market.structure.design_life:g}"
    columns = (
        Column("Joint", wide=0.8),
        Column("Name", wide=2.2),
        Column("Place", wide=1.2),
        Column("How many", "count", 0.8),
        Column("Timber", wide=1.2),
        Column("Item for each part", wide=2.6),
        Column(f"Chance of {life} years", wide=1.7),
        Column("Forecast", wide=2.7),
    )
    order = {name: place for place, name in enumerate(deal.joints)}
    rows = sorted(_joint_rows(deal), key=lambda row: order[row[0].text])
    return Table("Joints", "Joint by joint", columns, tuple(rows))


def _joint_rows(deal: Deal) -> Iterator[Row]:
    for one, finding in deal.groups:
        forecast = deciding_end(finding)
        shared = (
            Cell(_items(one)),
            Cell(chance_words(one.option.trial)),
            Cell(upper_first(forecast)),
        )
        for name in one.group.ids:
            joint = deal.joints[name]
            timber = f"{joint.side} on {joint.main}" if joint.side else joint.main
            place = places()[joint.place].words
            yield (Cell(name), Cell(joint.name), Cell(place), count(joint.quantity), Cell(timber), *shared)


def _items(one: Bought) -> str:
    pairs = zip(one.group.joint.parts, one.option.offers, strict=True)
    return "; ".join(f"{part.id}: {offer.offer.item}" for part, offer in pairs)


def _parts(deal: Deal) -> Table:
    columns = (
        Column("Joint", wide=0.8),
        Column("Part", wide=0.9),
        Column("What", wide=2.7),
        Column("In each joint", "count", 0.7),
        Column("In all", "count", 0.7),
        Column("Item", wide=1.1),
        Column("Designation", wide=1.6),
        Column("Metal on a face", wide=3.0),
        Column("Code", wide=1.0),
    )
    order = {name: place for place, name in enumerate(deal.joints)}
    rows = sorted(_part_rows(deal), key=lambda row: order[row[0].text])
    return Table("Parts", "Part by part", columns, tuple(rows))


def _part_rows(deal: Deal) -> Iterator[Row]:
    units = deal.market.structure.units
    for one, part, offer, finding in deal.parts:
        shared = (
            Cell(offer.offer.item),
            Cell(offer.protection.designation),
            Cell(face_words(offer.protection, units)),
            Cell(verdict_words(finding.code.verdict)),
        )
        for name in one.group.ids:
            all_of_them = part.count * deal.joints[name].quantity
            what = Cell(f"{part.kind_words}, {size_words(part)}")
            yield (Cell(name), Cell(part.id), what, count(part.count), count(all_of_them), *shared)


def _over_life(deal: Deal) -> Table:
    """Cost over the life, joint by joint; what belongs to no joint has rows of its own."""
    found = cost_table(deal.choice, deal.market)
    columns = (Column("Joints", wide=2.5), *(Column(head, "money", 1.0) for head in found.heads))
    rows = tuple(
        (Cell(words), *(Cell("") if one is None else money(one) for one in amounts))
        for words, amounts in found.rows
    )
    total = (Cell("All"), *(money(one) for one in found.total))
    rate = f"{100 * deal.market.costs.rate:g} %"
    note = (
        f"In {deal.choice.currency} of today, at {rate} a year, real; mean of the draws. "
        f"{visits_words(deal.choice, deal.market)}"
    )
    title = "Cost over the life, joint by joint"
    return Table("Cost over the life", title, columns, rows, total=total, note=note.rstrip())


def _costs(deal: Deal) -> Iterator[str]:
    """What the cost over the life is, and that none is less."""
    currency, whole = deal.choice.currency, deal.choice.over_life
    low, high = (float(one) for one in np.quantile(whole, [0.1, 0.9]))
    if round(high - low, 2):
        mean, most = amount(float(whole.mean()), currency), money(high).text
        yield f"Over the design life: {mean} on average, {money(low).text} to {most} in 8 of 10 draws."
    if each := deal.market.costs.each_item:
        kinds = plural(len(deal.choice.purchase.packs), "kind")
        yield (
            f"{kinds} of box on the site at {amount(each, currency)} each: handling, no part of the "
            "order's price."
        )
    yield f"No other purchase that meets every demand costs less than {amount(deal.choice.bound, currency)}."
