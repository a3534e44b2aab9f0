"""How a workbook to fill in looks: heads, notes and examples told apart by more than color, and printable."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any

from longhold.intake.workbook import column_letters

__all__ = ["Look", "finish_rows", "finish_sheet", "look", "note_height", "value_height"]

_SANS: dict[str, Any] = {"family": 2, "scheme": "minor"}  # the sans serif of whoever opens it
_INK, _PAPER, _HEAD = "1F2933", "FFFFFF", "2F4550"
_NOTE_FILL, _EXAMPLE_FILL, _EXAMPLE_INK = "F2EFE6", "E9EDF0", "4A5560"
_WIDTHS = {
    "yes_no": 11.0,
    "whole": 15.0,
    "number": 13.0,
    "date": 13.0,
    "quantity": 15.0,
    "choice": 20.0,
    "text": 22.0,
}
_WIDEST = 44.0
_HEAD_HEIGHT, _LINE, _SIGNS_OF_A_NOTE = 18.0, 12.5, 1.2
_LINE_OF_A_VALUE, _SIGNS_OF_A_VALUE, _HIGHEST = 15.0, 0.95, 409.0


@dataclass(frozen=True)
class Look:
    """Named styles of a workbook.

    Attributes
    ----------
    head, note, example : of heads, of what they mean, of examples
    """

    head: Any
    note: Any
    example: Any
    needed_name: Any
    plain_name: Any
    values: Mapping[str, Any]

    def name_of(self, needed: bool) -> Any:
        """Style of the name of a field."""
        return self.needed_name if needed else self.plain_name

    def value_of(self, kind: str | None) -> Any:
        """Style of a value: text stays text, whatever it looks like."""
        return self.values["date" if kind == "date" else "number" if kind in ("number", "whole") else "text"]


def look() -> Look:
    """The styles, made anew for each workbook."""
    from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Side

    side = Side(style="thin", color="C9CDD1")
    line = Border(left=side, right=side, top=side, bottom=side)

    def style(name: str, font: Any, fill: str = "", number_format: str = "General") -> Any:
        made = NamedStyle(name=name, font=font, border=line, number_format=number_format)
        made.alignment = Alignment(horizontal="left", vertical="top", wrap_text=True)
        if fill:
            made.fill = PatternFill("solid", fgColor=fill)
        return made

    plain = Font(**_SANS, color=_INK)
    return Look(
        head=style("longhold head", Font(**_SANS, bold=True, color=_PAPER), _HEAD),
        note=style("longhold note", Font(**_SANS, italic=True, size=9, color=_INK), _NOTE_FILL),
        example=style("longhold example", Font(**_SANS, italic=True, color=_EXAMPLE_INK), _EXAMPLE_FILL),
        needed_name=style("longhold needed", Font(**_SANS, bold=True, color=_INK)),
        plain_name=style("longhold name", plain),
        values={
            "text": style("longhold text", plain, number_format="@"),
            "number": style("longhold number", plain),
            "date": style("longhold date", plain, number_format="yyyy-mm-dd"),
        },
    )


def finish_rows(
    sheet: Any,
    heads: Sequence[str],
    kinds: Mapping[str, str | None],
    folded: Iterable[str],
    rows: Sequence[Mapping[str, Any]],
) -> None:
    """Widths, formats of columns still empty, columns folded away, and a head that stays in sight."""
    fold = set(folded)
    sheet.sheet_properties.outlinePr.summaryRight = False
    for at, head in enumerate(heads):
        column = sheet.column_dimensions[column_letters(at)]
        kind = kinds.get(head) or "text"
        longest = max((len(str(row[head])) for row in rows[:500] if head in row), default=0)
        column.width = (
            10.0 if head not in kinds else min(_WIDEST, max(_WIDTHS[kind], len(head) + 3.0, longest + 2.0))
        )
        column.number_format = {"whole": "General", "number": "General", "date": "yyyy-mm-dd"}.get(kind, "@")
        if head in fold:
            column.outlineLevel, column.hidden = 1, True
    sheet.row_dimensions[1].height = _HEAD_HEIGHT
    sheet.row_dimensions[2].height = max(
        note_height(str(cell.value or ""), sheet.column_dimensions[cell.column_letter].width)
        for cell in sheet[2]
        if cell.value and not sheet.column_dimensions[cell.column_letter].hidden
    )
    for at, row in enumerate(rows, 3):
        height = max(
            value_height(value, sheet.column_dimensions[column_letters(heads.index(head))].width)
            for head, value in row.items()
        )
        if height > _LINE_OF_A_VALUE:
            sheet.row_dimensions[at].height = height
    after_key = 1 + next(at for at, head in enumerate(heads) if head in ("id", "name", "setting"))
    sheet.freeze_panes = f"{column_letters(after_key)}3"


def note_height(note: str, width: float) -> float:
    """Height of a row that shows a note in a column of a width, whole words on each line [points]."""
    most = int(width * _SIGNS_OF_A_NOTE)
    return max(1, len(wrap(note, most))) * _LINE + 4.0


def value_height(value: Any, width: float) -> float:
    """Height of a row that shows a value in a column of a width [points].

    Programs do not agree on whether they fit a row to its text on opening, so it is set.

    >>> value_height("short", 20.0), value_height("a sentence of some length, over several lines", 20.0)
    (15.0, 45.0)
    """
    most = max(int(width * _SIGNS_OF_A_VALUE), 1)
    if not isinstance(value, str) or (len(value) <= most and "\n" not in value):
        return _LINE_OF_A_VALUE
    lines = sum(max(1, len(wrap(line, most))) for line in value.splitlines())
    return min(lines * _LINE_OF_A_VALUE, _HIGHEST)


def finish_sheet(sheet: Any, widths: Mapping[str, float], paper: str, repeat: str = "") -> None:
    """Widths and printing: pages across, all columns in sight on one, heads on every page, pages counted."""
    for letters, width in widths.items():
        sheet.column_dimensions[letters].width = width
    setup = sheet.page_setup
    setup.orientation, setup.fitToWidth, setup.fitToHeight = "landscape", 1, 0
    setup.paperSize = sheet.PAPERSIZE_A4 if paper == "a4" else sheet.PAPERSIZE_LETTER
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    if repeat:
        sheet.print_title_rows = repeat
    sheet.oddFooter.left.text = "&A"
    sheet.oddFooter.right.text = "&P of &N"
    for name in ("left", "right"):
        setattr(sheet.page_margins, name, 0.4)
    sheet.sheet_view.showGridLines = bool(repeat)
