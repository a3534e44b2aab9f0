"""A delivery for a kept structure: held against its order, line by line; and how many pieces to measure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from importlib.util import find_spec
from typing import Annotated

from fastapi import APIRouter, File, Form, Request, UploadFile
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.care.handed_in import photographs_alone
from longhold.care.site import CheckedIn, check_in, checked_again, keep_checked
from longhold.documents.lot_record import lot_record
from longhold.documents.operating_chart import bad_chart, mean_chart
from longhold.documents.papers.pdf import record_pdf
from longhold.documents.receipt_record import receipt_record
from longhold.documents.receipt_words import (
    EffectRow,
    InsteadRow,
    effect_rows,
    instead_rows,
    receipt_lede,
    receipt_rows,
    without_instead,
)
from longhold.documents.words import upper_first
from longhold.inspect.consequence import consequences, cost_move
from longhold.inspect.delivery import Receipt
from longhold.inspect.instead import instead
from longhold.inspect.sampling import standards
from longhold.intake.load import structure_of
from longhold.model.structure import Structure
from longhold.store import Store
from longhold.web.accounts_person import Author
from longhold.web.asked import ask_work
from longhold.web.beside import beside_fields
from longhold.web.failures import refusal
from longhold.web.files_out import attachment, today
from longhold.web.lot_asked import (
    BARE_FIELDS,
    LOT_FIELDS,
    bare_answer,
    bare_field,
    lot_answer,
    lot_field,
    lot_told,
)
from longhold.web.pages import show
from longhold.web.purchase_question import last_asked
from longhold.web.structure_pages import Kept
from longhold.web.supplier_lists import HeldList, held_list
from longhold.web.work import Progress

__all__ = ["router"]


@dataclass(frozen=True)
class _Effects:
    """Refused lines used all the same, what may take their place, and lines for which nothing may."""

    rows: tuple[EffectRow, ...]
    instead: tuple[InsteadRow, ...]
    without: tuple[str, ...]


router = APIRouter(include_in_schema=False, prefix="/structures/{number}/delivery")
_NO_PDF = str(lacking("PDF", "pdf"))
_TYPED = "typed.csv"
_LINE = re.compile(r"\bline (\d+)(?:, column [A-Z]+ \(([^)]*)\))?")
_DELIVERY_FIELDS = ("reference", "lines", "certificates")


@router.get("")
def delivery(request: Request, store: Kept, number: int) -> Response:
    """Where a delivery is sent or typed, and a lot is asked about."""
    asked = dict(request.query_params)
    return _delivery(request, store, number, {}, lot=asked, bare=asked)


@router.post("")
def sent(
    request: Request,
    store: Kept,
    author: Author,
    number: int,
    delivered: Annotated[UploadFile | None, File()] = None,
    order: Annotated[UploadFile | None, File()] = None,
    photographs: Annotated[list[UploadFile] | None, File()] = None,
    lines: Annotated[str, Form()] = "",
    reference: Annotated[str, Form()] = "",
    certificates: Annotated[str, Form()] = "",
) -> Response:
    """A delivery, checked and kept."""
    typed = {
        "reference": reference[:200],
        "lines": lines[:100_000],
        "certificates": certificates,
    }
    held = store.newest(number)
    try:
        came = _came(delivered, lines)
        asked = (order.filename, order.file.read()) if order is not None and order.filename else None
        pictures = _pictures(photographs or ())
        found = check_in(
            structure_of(dict(held.content)),
            asked,
            came,
            certificates=bool(certificates),
            photographs=pictures,
        )
        entry = keep_checked(store, held, found, reference=reference.strip(), author=author)
    except InputError as error:
        return _delivery(request, store, number, typed, problems=_by_field(error, order, lines))
    return RedirectResponse(f"/structures/{number}/delivery/{entry}", 303)


@router.get("/lot.pdf")
def lot_paper(request: Request, store: Kept, number: int) -> Response:
    """The record of a lot."""
    name = store.newest(number).name
    if find_spec("typst") is None:
        return refusal(request.scope, 503, _NO_PDF)
    found = lot_answer({name: request.query_params.get(name, "") for name in LOT_FIELDS})
    record = lot_record(found, by="", file="typed" if found.specimens else "", as_of=today())
    return Response(record_pdf(record), media_type="application/pdf", headers=attachment(f"{name} lot.pdf"))


@router.get("/lot.svg")
def lot_chart(request: Request, of: str = "mean") -> Response:
    """Operating characteristic of a lot's plan: by its true mean, or by bad pieces in it."""
    found = lot_answer({name: request.query_params.get(name, "") for name in LOT_FIELDS})
    if of == "mean" and found.curve is not None:
        return Response(mean_chart(found.curve, found.limits), media_type="image/svg+xml")
    if found.bad is None:
        raise InputError(Problem("lot", None, "has no number of pieces, so no curve."))
    return Response(bad_chart(found.bad), media_type="image/svg+xml")


@router.get("/{entry}")
def checked(request: Request, store: Kept, number: int, entry: str) -> Response:
    """A delivery that is kept: each line with its verdict."""
    found, kept = checked_again(store, number, entry)
    return show(
        "delivery_checked.html.j2",
        scope=request.scope,
        held=store.newest(number),
        kept=kept,
        lede=receipt_lede(found.receipt),
        against=_against(found),
        rows=receipt_rows(found.receipt),
        notes=found.notes,
        read=found.read,
        wrong_metal=any(one.wrong_metal for one in found.receipt.lines),
    )


