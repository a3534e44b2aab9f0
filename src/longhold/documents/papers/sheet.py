"""Papers as a workbook: real tables that print on whole sheets of paper."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Literal

from longhold.base.recent import once
from longhold.documents.papers.model import Calculation, Card, Cell, Column, Head, Paper, Papers, Table
from longhold.documents.sheet_cells import write_number, write_text

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Border, Font
    from openpyxl.worksheet.worksheet import Worksheet

__all__ = ["papers_xlsx"]

_FORMS = {"count": "#,##0", "money": "#,##0.00"}
_CHARACTERS = {True: 128.0, False: 92.0}  # that fit across a printed sheet, lying and standing
_LETTER, _A4 = 1, 9
_MOST_IN_FOOT = 200
_SMALL, _SIZE, _LARGE = 9, 11, 15
_APART = (
    "The calculations stand on the last sheet, whose pages are counted from 1: to print the papers alone, "
    "print the sheets before it."
)
_MOST_POINTS = 409.0  # that a row may be high
_STAMP = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*")


def papers_xlsx(papers: Papers) -> bytes:
    """All papers as a workbook; the same papers always give the same bytes.

    What goes on site and to others comes first; calculations, which are many pages, are the last sheet, with
    pages of their own.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    book.properties.title = f"Papers: {papers.head.structure}"
    book.properties.creator = "Longhold"
    _about(book, papers)
    _card(book, papers.head, papers.card)
    for paper, table in papers.tables():
        _table(book, papers.head, paper, table)
    if papers.submittal.calculations:
        table = _calculations(papers.submittal.calculations)
        _pages_of_its_own(_table(book, papers.head, papers.submittal, table, size=_SMALL))
    stream = io.BytesIO()
    book.save(stream)
    return _without_clock(stream.getvalue(), papers.head.as_of)


def _about(book: Workbook, papers: Papers) -> None:
    sheet = _new(book, papers.head, "About", lying=False)
    head = papers.head
    apart = [_APART] if papers.submittal.calculations else []
    lines = [*(one.answer for one in papers.listed), *papers.schedule.warnings, *head.notes, *apart]
    row = _opening(sheet, f"Papers for {head.structure}", [head.caution, head.rests_on, *lines], wide=2)
    for name, value in head.facts:
        write_text(sheet.cell(row, 1), name)
        write_text(sheet.cell(row, 2), value)
        row += 1
    _widths(sheet, (1.0, 4.0), lying=False)


def _table(book: Workbook, head: Head, paper: Paper, table: Table, size: int = _SIZE) -> Worksheet:
    sheet = _new(book, head, table.name, lying=True)
    columns = len(table.columns)
    lines = [head.caution, *paper.warnings, *head.notes, *([table.note] if table.note else [])]
    top = _opening(sheet, f"{paper.title}: {table.title}", lines, wide=columns)
    widths = _widths(
        sheet,
        [column.wide for column in table.columns],
        lying=True,
        heads=[column.head for column in table.columns],
    )
    _heads(sheet, top, table.columns, widths, size)
    for at, row in enumerate(table.rows, start=top + 1):
        _cells(sheet, at, row, table.columns, widths, size)
    last = top + len(table.rows)
    if table.rows:
        _as_table(sheet, top, last, columns, len(book.sheetnames))
    if table.total:
        _totals(sheet, top, last, table, widths)
    _opening(sheet, "", paper.notes, wide=columns, at=last + (4 if table.total else 2))
    sheet.freeze_panes = sheet.cell(top + 1, 1)
    sheet.print_title_rows = f"{top}:{top}"
    return sheet


def _pages_of_its_own(sheet: Worksheet) -> None:
    sheet.page_setup.firstPageNumber, sheet.page_setup.useFirstPageNumber = 1, True
    sheet.oddFooter.right.text = f"{sheet.title}, page &P"


def _heads(sheet: Worksheet, row: int, columns: Sequence[Column], widths: Sequence[float], size: int) -> None:
    for number, column in enumerate(columns, start=1):
        cell = sheet.cell(row, number)
        write_text(cell, column.head)
        cell.font = _font(size, bold=True)
        cell.alignment = _alignment(column.kind, "bottom")
        cell.border = _line("medium")
    sheet.row_dimensions[row].height = _height([one.head for one in columns], widths, size, bold=True)


