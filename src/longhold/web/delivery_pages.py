"""A delivery for a kept structure: held against its order, line by line; and how many pieces to measure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from importlib.util import find_spec
from typing import Annotated, Literal

from fastapi import APIRouter, File, Form, Request, UploadFile
from starlette.responses import RedirectResponse, Response

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.care.handed_in import photographs_alone
from longhold.care.refused import refused
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
    left_aside_words,
    priced_words,
    receipt_lede,
    receipt_rows,
    without_instead,
)
from longhold.inspect.consequence import cost_move
from longhold.inspect.delivery import Receipt
from longhold.intake.load import structure_of
from longhold.model.structure import Structure
from longhold.store import Delivery, Store, Version
from longhold.web.accounts_person import Author
from longhold.web.asked import Asked, ask_work
from longhold.web.beside import as_typed, beside_fields, sentence
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
    standard_chosen,
    standards_offered,
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
_TYPED, _HEADLESS = _BY_HAND = ("typed.csv", "typed lines.csv")
_DRAWS, _SEED = 2000, 1
_MADE = f"{_DRAWS:,} draws, seed {_SEED}"
_NO_PDF = str(lacking("PDF", "pdf"))
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
        called = reference.strip() or ("typed lines" if came[0] in _BY_HAND else "")
        entry = keep_checked(store, held, found, reference=called, author=author)
    except InputError as error:
        return _delivery(request, store, number, typed, problems=_by_field(error, order))
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
def lot_chart(request: Request, of: Literal["mean", "bad"] = "mean") -> Response:
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
    asked = last_asked(store, number)
    listed = None if asked is None else held_list(store, asked.offers)
    held = store.at(number, int(kept.content["version"]))
    back = f"/structures/{number}/delivery/{entry}"
    done = _effects_asked(request, held, kept, found.receipt, listed)
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
        left_aside=() if listed is None else left_aside_words(listed.refused, listed.name),
        choice=None if asked is None else asked.key,
    )


@router.get("/{entry}/effect.pdf")
def effect_record(request: Request, store: Kept, number: int, entry: str) -> Response:
    """The record of the check with what refused lines would do, and what may take their place."""
    if find_spec("typst") is None:
        return refusal(request.scope, 503, _NO_PDF)
    found, kept = checked_again(store, number, entry)
    asked = last_asked(store, number)
    listed = None if asked is None else held_list(store, asked.offers)
    held = store.at(number, int(kept.content["version"]))
    done = _effects_asked(request, held, kept, found.receipt, listed)
    if done.instead is not None:
        return RedirectResponse(f"/structures/{number}/delivery/{entry}/effect", 303)
    priced = (
        ()
        if listed is None
        else (
            priced_words(listed.name, invented=listed.is_demo),
            *left_aside_words(listed.refused, listed.name),
        )
    )
    return _record(store, number, replace(found, notes=(*found.notes, *priced)), kept, done.found)


def _effects_asked(
    request: Request, held: Version, kept: Delivery, receipt: Receipt, listed: HeldList | None
) -> Asked[_Effects]:
    number = held.structure_id
    return ask_work(
        request,
        f"delivery {number} {kept.entry} {held.sha256} {0 if listed is None else listed.number}",
        f"Refused lines of {kept.reference}, used all the same",
        f"/structures/{number}/delivery/{kept.entry}",
        partial(_effects, receipt, structure_of(dict(held.content)), listed),
    )


def _effects(receipt: Receipt, structure: Structure, listed: HeldList | None, step: Progress) -> _Effects:
    offers = () if listed is None else listed.offers()
    told = refused(receipt, structure, offers, step, draws=_DRAWS, seed=_SEED)
    rows = effect_rows(told.found, [cost_move(one.line, offers) for one in told.found])
    return _Effects(rows, instead_rows(told.other), without_instead(told.found, told.other))


@router.get("/{entry}/record.pdf")
def record(request: Request, store: Kept, number: int, entry: str) -> Response:
    """The record of the check."""
    if find_spec("typst") is None:
        return refusal(request.scope, 503, _NO_PDF)
    found, kept = checked_again(store, number, entry)
    return _record(store, number, found, kept, None)


def _record(
    store: Store, number: int, found: CheckedIn, kept: Delivery, effects: _Effects | None
) -> Response:
    paper = receipt_record(
        *(found.receipt, () if effects is None else effects.rows, () if effects is None else effects.instead),
        by=kept.author,
        file=found.delivered,
        notes=found.notes,
        as_of=kept.received_at.date(),
        made="" if effects is None else _MADE,
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
    typed = lines.strip()
    heads = typed.partition("\n")[0].casefold().split(",")
    if {"kind", "label", "photo"}.intersection(word.strip() for word in heads):
        return _TYPED, f"{typed}\n".encode()
    return _HEADLESS, f"kind,size,label,quantity,photo\n{typed}\n".encode()


def _pictures(files: Sequence[UploadFile]) -> dict[str, bytes]:
    try:
        return photographs_alone([(one.filename, one.file.read()) for one in files if one.filename])
    except InputError as error:
        said = (f"{one.value} {one.allowed} {one.do}".strip() for one in error.problems)
        raise InputError(*(Problem("photographs", None, one) for one in said)) from None


def _by_field(error: InputError, order: UploadFile | None) -> dict[str, list[str]]:
    is_typed = error.file in _BY_HAND
    ordered = (order.filename or "") if order is not None else ""
    found: dict[str, list[str]] = {}
    told = as_typed(error, above=int(error.file == _HEADLESS)) if is_typed else error
    for one in told.problems:
        here = one.where in ("order", "delivered", "photographs")
        of_order = bool(ordered) and ordered in (error.file, one.where)
        name = one.where if here else "order" if of_order else "delivered"
        words = one.allowed if one.where == name and one.value is None else str(one)
        name = "lines" if is_typed else name
        found.setdefault(name, []).append(sentence(words))
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
    asked = {name: (lot or {}).get(name, "").strip() for name in LOT_FIELDS}
    spots = {name: (bare or {}).get(name, "").strip() for name in BARE_FIELDS}
    wrong, told, repairs = dict(problems or {}), None, None
    of_spots: dict[str, list[str]] = {}
    of_asked: dict[str, list[str]] = {}
    if bare and set(BARE_FIELDS) & set(bare):
        try:
            repairs = bare_answer(spots)
        except InputError as error:
            of_spots = beside_fields(error.problems, bare_field)
    if lot and set(LOT_FIELDS) & set(lot):
        try:
            told = lot_answer(asked)
        except InputError as error:
            of_asked = beside_fields(error.problems, lot_field)
    wrong |= of_spots | of_asked
    of_lot, of_bare = standard_chosen(asked["standard"]), standard_chosen(spots["by"])
    return show(
        "delivery.html.j2",
        scope=request.scope,
        status=422 if wrong else 200,
        alone=lot is not None,  # the script puts one section in its place, and leaves what stands around it
        held=store.newest(number),
        deliveries=store.deliveries(number, limit=20).items,
        typed={name: typed.get(name, "") for name in _DELIVERY_FIELDS},
        problems=wrong,
        unplaced={"lot": of_asked.get("", []), "bare": of_spots.get("", [])},
        files_again=bool(problems),
        lot=asked | {"standard": of_lot},
        lot_standards=standards_offered(of_lot, "as the label says"),
        query=request.url.query,
        told=None if told is None else lot_told(told),
        bare=spots | {"by": of_bare},
        bare_standards=standards_offered(of_bare, "choose"),
        repairs=repairs,
    )
