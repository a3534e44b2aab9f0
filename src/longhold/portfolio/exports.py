"""The ranked table and the structures that could not be assessed, as CSV and as a workbook."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any

from longhold.base.sheet_cells import plain_cell, put_text
from longhold.intake.workbook import openpyxl_or_refuse
from longhold.portfolio.gathering import NotAssessed
from longhold.portfolio.instead import Changed
from longhold.portfolio.money import Money
from longhold.portfolio.ranking import StructureRow

__all__ = ["not_assessed_csv", "ranked_csv", "workbook"]

_RANKED = StructureRow.__dataclass_fields__
_OF_YEAR = ("year", "renewals", "renewals_with_a_price", "money", "present_value", "rests_on")
_OF_CHANGE = ("what", "before", "after", "rests_on")


def ranked_csv(rows: Sequence[StructureRow]) -> str:
    """The ranked table, one row a structure."""
    return _csv(list(_RANKED), ([getattr(row, name) for name in _RANKED] for row in rows))


def not_assessed_csv(refused: Sequence[NotAssessed]) -> str:
    """What could not be assessed, with its message."""
    return _csv(["source", "message"], ([one.source, one.message] for one in refused))


def workbook(
    rows: Sequence[StructureRow],
    refused: Sequence[NotAssessed],
    money: Money,
    changes: Sequence[Changed],
) -> bytes:
    """All tables of the report as a workbook (XLSX).

    Raises
    ------
    InputError : the library is not installed
    """
    book = openpyxl_or_refuse().Workbook()
    book.remove(book.active)
    _sheet(
        book, "First to look at", list(_RANKED), ([getattr(row, name) for name in _RANKED] for row in rows)
    )
    _sheet(
        book,
        "By year",
        _OF_YEAR,
        (
            [row.year, row.renewals, row.priced, _none(row.money), _none(row.present), money.mark.value]
            for row in money.rows
        ),
    )
    for number, one in enumerate(changes, start=1):
        rests = "" if one.mark is None else one.mark.value
        _sheet(book, f"Instead {number}", _OF_CHANGE, ([*row, rests] for row in change_rows(one)))
    _sheet(book, "Not assessed", ("source", "message"), ([one.source, one.message] for one in refused))
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def change_rows(one: Changed) -> Iterator[list[Any]]:
    """What a change does, line by line."""
    yield [f"{one.change.family} = {one.change.label}: joints", one.joints, one.joints]
    yield ["joints that hold", *one.holds]
    yield ["joints that fall short", *one.fails]
    yield ["joints undecided", *one.refer]
    yield ["joints expected to end before the design life", *one.ends]
    yield ["renewals expected within the design life", *one.renewals]


def _none(value: float) -> float | None:
    return value if value == value else None


def _csv(heads: Sequence[str], rows: Iterator[Sequence[Any]]) -> str:
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n")
    write.writerow(heads)
    for row in rows:
        write.writerow([plain_cell(_shown(cell)) if isinstance(cell, str) else _told(cell) for cell in row])
    return out.getvalue()


def _shown(text: str) -> str:
    return "".join(one if one.isprintable() or one == "\n" else " " for one in text)


def _told(value: Any) -> Any:
    """A figure without the digits that adding floats leaves behind."""
    return float(f"{value:.9g}") if isinstance(value, float) else value


def _sheet(book: Any, title: str, heads: Sequence[str], rows: Iterator[Sequence[Any]]) -> None:
    sheet = book.create_sheet(title)
    for at, head in enumerate(heads, start=1):
        put_text(sheet.cell(1, at), head.replace("_", " "))
        sheet.column_dimensions[sheet.cell(1, at).column_letter].width = max(12, len(head) + 2)
    for number, row in enumerate(rows, start=2):
        for at, value in enumerate(row, start=1):
            if isinstance(value, str):
                put_text(sheet.cell(number, at), _shown(value).replace("\n", " "))
            elif value is not None:
                sheet.cell(number, at).value = _told(value)
    sheet.freeze_panes = "B2"
