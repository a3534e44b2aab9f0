"""Suppliers' lists on the page: read as far as they tell themselves, asked where they do not, kept."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from importlib.resources import files
from itertools import islice
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from longhold.base.errors import InputError, Problem
from longhold.intake.offer_columns import heads_of, same_head
from longhold.intake.offer_table import ListTable, open_list
from longhold.intake.offers import FIRST_ROWS, load_offers, remembered_for
from longhold.intake.workbook import is_workbook_name, open_workbook
from longhold.model.offer import Offer
from longhold.model.offer_list import ListColumns
from longhold.store import NotInStore, Store, inputs_hash

if TYPE_CHECKING:
    from collections.abc import Iterator

    from longhold.intake.offers import OfferList
    from longhold.web.work import Progress

__all__ = [
    "DEMO_NAME",
    "HeldList",
    "demo_list",
    "held_list",
    "keep_list",
    "keep_reading",
    "keep_sent",
    "known_way",
    "read_and_keep",
    "reading_under",
    "remember",
    "sheets_of",
    "table_of",
    "unknown_kinds",
]

DEMO_NAME = "Invented demonstration list"
_WAY, _READING, _FORM = "way of reading a list", "reading of a list", "1"
_FIELDS = (
    *("item", "kind", "size", "label", "price", "currency"),
    *("pack", "least_packs", "lead_days", "price_date"),
)
_ENDINGS = (".csv", ".txt", ".tsv", ".xlsx")
_MEDIA = {".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}
_KIND_ASKED = re.compile(r"\(kind\) is '(.*?)':")


@dataclass(frozen=True)
class HeldList:
    """A supplier's list as it is kept.

    Attributes
    ----------
    number, name : of the list
    lines : values of each offer in the order of the kept fields
    refused : line and reason of every other line
    how : which column was which
    sent : number of the file that it was read from; 0 for the demonstration
    """

    number: int
    name: str
    lines: Sequence[Sequence[Any]]
    refused: tuple[tuple[int, str], ...]
    how: ListColumns
    sent: int

    @property
    def is_demo(self) -> bool:
        """Whether its offers are invented."""
        return self.sent == 0

    @cached_property
    def currencies(self) -> tuple[str, ...]:
        """Currencies of its prices, that of most offers first."""
        at = _FIELDS.index("currency")
        found = [str(line[at]) for line in self.lines]
        return tuple(sorted(set(found), key=lambda one: (-found.count(one), one)))

    @cached_property
    def items(self) -> frozenset[str]:
        """The suppliers' numbers on it."""
        return frozenset(str(line[0]) for line in self.lines)

    @property
    def unknown_kinds(self) -> tuple[str, ...]:
        """Words for kinds of parts that nobody has said the meaning of yet."""
        return unknown_kinds(why for _, why in self.refused)

    def offers(self) -> tuple[Offer, ...]:
        """Its offers."""
        return tuple(Offer.model_validate(_given(line)) for line in self.lines)


def keep_sent(store: Store, name: str, raw: bytes) -> int:
    """Keep a file as it was sent, and give the number under which it is read.

    Raises
    ------
    InputError : a kind of file that no list comes in, or a file that cannot be opened at all
    """
    name = PurePath(name or "list.csv").name
    ending = PurePath(name).suffix.lower()
    if ending not in _ENDINGS:
        do = "Send a list as CSV or XLSX; other workbooks can be saved as XLSX in a spreadsheet program."
        raise InputError(Problem("file", name, "is none of the kinds that are read.", do))
    with _on_disk(name, raw) as path, _named(path, name):
        if ending == ".xlsx":
            open_workbook(path, "a list of offers")
        else:
            next(open_list(path).rows(), None)
    return store.keep_attachment(raw, name, _MEDIA.get(ending, "text/csv")).id


def sheets_of(store: Store, sent: int) -> tuple[str, ...]:
    """Sheets of a workbook that hold anything; none for text."""
    held = store.attachment(sent)
    if not is_workbook_name(Path(held.name)):
        return ()
    with _on_disk(held.name, held.data) as path, _named(path, held.name):
        book = open_workbook(path, "a list of offers")
        return tuple(one.name for one in book.sheets if next(one.rows(), None) is not None)


@contextmanager
def table_of(store: Store, sent: int, sheet: str = "") -> Iterator[tuple[str, ListTable]]:
    """Name and rows of a file that was sent, for as long as it is read.

    Raises
    ------
    InputError : it cannot be read
    """
    held = store.attachment(sent)
    with _on_disk(held.name, held.data) as path, _named(path, held.name):
        opened = open_list(path, sheet)
        yield held.name, ListTable(held.name, opened.sheet, opened.text)


def known_way(store: Store, table: ListTable) -> ListColumns | None:
    """How a list with the same heads was read before, on the page or by the command line."""
    first = list(islice(table.rows(), FIRST_ROWS))
    for row in first:
        found = store.result_for(_of_heads(heads_of(row)), _FORM, kind=_WAY)
        if found is not None:
            return ListColumns.model_validate(dict(found.result))
    try:
        remembered = remembered_for(first)
    except InputError:  # several ways, or a file of them that is broken: it is asked anew
        return None
    return None if remembered is None else remembered[1]


