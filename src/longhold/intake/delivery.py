"""An order and a delivery from the lists that people have: CSV, a workbook, or a structure file."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem, each_made
from longhold.intake.delivery_heads import ORDER_COLUMNS, one_place_each, places_of
from longhold.intake.load import load
from longhold.intake.offer_columns import heads_of, kind_of, same_head
from longhold.intake.offer_numbers import BY, OtherSignError, read_count, read_price
from longhold.intake.offer_table import ListTable, open_list
from longhold.intake.sheet_fields import MAIN_SHEET
from longhold.intake.sheet_values import plain_text
from longhold.intake.workbook import Row, is_workbook_name, open_workbook
from longhold.model.delivery import DeliveredLine, Delivery, Order, OrderedLine
from longhold.model.parts import Part
from longhold.model.sizes import PartKind
from longhold.model.structure import Structure

__all__ = ["ORDER_COLUMNS", "load_delivery", "load_order", "order_of_structure"]

MOST_LINES = 20_000
_NEEDED = ("kind", "label")
_FIRST_ROWS = 40
_ORDER_SHEET, _PARTS_SHEET = "Order", "Parts"
_LAST_ITEM = "all"
_NO = frozenset({"", "no", "none", "-", "0", "false", "nein", "non"})
_ASKED = frozenset({"yes", "asked", "required", "true", "1", "x", "ja", "oui", "sí", "si"})
_DO_SIGN = "Every order is: write the price as 1234.50."
_DO_QUANTITY = "Write whole pieces, such as 500, or boxes of pieces, such as 2 x 250."


@dataclass(frozen=True)
class _List:
    """A list with its heads found."""

    table: ListTable
    place: Mapping[str, int]
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    above: tuple[str, ...] = ()

    def text(self, row: Row, name: str) -> str:
        at = self.place.get(name)
        if at is None or at >= len(row.cells):
            return ""
        cell = row.cells[at]
        if cell.fault:
            raise InputError(Problem(self.cell(row, name), None, f"{cell.fault}."))
        return "" if cell.value is None else " ".join(str(plain_text(cell.value)).split())

    def cell(self, row: Row, name: str) -> str:
        at = self.place.get(name)
        return f"line {row.number}" if at is None else f"{self.table.cell(row.number, at)} ({name})"


def load_order(
    path: str | Path, columns: Mapping[str, str] | None = None, *, sheet: str = "", certificates: bool = False
) -> Order:
    """An order: what ``longhold choose`` wrote, a list of one's own, or the parts of a structure.

    Parameters
    ----------
    path : the workbook of papers, a CSV or XLSX list, or a structure file (TOML, JSON, XLSX)
    columns : our name of a column -> its head in the file
    certificates : whether a certificate is asked for with every line, whatever the order says

    Raises
    ------
    InputError : the file cannot be read, lacks a column, holds no line, or a line says what cannot be
    """
    file = Path(path)
    try:
        order = _order(file, columns or {}, sheet)
    except InputError as error:
        raise _in_file(error, str(path)) from None
    if certificates:
        order = replace(order, lines=tuple(replace(one, certificate=True) for one in order.lines))
    return order


def load_delivery(
    path: str | Path,
    columns: Mapping[str, str] | None = None,
    *,
    sheet: str = "",
    photographed: Callable[[str], str] | None = None,
) -> Delivery:
    """Lines of what came; a kind, size or label that cannot be read stays, for somebody to ask about.

    Parameters
    ----------
    columns, sheet : as of ``load_order``
    photographed : the words on a photograph by the name that a line gives it; None reads the file of this
        name beside the list

    Raises
    ------
    InputError : the file cannot be read, lacks a column, holds no line or one twice, or a quantity cannot be
    """
    file = Path(path)
    try:
        listed = _open(file, columns or {}, sheet)
        words_of = photographed or partial(_beside, file.parent)
        lines = each_made(listed.rows, lambda row: _delivered(listed, row, words_of))
        if not lines:
            raise InputError(Problem("the file", None, "holds no delivered line.", "Write one for each box."))
        _refuse_twice(lines)
    except InputError as error:
        raise _in_file(error, str(path)) from None
    return Delivery(lines, listed.above)


def order_of_structure(structure: Structure) -> Order:
    """The parts of a structure as an order: one line for each kind, size and label."""
    together: dict[tuple[object, ...], OrderedLine] = {}
    for joint in structure.joints:
        for part in joint.parts:
            size = part.measures
            key = (part.kind, part.label, size.diameter_mm, size.length_mm, size.thickness_mm)
            had = together.get(key) or OrderedLine("", part, 0, 0)
            count = had.quantity + part.count * joint.quantity
            places = (*had.places, (joint.id, part.id))
            together[key] = replace(had, quantity=count, needed=count, places=places)
    return Order(structure.name, tuple(together.values()), (structure.note,) if structure.note else ())


def _order(file: Path, columns: Mapping[str, str], sheet: str) -> Order:
    if file.suffix.lower() in {".toml", ".json"}:
        return order_of_structure(load(file))
    if is_workbook_name(file) and not sheet:
        names = {one.name for one in open_workbook(file, "an order").sheets}
        if MAIN_SHEET in names:
            return order_of_structure(load(file))
        if {_ORDER_SHEET, _PARTS_SHEET} <= names:
            return _papers(file)
    listed = _open(file, columns, sheet)
    lines = each_made(listed.rows, partial(_ordered, listed))
    if not lines:
        raise InputError(Problem("the file", None, "holds no ordered line."))
    return Order(file.name, lines, listed.above)


def _papers(file: Path) -> Order:
    """The workbook of papers: the sheet Order, and by the sheet Parts what the pieces are for."""
    listed = _open(file, {}, _ORDER_SHEET)
    ended = next(
        (at for at, row in enumerate(listed.rows) if listed.text(row, "item").casefold() == _LAST_ITEM),
        len(listed.rows),
    )
    places = _places(file)
    lines = each_made(listed.rows[:ended], partial(_ordered, listed))
    notes = tuple(one for one in listed.above if "invented" in one.casefold())
    name = _about(file) or file.name
    return Order(name, tuple(replace(one, places=places.get(one.item, ())) for one in lines), notes)


def _about(file: Path) -> str:
    """What the papers are for, by the title of their first sheet."""
    first = next(open_list(file, "About").rows(), None)
    said = str(first.cells[0].value or "") if first and first.cells else ""
    return said.removeprefix("Papers for ") if said.startswith("Papers for ") else ""


def _places(file: Path) -> dict[str, tuple[tuple[str, str], ...]]:
    table = open_list(file, _PARTS_SHEET)
    at: dict[str, int] = {}
    found: dict[str, tuple[tuple[str, str], ...]] = {}
    for row in table.rows():
        cells = [str(cell.value or "") for cell in row.cells]
        if not at:
            if {"Joint", "Part", "Item"} <= set(cells):
                at = {name: cells.index(name) for name in ("Joint", "Part", "Item")}
            continue
        joint, part, item = (cells[at[name]] if at[name] < len(cells) else "" for name in at)
        if joint and part and item:
            found[item] = (*found.get(item, ()), (joint, part))
    return found


def _open(file: Path, columns: Mapping[str, str], sheet: str) -> _List:
    if unknown := sorted(set(columns) - set(ORDER_COLUMNS)):
        where = told_here(command="--column", page="columns")
        raise InputError(Problem(where, unknown[0], f"must be one of {', '.join(ORDER_COLUMNS)}."))
    table = open_list(file, sheet)
    rows = list(islice(table.rows(), MOST_LINES + _FIRST_ROWS + 1))
    if len(rows) > MOST_LINES + _FIRST_ROWS:
        raise InputError(Problem("the file", None, f"has more than {MOST_LINES:,} lines."))
    if not rows:
        raise InputError(Problem("the file", None, "holds no row."))
    best = max(range(min(len(rows), _FIRST_ROWS)), key=lambda at: (len(places_of(rows[at], columns)), -at))
    heads, place = heads_of(rows[best]), one_place_each(rows[best], columns)
    for name, head in columns.items():
        if name not in place:
            listed = ", ".join(heads)
            where = told_here(command="--column", page=name)
            raise InputError(Problem(where, head, f"is no head; heads are {listed}."))
    missing = [name for name in _NEEDED if name not in place]
    if "quantity" not in place and not {"packs", "pack"} <= set(place):
        missing.append("quantity")
    if missing:
        do = told_here(
            command=f"If it has another head: --column {missing[0]}=HEAD. Heads are {', '.join(heads)}.",
            page=f"If it has another head, write {missing[0]} in its place. Heads are {', '.join(heads)}.",
        )
        raise InputError(Problem("the file", None, f"has no column {' or '.join(missing)}.", do))
    above = (str(cell.value).strip() for row in rows[:best] for cell in row.cells if not cell.is_empty)
    return _List(table, place, heads, tuple(rows[best + 1 :]), tuple(above))


def _ordered(listed: _List, row: Row) -> OrderedLine:
    part, unread = _part(listed, row)
    if part is None:
        raise InputError(Problem(listed.cell(row, "kind"), None, unread))
    label = listed.text(row, "label")
    if not label:
        do = "Write what its label must read, such as ASTM A153 class D."
        raise InputError(Problem(listed.cell(row, "label"), None, "is blank.", do))
    said = listed.text(row, "certificate").casefold()
    if said not in _NO | _ASKED:
        raise InputError(
            Problem(listed.cell(row, "certificate"), said, "must be yes or no: is one asked for?")
        )
    needed = listed.text(row, "needed")
    pack = listed.text(row, "pack")
    quantity = _quantity(listed, row)
    price, currency = _price(listed, row)
    return OrderedLine(
        item=listed.text(row, "item"),
        part=part.model_copy(update={"label": label}),
        quantity=quantity,
        needed=_count(listed, row, "needed", needed) if needed else None,
        certificate=said in _ASKED,
        edition=listed.text(row, "edition"),
        places=_told_places(listed.text(row, "joints")),
        piece_price=None if price is None else price / (_count(listed, row, "pack", pack) if pack else 1),
        currency=currency,
    )


def _price(listed: _List, row: Row) -> tuple[float | None, str]:
    said = listed.text(row, "price")
    if not said:
        return None, ""
    try:
        price, codes = read_price(said, ".")
    except ValueError as error:
        do = _DO_SIGN if isinstance(error, OtherSignError) else ""
        raise InputError(Problem(listed.cell(row, "price"), said, f"{error}.", do)) from None
    head = listed.heads[listed.place["price"]]
    written = re.findall(r"\b[A-Z]{3}\b", head)
    currency = listed.text(row, "currency") or (written[-1] if written else "")
    return price, currency or (next(iter(codes)) if len(codes) == 1 else "")


def _told_places(text: str) -> tuple[tuple[str, str], ...]:
    """J02.hanger, or J02 alone: then the part of that kind and size is meant, and blank stands for it."""
    names = [one for one in re.split(r"[,;\s]+", text) if one]
    return tuple((one.partition(".")[0], one.partition(".")[2]) for one in names)


def _delivered(listed: _List, row: Row, words_of: Callable[[str], str]) -> DeliveredLine:
    part, unread = _part(listed, row)
    label, photo = listed.text(row, "label"), listed.text(row, "photo")
    if not label and photo:
        label = _photographed(listed, row, photo, words_of)
    if len(label) > Part.model_fields["label"].metadata[1].max_length:
        raise InputError(Problem(listed.cell(row, "label"), label, "is longer than a label can be."))
    certificate = listed.text(row, "certificate")
    return DeliveredLine(
        where=f"line {row.number}" if listed.table.sheet is None else f"row {row.number}",
        item=listed.text(row, "item"),
        kind=listed.text(row, "kind"),
        size=listed.text(row, "size"),
        label=label,
        quantity=_quantity(listed, row),
        certificate="" if certificate.casefold() in _NO else certificate,
        edition=listed.text(row, "edition"),
        part=part,
        unread=unread,
        photograph=photo,
    )


def _photographed(listed: _List, row: Row, photo: str, words_of: Callable[[str], str]) -> str:
    try:
        return words_of(photo)
    except InputError as error:
        where, first = listed.cell(row, "photo"), error.problems[0]
        raise InputError(Problem(where, photo, first.allowed, first.do)) from None


def _beside(folder: Path, name: str) -> str:
    from longhold.base.files import read_bytes
    from longhold.base.limits import MOST_LABEL_BYTES
    from longhold.intake.photo import read_photo

    return read_photo(read_bytes(folder / name, "a photograph", most=MOST_LABEL_BYTES)).label_words


def _part(listed: _List, row: Row) -> tuple[Part | None, str]:
    """Kind and size of a line, or why they cannot be read."""
    said, size = listed.text(row, "kind"), listed.text(row, "size")
    if not size and "size" not in listed.place:
        said, _, size = (word.strip() for word in said.partition(","))
    kind = kind_of(said, {}) or said.casefold().replace(" ", "_")
    if kind not in get_args(PartKind):
        return None, f"{said!r} is no kind that is known: {', '.join(get_args(PartKind))}"
    try:
        part = Part.model_validate({"id": "line", "kind": kind, "size": size or None, "label": "to be read"})
        _ = part.measures
    except (ValidationError, InputError):
        return None, f"the size {size!r} of a {kind.replace('_', ' ')} cannot be read"
    return part, ""


def _quantity(listed: _List, row: Row) -> int:
    if "packs" in listed.place and "pack" in listed.place:
        packs, pack = (_count(listed, row, name, listed.text(row, name)) for name in ("packs", "pack"))
        return packs * pack
    said = listed.text(row, "quantity")
    if boxes := re.fullmatch(rf"(\d{{1,9}}){BY}([\d., ]+)", said, re.IGNORECASE):
        return int(boxes[1]) * _count(listed, row, "quantity", boxes[2])
    return _count(listed, row, "quantity", said)


def _count(listed: _List, row: Row, name: str, said: str) -> int:
    try:
        found = read_count(re.sub(r"\.0+$", "", said))
    except ValueError as error:
        value = said or None
        words = "is blank." if not said else f"{error}."
        raise InputError(Problem(listed.cell(row, name), value, words, _DO_QUANTITY)) from None
    if not 1 <= found <= 100_000_000:
        raise InputError(Problem(listed.cell(row, name), said, "must be 1 or more.", _DO_QUANTITY))
    return found


def _refuse_twice(lines: Sequence[DeliveredLine]) -> None:
    seen: dict[tuple[str, ...], DeliveredLine] = {}

    def refuse_again(one: DeliveredLine) -> None:
        key = tuple(
            same_head(word)
            for word in (
                one.item,
                one.kind,
                one.size,
                one.label,
                one.certificate,
                one.edition,
                one.photograph,
            )
        )
        if (first := seen.setdefault(key, one)) is not one:
            do = "Join them into one line with all pieces, or say what tells them apart."
            raise InputError(Problem(one.where, one.words, f"says the same as {first.where}.", do))

    each_made(lines, refuse_again)


def _in_file(error: InputError, path: str) -> InputError:
    return error if error.file or error.problems[0].where == path else error.in_file(path)
