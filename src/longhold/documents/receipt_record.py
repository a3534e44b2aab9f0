"""The record of a checked delivery: each line with its verdict, and what a refused one would do."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from longhold.base.marks import Mark, weakest
from longhold.documents.lot_record import record_head
from longhold.documents.papers.model import Cell, Column, Paper, Record, Table
from longhold.documents.papers.money import count
from longhold.documents.receipt_words import EffectRow, InsteadRow, receipt_lede, receipt_rows
from longhold.inspect.delivery import Receipt

__all__ = ["receipt_record"]


def receipt_record(
    found: Receipt,
    effects: Sequence[EffectRow],
    instead: Sequence[InsteadRow] = (),
    *,
    by: str,
    file: str,
    notes: Sequence[str],
    as_of: datetime.date,
    made: str,
) -> Record:
    """The record.

    Parameters
    ----------
    effects : what refused lines would do, as rows; empty where that was not asked
    instead : what may take the place of lines refused for their metal, as rows
    by : who checked, as typed; blank where nobody said
    file : of the delivered lines
    notes : what is said of order and delivery, such as that they are invented
    as_of : date that the record carries
    made : draws and seed of the forecast; blank without one
    """
    facts = (
        ("Checked by", by or "not told"),
        ("Date", as_of.isoformat()),
        ("Delivered lines", file),
        *((("Forecast", made),) if made else ()),
    )
    read = (one.reading for one in found.lines if one.reading is not None)
    marks = [one.protection.weakest_mark for one in read]
    mark = weakest([*marks, Mark.OWN])
    paper = Paper(
        name="delivery",
        title="Record of a checked delivery",
        answer=receipt_lede(found),
        warnings=(),
        tables=(
            _lines(found),
            *((_effects(effects),) if effects else ()),
            *((_instead(instead),) if instead else ()),
        ),
        notes=(
            "A label is taken at its word: what is on the metal itself was not measured here.",
            "A refused line is set aside, marked, and not built in until one who may decide has done so.",
        ),
    )
    return Record(record_head(found.order.name, facts, mark.as_weakest, tuple(notes), as_of), paper)


def _lines(found: Receipt) -> Table:
    columns = (
        Column("Line", wide=2.6),
        Column("Pieces", "count", 0.6),
        Column("Certificate", wide=0.9),
        Column("Verdict", wide=1.1),
        Column("Why", wide=3.4),
        Column("What would mend it", wide=2.2),
    )
    certificates = [one.delivered.certificate for one in found.lines] + [""] * len(found.missing)
    rows = tuple(
        (
            *(Cell(row.line), count(row.quantity), Cell(certificate), Cell(row.verdict)),
            *(Cell(row.why), Cell(row.mend)),
        )
        for row, certificate in zip(receipt_rows(found), certificates, strict=True)
    )
    return Table("Lines", "Line by line", columns, rows)


def _effects(effects: Sequence[EffectRow]) -> Table:
    columns = (
        Column("Refused line", wide=2.2),
        Column("Joint", wide=1.6),
        Column("Chance as ordered", wide=0.8),
        Column("Chance as it came", wide=0.8),
        Column("Years as ordered", wide=1.3),
        Column("Years as it came", wide=1.3),
        Column("More", wide=2.4),
    )
    rows = tuple(tuple(Cell(text) for text in one) for one in effects)
    note = (
        "Chance of reaching the design life, and years to the end that decides in 8 of 10 draws; "
        "the same draws for both."
    )
    return Table("Used anyway", "If a refused line were used all the same", columns, rows, note=note)


def _instead(instead: Sequence[InsteadRow]) -> Table:
    columns = (
        Column("Refused line", wide=2.0),
        Column("Instead", wide=2.0),
        Column("Joint served least well", wide=1.6),
        Column("As ordered", wide=1.3),
        Column("With it", wide=1.3),
        Column("Cost", wide=1.6),
    )
    rows = tuple(tuple(Cell(text) for text in one) for one in instead)
    note = (
        "Offers with which every joint of the line meets the code and the target, the other parts as "
        "ordered; least cost first, of each metal the cheapest. Chance and years as above."
    )
    return Table("Instead", "What may take the place of a refused line", columns, rows, note=note)
