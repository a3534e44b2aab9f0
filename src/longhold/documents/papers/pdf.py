"""Papers as PDF: real typography, numbered pages, heads repeated on each."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from contextlib import ExitStack
from importlib.resources import as_file, files
from typing import Any

from longhold.base.errors import LongholdError
from longhold.documents.papers.letters import Press, breakable
from longhold.documents.papers.mathematics import Node, equation_tree, symbol_tree
from longhold.documents.papers.model import (
    Calculation,
    Card,
    Cell,
    Head,
    Paper,
    Papers,
    Record,
    StepRow,
    Table,
)

__all__ = [
    "NotSetError",
    "card_pdf",
    "paper_pdf",
    "papers_pdf",
    "record_pdf",
    "typeset",
    "unprintable",
    "unprintable_in",
]


class NotSetError(LongholdError):
    """The typesetter warned or gave up: a paper that may be wrong is not handed out."""


def paper_pdf(papers: Papers, paper: Paper) -> bytes:
    """One paper as PDF/A-2b; the same papers always give the same bytes.

    Raises
    ------
    NotSetError : where the typesetter warns or fails
    """
    return _set(papers.head, [paper], None)


def card_pdf(papers: Papers) -> bytes:
    """The site card."""
    return _set(papers.head, [], papers.card)


def papers_pdf(papers: Papers) -> bytes:
    """All papers in one file, the card last."""
    return _set(papers.head, list(papers.listed), papers.card)


def record_pdf(record: Record) -> bytes:
    """A paper by itself."""
    return _set(record.head, [record.paper], None)


def unprintable_in(record: Record) -> str:
    """The same of a paper by itself."""
    return str(_plain(record.head, [record.paper], None)["told"])


def unprintable(papers: Papers) -> str:
    """Which letters the PDF shows a mark for, in a sentence; empty where it shows all."""
    return str(_plain(papers.head, list(papers.listed), papers.card)["told"])


def _set(head: Head, listed: list[Paper], card: Card | None) -> bytes:
    return typeset("papers.typ", _plain(head, listed, card), head.as_of)


def typeset(template: str, data: Mapping[str, Any], as_of: datetime.date) -> bytes:
    """Plain data set by one of our own templates as PDF/A-2b; the same data always give the same bytes.

    Parameters
    ----------
    template : name of its file; it finds the data under ``sys.inputs.papers``
    as_of : date that the file carries

    Raises
    ------
    NotSetError : where the typesetter warns or fails
    """
    import typst

    text = json.dumps(data, ensure_ascii=False)
    when = datetime.datetime.combine(as_of, datetime.time(), datetime.UTC)
    with ExitStack() as kept:
        folder = files("longhold.documents.papers")
        file = kept.enter_context(as_file(folder.joinpath(template)))
        fonts = kept.enter_context(as_file(folder.joinpath("fonts")))
        try:
            found, warnings = typst.compile_with_warnings(
                file,
                font_paths=[fonts],
                ignore_system_fonts=True,
                sys_inputs={"papers": text},
                pdf_standards="a-2b",
                timestamp=when,
            )
        except typst.TypstError as error:
            raise NotSetError(f"the paper could not be set: {error}") from error
    if warnings:
        raise NotSetError(f"the paper was not set cleanly: {warnings[0]}")
    return bytes(found)


def _plain(head: Head, listed: list[Paper], card: Card | None) -> dict[str, Any]:
    """Everything as plain objects whose texts can be printed; what cannot is told with the head."""
    press = Press()

    def text(words: str) -> str:
        return breakable(press.text(words))

    papers = [_paper(one, text) for one in listed]
    plain_card = None if card is None else _card(card, text)
    title = " and ".join([*(one.title for one in listed), *([card.title] if card else [])])
    return {
        "title": press.text(f"{title}: {head.structure}"),
        "date": [head.as_of.year, head.as_of.month, head.as_of.day],
        "us_paper": head.us_paper,
        "structure": text(head.structure),
        "facts": [[text(name), text(value)] for name, value in head.facts],
        "rests_on": text(head.rests_on),
        "notes": [text(note) for note in head.notes],
        "caution": text(head.caution),
        "foot": press.text(head.foot),
        "papers": papers,
        "card": plain_card,
        "told": press.told(),
    }


def _paper(paper: Paper, text: Any) -> dict[str, Any]:
    return {
        "title": text(paper.title),
        "answer": text(paper.answer),
        "warnings": [text(line) for line in paper.warnings],
        "notes": [text(line) for line in paper.notes],
        "tables": [_table(table, text) for table in paper.tables],
        "calculations": [_calculation(one, text) for one in paper.calculations],
        "pictures": [
            {"title": text(one.title), "note": text(one.note), "svg": one.svg} for one in paper.pictures
        ],
    }


def _table(table: Table, text: Any) -> dict[str, Any]:
    return {
        "title": text(table.title),
        "note": text(table.note),
        "columns": [
            {"head": text(one.head), "wide": one.wide, "right": one.kind != "text"} for one in table.columns
        ],
        "rows": [[[_cell(cell, text), cell.calculation] for cell in row] for row in table.rows],
        "total": [_cell(cell, text) for cell in table.total or ()],
    }


def _cell(cell: Cell, text: Any) -> str:
    """A number is never broken."""
    return cell.text if cell.value is not None else str(text(cell.text))


def _calculation(one: Calculation, text: Any) -> dict[str, Any]:
    return {"number": one.number, "title": text(one.title), "rows": [_step(row, text) for row in one.rows]}


def _step(row: StepRow, text: Any) -> dict[str, Any]:
    return {
        "title": text(row.title),
        "what": text(row.what),
        "equation": [_node(node, text) for node in equation_tree(row.equation)],
        "inputs": [[_symbol(symbol, text), text(value)] for symbol, value in row.inputs],
        "symbol": _symbol(row.symbol, text),
        "gives": text(row.gives),
        "rests_on": text(row.rests_on),
    }


def _symbol(symbol: str, text: Any) -> list[Node]:
    return [_node(node, text) for node in symbol_tree(symbol)]


def _node(node: Node, text: Any) -> Node:
    if isinstance(node, str):
        return str(text(node))
    return {"kind": node["kind"], "inside": [_node(one, text) for one in node["inside"]]}


def _card(card: Card, text: Any) -> dict[str, Any]:
    return {
        "title": text(card.title),
        "boxes": [
            {
                "where": text(box.where),
                "names": text(box.names),
                "lines": [[text(word) for word in line] for line in box.lines],
            }
            for box in card.boxes
        ],
        "unsettled": [text(line) for line in card.unsettled],
        "never": [text(line) for line in card.never],
        "labels": [[text(word) for word in line] for line in card.labels],
    }