def remember(store: Store, how: ListColumns) -> None:
    """Know a list with these heads again."""
    if how.heads:
        store.keep_result(_of_heads(how.heads), _FORM, how.model_dump(), kind=_WAY)


def keep_reading(store: Store, sent: int, how: ListColumns) -> str:
    """Keep what is to be read and how, and give its key."""
    asked = {"sent": sent, "how": how.model_dump()}
    key = inputs_hash(asked)
    store.keep_result(key, _FORM, asked, kind=_READING)
    return key


def reading_under(store: Store, key: str) -> tuple[int, ListColumns]:
    """What is to be read and how.

    Raises
    ------
    NotInStore : nothing is kept under that key
    """
    found = store.result_for(key, _FORM, kind=_READING) if re.fullmatch("[0-9a-f]{64}", key) else None
    if found is None:
        raise NotInStore("list", None, "this list is not kept any more.", "Send it again.")
    return int(found.result["sent"]), ListColumns.model_validate(dict(found.result["how"]))


def read_and_keep(store: Store, sent: int, how: ListColumns, author: str, step: Progress) -> int:
    """Read a list that was sent, keep what it holds, and give its number.

    Raises
    ------
    InputError : it holds no offer, or cannot be read so
    """
    with table_of(store, sent, how.sheet) as (name, table):
        listed = load_offers(name, how=how, table=table)
    step(1, 1)
    remember(store, how)
    return keep_list(store, name, listed, sent, author)


def keep_list(store: Store, name: str, listed: OfferList, sent: int, author: str = "") -> int:
    """Keep what a list holds, and give its number."""
    content = {
        "fields": _FIELDS,
        "lines": [[getattr(one, field) for field in _FIELDS] for one in listed.offers],
        "refused": [[line, why.removeprefix(f"line {line}, ")] for line, why in listed.refused],
        "how": listed.how.model_dump(),
        "sent": sent,
    }
    source = f"file {sent}" if sent else "invented for the demonstration; nobody sells at these prices"
    return store.keep_offers(name[:200], content, source=source, author=author).id


def unknown_kinds(told: Iterable[str]) -> tuple[str, ...]:
    """Words for kinds of parts that nobody has said the meaning of, from what is told of lines.

    >>> unknown_kinds(["column B (kind) is 'wobble': must be one of nail.", "column C (size) is 'x': no."])
    ('wobble',)
    """
    found = (match[1] for why in told if (match := _KIND_ASKED.search(why)))
    return tuple(dict.fromkeys(found))[:20]


@lru_cache(maxsize=4)
def held_list(store: Store, number: int) -> HeldList:
    """A list that is kept; lists never change, so the last few stay at hand.

    Raises
    ------
    NotInStore : there is none with this number
    """
    held = store.offers(number)
    content: Mapping[str, Any] = held.content
    at = [list(content["fields"]).index(name) for name in _FIELDS]
    return HeldList(
        held.id,
        held.name,
        [[line[index] for index in at] for line in content["lines"]],
        tuple((int(line), str(why)) for line, why in content["refused"]),
        ListColumns.model_validate(content["how"]),
        int(content["sent"]),
    )


def demo_list(store: Store) -> int:
    """The number of the demonstration list, which is kept when it is asked for first."""
    for one in store.offer_lists(limit=500).items:
        if one.name == DEMO_NAME:
            return one.id
    raw = files("longhold.web").joinpath("demo_offers.csv").read_bytes()
    with _on_disk("demo_offers.csv", raw) as path:
        listed = load_offers(path)
    return keep_list(store, DEMO_NAME, listed, sent=0)


def _given(line: Sequence[Any]) -> dict[str, Any]:
    given = {name: value for name, value in zip(_FIELDS, line, strict=True) if value is not None}
    if "price_date" in given:
        given["price_date"] = date.fromisoformat(given["price_date"])
    return given


def _of_heads(heads: Iterable[str]) -> str:
    named = sorted({same_head(head) for head in heads if not re.fullmatch("column [A-Z]+", head)})
    return inputs_hash({"heads": named})


@contextmanager
def _on_disk(name: str, raw: bytes) -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"list{PurePath(name).suffix.lower()}"
        path.write_bytes(raw)
        yield path


@contextmanager
def _named(path: Path, name: str) -> Iterator[None]:
    """People know a file by the name under which they sent it, not by where it lies while it is read."""
    try:
        yield
    except InputError as error:
        raise InputError(*(_said_of(one, str(path), name) for one in error.problems)) from None


def _said_of(problem: Problem, path: str, name: str) -> Problem:
    value = name if problem.value == path else problem.value
    words = (problem.where, problem.allowed, problem.do)
    where, allowed, do = (one.replace(path, name) for one in words)
    return Problem(where, value, allowed, do)