def _cells(
    sheet: Worksheet,
    at: int,
    row: Sequence[Cell],
    columns: Sequence[Column],
    widths: Sequence[float],
    size: int = _SIZE,
) -> None:
    for number, (cell, column) in enumerate(zip(row, columns, strict=True), start=1):
        target = sheet.cell(at, number)
        if cell.value is not None and column.kind in _FORMS:
            write_number(target, cell.value, _FORMS[column.kind])
        elif cell.text:
            write_text(target, cell.text)
        target.font = _font(size)
        target.alignment = _alignment(column.kind, "top")
        target.border = _line("hair")
    sheet.row_dimensions[at].height = _height([cell.text for cell in row], widths, size)


@once
def _alignment(kind: str, vertical: str) -> Alignment:
    from openpyxl.styles import Alignment

    is_text = kind == "text"
    return Alignment(
        horizontal="left" if is_text else "right", vertical=vertical, wrap_text=True, indent=int(is_text)
    )


@once
def _font(size: int = _SIZE, *, bold: bool = False) -> Font:
    from openpyxl.styles import Font

    return Font(family=2, scheme="minor", size=size, bold=bold)


def _height(texts: Sequence[str], widths: Sequence[float], size: int = _SIZE, *, bold: bool = False) -> float:
    """Height of a row whose texts wrap in columns of some widths [characters of the usual size].

    Programs do not agree on whether they fit a row to its text on opening, so it is set.
    """
    room = [max((wide - 1.5) * _SIZE / size * (0.88 if bold else 1.0), 1.0) for wide in widths]
    lines = max(len(wrap(text, max(int(wide), 1))) or 1 for text, wide in zip(texts, room, strict=True))
    return min(lines * 1.4 * size, _MOST_POINTS)


def _as_table(sheet: Worksheet, top: int, last: int, columns: int, number: int) -> None:
    """A table to sort and filter by, without a ready-made style: its lines are those of the other papers."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.table import Table as SheetTable

    sheet.add_table(
        SheetTable(displayName=f"Table{number}", ref=f"A{top}:{get_column_letter(columns)}{last}")
    )


@once
def _line(kind: Literal["hair", "medium"]) -> Border:
    """A line below a cell: hair between rows, medium under heads."""
    from openpyxl.styles import Border, Side

    return Border(bottom=Side(style=kind, color="FF595959"))


def _totals(sheet: Worksheet, top: int, last: int, table: Table, widths: Sequence[float]) -> None:
    """The totals as written in the result; below each, the sheet's own sum to compare it with."""
    from openpyxl.utils import get_column_letter

    _cells(sheet, last + 1, table.total or (), table.columns, widths)
    write_text(sheet.cell(last + 2, 1), "Summed by this sheet")
    for number, cell in enumerate(table.total or (), start=1):
        sheet.cell(last + 1, number).font = _font(bold=True)
        if cell.value is not None and table.rows:
            letter = get_column_letter(number)
            target = sheet.cell(last + 2, number)
            target.value = f"=SUM({letter}{top + 1}:{letter}{last})"
            target.number_format = _FORMS[table.columns[number - 1].kind]


def _calculations(found: Iterable[Calculation]) -> Table:
    columns = (
        Column("Number", "count", 0.6),
        Column("Joint, part and item", wide=1.5),
        Column("Step", wide=4.6),
        Column("Equation", wide=2.6),
        Column("Put in", wide=2.8),
        Column("Gives", wide=1.8),
        Column("Rests on", wide=1.8),
    )
    rows = tuple(
        (
            Cell(f"{one.number}", one.number),
            Cell(one.title),
            Cell(row.title or row.what),
            Cell(row.equation),
            Cell("; ".join(f"{symbol} = {value}" for symbol, value in row.inputs)),
            Cell(f"{row.symbol} = {row.gives}" if row.symbol else ""),
            Cell(row.rests_on),
        )
        for one in found
        for row in one.rows
    )
    return Table("Calculations", "Calculations, middle values put in", columns, rows)


