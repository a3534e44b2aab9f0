"""A structure, or nothing yet, to a workbook that a person fills in or changes and Longhold reads back."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.sheet_cells import put_text
from longhold.intake.sheet_fields import CONTINUED, SheetField, SheetPlan, plan
from longhold.intake.sheet_look import Look, finish_rows, finish_sheet, look, note_height, value_height
from longhold.intake.sheet_template import (
    EXAMPLE,
    GUIDE,
    MARKER_HEAD,
    NOTE,
    WORDS,
    example_of,
    guide_lines,
    note_of,
    used_in_starter,
)
from longhold.intake.sheet_values import cell_text, unwritable
from longhold.intake.workbook import column_letters, openpyxl_or_refuse

__all__ = ["structure_workbook"]

_MOST_SIGNS = 32_000
_CHUNK = 4_500
_ILLEGAL = re.compile("[\x00-\x08\x0b-\x1f\ufffe\uffff]")
_LAST_LISTED_ROW = 5_000
_MAIN_WIDTHS = {"A": 34.0, "B": 40.0, "C": 72.0, "D": 18.0}

Names = Mapping[str, str]


def structure_workbook(given: Mapping[str, Any] | None, paper: str = "letter") -> bytes:
    """A workbook (XLSX) of a structure's keys and values; of none, the one to fill in, with examples.

    Parameters
    ----------
    given : as a structure file has them, already found valid; None for a workbook to fill in
    paper : letter or a4, for printing

    Raises
    ------
    InputError : the library is not installed, or every text that a workbook cannot hold
    """
    openpyxl = openpyxl_or_refuse()
    if given is not None:
        _refuse_unwritable(given)
    book = openpyxl.Workbook()
    style = look()
    guide = book.active
    guide.title = GUIDE
    for at, line in enumerate(guide_lines(given is None), 1):
        _put(guide.cell(at, 1), line)
    finish_sheet(guide, {"A": 110.0}, paper)
    sheets = [(one, book.create_sheet(one.name)) for one in plan()]
    lists = _write_words(book.create_sheet(WORDS), style)
    for one, sheet in sheets:
        if one.path:
            _write_rows(sheet, one, given, style, lists, paper)
        else:
            _write_main(sheet, one, given, style, lists, paper)
    book.active = 1
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _refuse_unwritable(given: Mapping[str, Any]) -> None:
    problems = [
        Problem(f"{place}{path}", None, f"{said}.", "Change it, or keep to TOML.")
        for one in plan()
        for place, keys, record in _records(one, given)
        for path, value in (*keys.items(), *((field.path, _found(record, field)) for field in one.fields))
        for text in (value if isinstance(value, list) else [value])
        if (said := unwritable(text, _MOST_SIGNS if one.path else None))
    ]
    if problems:
        raise InputError(*problems)


def _records(
    one: SheetPlan, given: Mapping[str, Any]
) -> Iterator[tuple[str, dict[str, str], Mapping[str, Any]]]:
    """Every record of a sheet: its path with a point after it, its owners and name, and its own keys."""
    level: list[tuple[str, tuple[str, ...], Any]] = [("", (), given)]
    for depth, step in enumerate(one.path, 1):
        last, below = depth == len(one.path), []
        for place, keys, record in level:
            value = record.get(step)
            if isinstance(value, list):
                for at, entry in enumerate(value):
                    ids = keys if last else (*keys, str(entry.get("id", "")))
                    below.append((f"{place}{step}[{at}].", ids, entry))
            elif last and one.by_name and isinstance(value, Mapping):
                below += [(f"{place}{step}.{name}.", (*keys, name), entry) for name, entry in value.items()]
            elif isinstance(value, Mapping):
                below.append((f"{place}{step}.", keys, value))
        level = below
    heads = (*one.owners, *(("name",) if one.by_name else ()))
    for place, keys, record in level:
        yield place, dict(zip(heads, keys, strict=True)), record


def _found(record: Mapping[str, Any], field: SheetField) -> Any:
    value: Any = record
    for step in field.steps:
        value = value.get(step) if isinstance(value, Mapping) else None
    return value


def _write_main(
    sheet: Any, one: SheetPlan, given: Mapping[str, Any] | None, style: Look, lists: Names, paper: str
) -> None:
    examples, row = example_of(one), 2
    for at, head in enumerate(("field", "value", "what it means", "example"), 1):
        _put(sheet.cell(1, at), head, style.head)
    for field in one.fields:
        value = None if given is None else _found(given, field)
        texts = _chunks(cell_text(value, field.what)) if value is not None else [None]
        for part, text in enumerate(texts, 1):
            _put(
                sheet.cell(row, 1),
                field.path + (CONTINUED.format(part) if part > 1 else ""),
                style.name_of(field.needed),
            )
            _put(sheet.cell(row, 2), text, style.value_of(field.what.kind))
            row += 1
        at = row - len(texts)
        _put(sheet.cell(at, 3), note_of(field), style.note)
        sheet.row_dimensions[at].height = max(
            16.0,
            note_height(note_of(field), _MAIN_WIDTHS["C"]),
            value_height(texts[0], _MAIN_WIDTHS["B"]),
        )
        _put(sheet.cell(at, 4), examples.get(field.path), style.example)
        _offer_list(sheet, field, lists, f"B{at}")
    sheet.freeze_panes = "B2"
    finish_sheet(sheet, _MAIN_WIDTHS, paper, repeat="1:1")


def _chunks(text: Any) -> list[Any]:
    if not isinstance(text, str) or len(_escaped(text)) <= _MOST_SIGNS:
        return [text]
    return [text[at : at + _CHUNK] for at in range(0, len(text), _CHUNK)]


def _write_rows(
    sheet: Any, one: SheetPlan, given: Mapping[str, Any] | None, style: Look, lists: Names, paper: str
) -> None:
    heads = (MARKER_HEAD, *one.heads)
    fields = {field.path: field for field in one.fields}
    kinds = {head: fields[head].what.kind if head in fields else "text" for head in one.heads}
    notes = {head: note_of(fields[head]) if head in fields else _note_of_key(head, one) for head in one.heads}
    examples = [{MARKER_HEAD: EXAMPLE, **example_of(one)}] if given is None else []
    rows = [{**keys, **_texts(one, record)} for _, keys, record in _records(one, given or {})]
    _write_row(sheet, 1, heads, {head: head for head in heads}, lambda _: style.head)
    _write_row(sheet, 2, heads, {MARKER_HEAD: NOTE, **notes}, lambda _: style.note)
    for number, row in enumerate(examples, 3):
        _write_row(sheet, number, heads, row, lambda _: style.example)
    first = 3 + len(examples)
    for number, row in enumerate(rows, first):
        _write_row(
            sheet, number, [head for head in heads if head in row], row, _value_style(kinds, style), heads
        )
    _offer_lists(sheet, one, heads, lists, first)
    used = {name for row in rows for name in row} | used_in_starter(one)
    folded = [field.path for field in one.fields if not field.needed and field.path not in used]
    finish_rows(sheet, heads, kinds, folded, [*rows, *examples])
    finish_sheet(sheet, {}, paper, repeat="1:1")


def _texts(one: SheetPlan, record: Mapping[str, Any]) -> dict[str, Any]:
    """What stands in the cells of a record, by head; heads without a cell are left out."""
    found = ((field, _found(record, field)) for field in one.fields)
    return {field.path: cell_text(value, field.what) for field, value in found if value is not None}


def _write_row(
    sheet: Any,
    number: int,
    heads: Sequence[str],
    row: Mapping[str, Any],
    style: Callable[[str], Any],
    all_heads: Sequence[str] | None = None,
) -> None:
    places = {head: at for at, head in enumerate(all_heads or heads, 1)}
    for head in heads:
        _put(sheet.cell(number, places[head]), row.get(head), style(head))


def _value_style(kinds: Mapping[str, str | None], style: Look) -> Callable[[str], Any]:
    return lambda head: style.value_of(kinds[head])


def _note_of_key(head: str, one: SheetPlan) -> str:
    if head in one.owners:
        return f"Needed. Id of the {head} that the row belongs to."
    return "Needed. A short name of your choice, by which joints call it: letters, digits, - and _."


def _offer_lists(sheet: Any, one: SheetPlan, heads: Sequence[str], lists: Names, first: int) -> None:
    for field in one.fields:
        column = column_letters(heads.index(field.path))
        _offer_list(sheet, field, lists, f"{column}{first}:{column}{_LAST_LISTED_ROW}", one)
    for owner in one.owners:
        column = column_letters(heads.index(owner))
        _add_list(
            sheet,
            _column_of(one.path[:-1], "id"),
            f"{column}{first}:{column}{_LAST_LISTED_ROW}",
            strict=False,
        )


_POINTS_TO_TIMBERS = ("main", "side")


def _offer_list(
    sheet: Any, field: SheetField, lists: Names, cells: str, one: SheetPlan | None = None
) -> None:
    if field.what.kind == "yes_no":
        _add_list(sheet, lists["yes_no"], cells, strict=True)
    elif field.what.kind == "choice":
        _add_list(sheet, lists[_list_key(field)], cells, strict=not field.what.many)
    elif one is not None and one.path == ("joints",) and field.path in _POINTS_TO_TIMBERS:
        _add_list(sheet, _column_of(("timbers",), "name"), cells, strict=False)


def _column_of(path: Sequence[str], head: str) -> str:
    """A range that holds what may be named: the ids of records on another sheet."""
    other = next(one for one in plan() if one.path == tuple(path))
    column = column_letters((MARKER_HEAD, *other.heads).index(head))
    return f"{other.name}!${column}$3:${column}${_LAST_LISTED_ROW}"


def _add_list(sheet: Any, words: str, cells: str, *, strict: bool) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    rule = DataValidation(type="list", formula1=f"={words}", allow_blank=True, showErrorMessage=strict)
    rule.errorTitle, rule.error = "Not in the list", "Pick one of the list, or leave the cell empty."
    rule.add(cells)
    sheet.add_data_validation(rule)


def _list_key(field: SheetField) -> str:
    return "|".join(field.what.choices)


def _write_words(sheet: Any, style: Look) -> dict[str, str]:
    """The lists to pick from, a column each; where each stands."""
    wanted: dict[str, tuple[str, Sequence[str]]] = {"yes_no": ("yes or no", ("yes", "no"))}
    for one in plan():
        for field in one.fields:
            if field.what.kind == "choice":
                wanted.setdefault(_list_key(field), (field.path, field.what.choices))
    places = {}
    for at, (key, (head, words)) in enumerate(wanted.items(), 1):
        _put(sheet.cell(1, at), head, style.head)
        for row, word in enumerate(words, 2):
            _put(sheet.cell(row, at), word, style.value_of("text"))
        letters = column_letters(at - 1)
        places[key] = f"{WORDS}!${letters}$2:${letters}${len(words) + 1}"
        sheet.column_dimensions[letters].width = max(len(word) for word in (head, *words)) + 3
    sheet.sheet_state = "hidden"
    return places


def _put(cell: Any, value: Any, style: Any = None) -> None:
    """Write a value; a text is written as text whatever it begins with, and never runs."""
    if style is not None:
        cell.style = style
    if value is None:
        return
    if isinstance(value, str):
        put_text(cell, _escaped(value))
    else:
        cell.value = value


def _escaped(text: str) -> str:
    """Signs that XML cannot hold, as ECMA-376 writes them (ST_Xstring)."""
    return _ILLEGAL.sub(lambda found: f"_x{ord(found[0]):04X}_", text)