@router.get("/{entry}/effect")
def effect(request: Request, store: Kept, number: int, entry: str) -> Response:
    """What lines refused for their metal would do to their joints, and what they are worth."""
    found, kept = checked_again(store, number, entry)
    held = store.at(number, int(kept.content["version"]))
    asked = last_asked(store, number)
    listed = None if asked is None else held_list(store, asked.offers)
    back = f"/structures/{number}/delivery/{entry}"
    done = ask_work(
        request,
        f"delivery {number} {entry} {held.sha256} {0 if listed is None else listed.number}",
        f"Refused lines of {kept.reference}, used all the same",
        back,
        partial(_effects, found.receipt, structure_of(dict(held.content)), listed),
    )
    if done.instead is not None:
        return done.instead
    return show(
        "delivery_effect.html.j2",
        scope=request.scope,
        held=held,
        kept=kept,
        back=back,
        rows=done.found.rows,
        instead=done.found.instead,
        without=done.found.without,
        listed=listed,
        choice=None if asked is None else asked.key,
    )


def _effects(receipt: Receipt, structure: Structure, listed: HeldList | None, step: Progress) -> _Effects:
    offers = () if listed is None else listed.offers()
    most = 1 if listed is None else 2
    found = consequences(receipt, structure, progress=lambda done, total: step(done, most * total))
    order = receipt.order
    other = instead(
        found, order, structure, offers, progress=lambda done, total: step(total + done, most * total)
    )
    rows = effect_rows(found, [cost_move(one.line, offers) for one in found])
    return _Effects(rows, instead_rows(other), without_instead(found, other))


@router.get("/{entry}/record.pdf")
def record(request: Request, store: Kept, number: int, entry: str) -> Response:
    """The record of the check."""
    if find_spec("typst") is None:
        return refusal(request.scope, 503, _NO_PDF)
    found, kept = checked_again(store, number, entry)
    paper = receipt_record(
        found.receipt,
        (),
        by=kept.author,
        file=found.delivered,
        notes=found.notes,
        as_of=kept.received_at.date(),
        made="",
    )
    name = f"{store.newest(number).name} delivery {kept.reference}.pdf"
    return Response(record_pdf(paper), media_type="application/pdf", headers=attachment(name))


def _against(found: CheckedIn) -> str:
    return f"the order {found.files[0][0]}" if len(found.files) > 1 else "the parts of the structure"


def _came(delivered: UploadFile | None, lines: str) -> tuple[str, bytes]:
    chosen = delivered is not None and bool(delivered.filename)
    if chosen == bool(lines.strip()):
        said = (
            "give one of the two, a file or typed lines." if chosen else "choose a file, or type its lines."
        )
        raise InputError(Problem("delivered", None, said))
    if delivered is not None and chosen:
        return delivered.filename or "delivery.csv", delivered.file.read()
    heads = "" if _has_heads(lines) else "kind,size,label,quantity,photo\n"
    return _TYPED, f"{heads}{lines.strip()}\n".encode()


def _has_heads(lines: str) -> bool:
    """Whether the first of the typed lines names columns."""
    first = {word.strip() for word in lines.strip().partition("\n")[0].casefold().split(",")}
    return bool({"kind", "label", "photo"} & first)


def _as_typed(line: re.Match[str], has_heads: bool) -> str:
    """A line of the table that was made of typed lines, by its number among these."""
    return f"line {int(line[1]) - (not has_heads)}{f', {line[2]}' if line[2] else ''}"


def _pictures(files: Sequence[UploadFile]) -> dict[str, bytes]:
    try:
        return photographs_alone([(one.filename, one.file.read()) for one in files if one.filename])
    except InputError as error:
        said = (f"{one.value} {one.allowed} {one.do}".strip() for one in error.problems)
        raise InputError(*(Problem("photographs", None, one) for one in said)) from None


def _by_field(error: InputError, order: UploadFile | None, lines: str) -> dict[str, list[str]]:
    has_heads = _has_heads(lines)
    of_order = order is not None and bool(order.filename) and error.file == order.filename
    found: dict[str, list[str]] = {}
    for one in error.problems:
        here = one.where in ("order", "delivered", "photographs")
        name = one.where if here else "order" if of_order else "delivered"
        words = one.allowed if one.where == name and one.value is None else str(one)
        if error.file == _TYPED:
            name, words = "lines", _LINE.sub(lambda found: _as_typed(found, has_heads), words)
        found.setdefault(name, []).append(upper_first(words))
    return found


def _delivery(
    request: Request,
    store: Store,
    number: int,
    typed: Mapping[str, str],
    problems: Mapping[str, list[str]] | None = None,
    lot: Mapping[str, str] | None = None,
    bare: Mapping[str, str] | None = None,
) -> Response:
    asked = {name: (lot or {}).get(name, "").strip()[:4000] for name in LOT_FIELDS}
    spots = {name: (bare or {}).get(name, "").strip()[:4000] for name in BARE_FIELDS}
    wrong, told, repairs = dict(problems or {}), None, None
    if spots["area"] or spots["spots"]:
        try:
            repairs = bare_answer(spots)
        except InputError as error:
            wrong |= beside_fields(error.problems, bare_field)
    if asked["lot"] or asked["label"] or asked["least"]:
        try:
            told = lot_answer(asked)
        except InputError as error:
            wrong |= beside_fields(error.problems, lot_field)
    return show(
        "delivery.html.j2",
        scope=request.scope,
        status=422 if wrong else 200,
        held=store.newest(number),
        deliveries=store.deliveries(number, limit=20).items,
        typed={name: typed.get(name, "") for name in _DELIVERY_FIELDS},
        problems=wrong,
        standards=[(name, one.name) for name, one in standards().items()],
        lot=asked,
        query=request.url.query,
        told=None if told is None else lot_told(told),
        bare=spots,
        repairs=repairs,
    )