def _card(book: Workbook, head: Head, card: Card) -> None:
    from openpyxl.styles import Alignment, Border, Side

    sheet = _new(book, head, "Site card", lying=False)
    widths = _widths(sheet, (1.1, 1.1, 2.2, 0.9), lying=False)
    row = _opening(sheet, card.title, [*card.unsettled, head.structure], wide=4, size=24, lines_size=_LARGE)
    for line in _card_lines(card):
        for number, text in enumerate(line, start=1):
            cell = sheet.cell(row, number)
            write_text(cell, text)
            cell.font = _font(_LARGE, bold=number < 3)
            cell.alignment = Alignment(vertical="top", wrap_text=True)
            cell.border = Border(top=Side(style="thin" if line[0] else None))
        sheet.row_dimensions[row].height = _height(line, widths, _LARGE)
        row += 1
    labels = [f"{name}: {face}. On {items}." for items, name, face in card.labels]
    for title, lines in (("Never mix", card.never), ("What the label must read", labels)):
        row = _opening(sheet, title, lines, wide=4, at=row + 1, size=18, lines_size=_LARGE)
    _opening(sheet, "", (head.caution, head.rests_on, *head.notes), wide=4, at=row + 1)
    sheet.page_setup.fitToHeight = 1


def _card_lines(card: Card) -> Iterator[tuple[str, str, str, str]]:
    for box in card.boxes:
        for number, line in enumerate(box.lines):
            yield (box.where if number == 0 else "", *line)
        yield ("", "", box.names, "")


def _new(book: Workbook, head: Head, name: str, *, lying: bool) -> Worksheet:
    sheet = book.create_sheet(name)
    setup = sheet.page_setup
    setup.orientation = "landscape" if lying else "portrait"
    setup.paperSize = _LETTER if head.us_paper else _A4
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    setup.fitToWidth, setup.fitToHeight = 1, 0
    sheet.oddHeader.left.text = _foot_text(head.structure)
    sheet.oddHeader.right.text = _foot_text(name)
    sheet.oddFooter.left.text = _foot_text(f"{head.foot}. {head.caution}" if lying else head.foot)
    sheet.oddFooter.right.text = "Page &P of &N"
    return sheet


def _foot_text(text: str) -> str:
    """A text for head or foot, in which an ampersand would begin a command."""
    flat = "".join(letter if letter.isprintable() else " " for letter in text)
    return flat[:_MOST_IN_FOOT].replace("&", "&&")


def _opening(
    sheet: Worksheet,
    title: str,
    lines: Iterable[str],
    *,
    wide: int,
    at: int = 1,
    size: int = 16,
    lines_size: int = _SIZE,
) -> int:
    """A title and lines across the sheet; returns the row after the blank one that follows."""
    from openpyxl.styles import Alignment

    told = [title, *lines] if title else list(lines)
    across = [_CHARACTERS[sheet.page_setup.orientation == "landscape"]]
    for row, text in enumerate(told, start=at):
        is_title = bool(title) and row == at
        points = size if is_title else lines_size
        cell = sheet.cell(row, 1)
        write_text(cell, text)
        sheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=wide)
        cell.font = _font(points, bold=is_title)
        cell.alignment = Alignment(vertical="top", wrap_text=True)
        sheet.row_dimensions[row].height = _height([text], across, points, bold=is_title)
    return at + len(told) + 1


def _widths(
    sheet: Worksheet, shares: Sequence[float], *, lying: bool, heads: Sequence[str] = ()
) -> list[float]:
    """Set the widths of the columns by their shares of a sheet of paper; returns them [characters].

    No column is narrower than the longest word of its head, which would part.
    """
    from openpyxl.utils import get_column_letter

    least = [1.2 * max(map(len, head.split()), default=0) + 2.0 for head in heads] or [8.0] * len(shares)
    widths = [
        max(round(_CHARACTERS[lying] * one / sum(shares), 1), 8.0, word)
        for one, word in zip(shares, least, strict=True)
    ]
    for number, wide in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(number)].width = wide
    return widths


def _without_clock(book: bytes, as_of: datetime.date) -> bytes:
    """The same workbook with the papers' date wherever the clock was written."""
    day = as_of.isoformat().encode()
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "docProps/core.xml":
                data = _STAMP.sub(rb"\g<1>" + day + b"T00:00:00Z", data)
            when = (max(as_of.year, 1980), as_of.month, as_of.day, 0, 0, 0)
            info = zipfile.ZipInfo(entry.filename, when)
            info.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(info, data)
    return made.getvalue()
