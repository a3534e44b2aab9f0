"""For programs and the field form: readings and deliveries of a kept structure, and a lot that is sampled."""

from __future__ import annotations

import base64
import binascii
from datetime import datetime
from pathlib import PurePath
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Request, Response
from pydantic import Field

from longhold.base.errors import InputError, Problem
from longhold.base.limits import MOST_PHOTO_BYTES
from longhold.care.handed_in import too_large
from longhold.care.site import (
    check_in,
    checked_again,
    keep_checked,
    keep_table,
    kept_readings,
    sent_as_file,
)
from longhold.documents.receipt_exchange import lot_json, receipt_json
from longhold.documents.receipt_words import left_aside_words
from longhold.inspect.acceptance import Specimen
from longhold.inspect.check import check_lot
from longhold.inspect.observed import refuse_misfit
from longhold.inspect.sampling import MOST_PIECES, edition_in, plan_for, standard_named
from longhold.intake.gauge_readings import load_readings
from longhold.intake.load import structure_of
from longhold.intake.lot_words import lot_limits, read_area, read_gauge
from longhold.intake.offers import load_offers
from longhold.intake.photo_file import picture_fault
from longhold.intake.readings import reading_from
from longhold.model.structure import Structure
from longhold.store import WHY_AT_MOST, GivenReading, KeptReading, NotInStore, Store
from longhold.web.accounts_person import Author
from longhold.web.api_common import LIMIT, PROBLEMS, Id, Limit, Offset, Shape
from longhold.web.api_jobs import Draws, JobItem, Seed
from longhold.web.jobs import READINGS, REFUSED
from longhold.web.structure_pages import Kept

__all__ = ["router"]

router = APIRouter(prefix="/api", tags=["structures"], responses=PROBLEMS)
_Text = Annotated[str, Field(max_length=300)]
_Note = Annotated[str, Field(max_length=2000)]
_Table = Annotated[str, Field(min_length=1, max_length=10_000_000, description="The text of the CSV file.")]
_Name = Annotated[str, Field(min_length=1, max_length=200, description="Name of the file.")]


class Photo(Shape):
    """A photograph of an entry."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    media_type: Literal["image/jpeg", "image/png", "image/webp"] = "image/jpeg"
    data: Annotated[str, Field(min_length=1, description="Its bytes in base64.")]


class Entry(Shape):
    """One reading as it was typed; every text with its unit, as in a table of readings."""

    id: Annotated[str, Field(pattern="^[0-9A-Za-z-]{1,64}$", description="Made where it was typed.")]
    joint: _Text = ""
    piece: _Text = ""
    part: _Text = ""
    face: _Text = ""
    date: _Text = ""
    measured: _Text = ""
    reading: _Text = ""
    uncertainty: _Text = ""
    spots: _Text = ""
    size_when_new: _Text = ""
    instrument: _Text = ""
    note: _Note = ""
    photograph: Photo | None = None


class Entries(Shape):
    """Entries that are sent together; each is kept or refused by itself."""

    entries: Annotated[list[Entry], Field(min_length=1, max_length=200)]


class EntryAnswer(Shape):
    """What came of one entry."""

    id: str
    state: Literal["kept", "had", "refused"]
    said: str = Field(default="", description="Of a refused one: what is wrong and what to do.")


class Answers(Shape):
    """What came of each entry, in their order."""

    answers: list[EntryAnswer]


class TableSent(Shape):
    """A table of readings."""

    name: _Name = "readings.csv"
    table: _Table


class TableAnswer(Shape):
    """What came of a table."""

    new: int
    already: int
    repeated: list[str]
    missing: list[str] = Field(description="Photographs that it names and that are not kept.")


class TurnSent(Shape):
    """Whether a reading counts, and why."""

    counts: bool
    why: Annotated[str, Field(max_length=WHY_AT_MOST)] = ""


class TurnItem(TurnSent):
    """The same with who said so, and when."""

    author: str
    turned_at: datetime


class ReadingItem(Shape):
    """A reading that is kept; ``turn`` tells of one that was ever taken back."""

    entry: str
    reading: dict[str, Any]
    source: str
    author: str
    kept_at: datetime
    counts: bool
    turn: TurnItem | None


class PageOfReadings(Shape):
    """Some readings, by date."""

    items: list[ReadingItem]
    total: int
    offset: int
    next_offset: int | None


class ListSent(Shape):
    """A list as CSV."""

    name: _Name
    table: _Table


class DeliverySent(Shape):
    """A delivery and what was ordered."""

    delivered: ListSent
    order: Annotated[ListSent | None, Field(description="Without one, the structure's own parts.")] = None
    reference: Annotated[str, Field(max_length=200, description="Number on the papers.")] = ""
    certificates: bool = False


class EffectsSent(Shape):
    """Offers among which refused lines may find what takes their place."""

    offers: Annotated[ListSent | None, Field(description="Without them ``instead`` is null.")] = None
    draws: Draws = 2000
    seed: Seed = 1


class DeliveryItem(Shape):
    """A delivery that is kept."""

    entry: str
    reference: str
    content: dict[str, Any]
    author: str
    received_at: datetime


class PageOfDeliveries(Shape):
    """Some deliveries, the latest first."""

    items: list[DeliveryItem]
    total: int
    offset: int
    next_offset: int | None


class LotSent(Shape):
    """A lot: the standard, how many pieces, and what they must show."""

    standard: Annotated[str, Field(min_length=1, max_length=100)]
    lot: Annotated[int, Field(ge=1, le=MOST_PIECES)]
    label: _Text = ""
    least: _Text = ""
    surface: _Text = ""
    pieces: Annotated[int | None, Field(ge=1, le=MOST_PIECES)] = None
    gauge: _Text = ""
    readings: ListSent | None = None


@router.get("/structures/{number}/readings", summary="List the readings of a structure")
def readings(store: Kept, number: Id, offset: Offset = 0, limit: Limit = LIMIT) -> PageOfReadings:
    """Every reading that is kept with a structure, by date, those taken back too."""
    store.structure(number)
    page = store.readings(number, offset=offset, limit=limit)
    items = [_reading_item(one) for one in page.items]
    return PageOfReadings(items=items, total=page.total, offset=page.offset, next_offset=page.next_offset)


@router.put("/structures/{number}/readings/{entry}/turn", summary="Take a reading back, or let it count")
def turn_reading(
    store: Kept, author: Author, number: Id, entry: Annotated[str, Path(max_length=64)], sent: TurnSent
) -> ReadingItem:
    """A reading taken back stays kept and is counted nowhere, until it is let count again."""
    return _reading_item(store.turn_reading(number, entry, counts=sent.counts, why=sent.why, author=author))


@router.post("/structures/{number}/readings", summary="Keep readings as they were typed")
def keep_entries(store: Kept, author: Author, number: Id, sent: Entries) -> Answers:
    """Keep each entry once, however often it is sent; the answer says of each what came of it."""
    structure = structure_of(dict(store.newest(number).content))
    return Answers(answers=[_kept(store, number, structure, one, author) for one in sent.entries])


@router.post("/structures/{number}/readings/table", summary="Keep a table of readings")
def keep_whole_table(store: Kept, author: Author, number: Id, sent: TableSent) -> TableAnswer:
    """Keep a CSV table and every reading of it, all or nothing; see docs/readings.md for its columns."""
    return TableAnswer.model_validate(
        keep_table(store, number, sent.name, sent.table.encode(), author=author)
    )


@router.post(
    "/structures/{number}/readings/forecast",
    summary="Forecast from the readings that are kept",
    status_code=202,
)
def forecast(request: Request, store: Kept, author: Author, number: Id, response: Response) -> JobItem:
    """Queue what the readings leave of the forecast; the result is that of ``longhold readings --json``."""
    held = store.newest(number)
    structure_of(dict(held.content))
    kept = [
        one.reading.model_dump(mode="json", exclude_defaults=True) for one in kept_readings(store, number)
    ]
    if not kept:
        raise InputError(Problem("readings", None, "none is kept yet.", "Send one first."))
    inputs = {"structure": dict(held.content), "readings": kept, "draws": 2000, "seed": 1}
    queued = store.queue_job(READINGS, inputs, author=author, once=True)
    request.app.state.jobs.wake()
    response.headers["location"] = f"/api/jobs/{queued.id}"
    return JobItem.model_validate(queued)


@router.get("/structures/{number}/deliveries", summary="List the deliveries of a structure")
def deliveries(store: Kept, number: Id, offset: Offset = 0, limit: Limit = LIMIT) -> PageOfDeliveries:
    """Every delivery that is kept with a structure, the latest first."""
    store.structure(number)
    page = store.deliveries(number, offset=offset, limit=limit)
    items = [DeliveryItem.model_validate(one) for one in page.items]
    return PageOfDeliveries(items=items, total=page.total, offset=page.offset, next_offset=page.next_offset)


@router.post("/structures/{number}/deliveries", summary="Check a delivery and keep it")
def keep_delivery(store: Kept, author: Author, number: Id, sent: DeliverySent) -> dict[str, Any]:
    """Hold a delivery against its order and keep both; the document of ``longhold receive --json``.

    What refused lines would do takes a while and is a job: ``effects`` is empty and ``instead`` null here.
    Ask ``/deliveries/{entry}/effects`` for them, by the ``entry`` that is given.
    """
    held = store.newest(number)
    structure = structure_of(dict(held.content))
    order = None if sent.order is None else (sent.order.name, sent.order.table.encode())
    delivered = (sent.delivered.name, sent.delivered.table.encode())
    found = check_in(structure, order, delivered, certificates=sent.certificates)
    entry = keep_checked(store, held, found, reference=sent.reference, author=author)
    return {**receipt_json(found.receipt, (), found.notes), "entry": entry}


@router.post(
    "/structures/{number}/deliveries/{entry}/effects",
    summary="Tell what refused lines of a delivery would do",
    status_code=202,
)
def effects(
    request: Request,
    store: Kept,
    author: Author,
    number: Id,
    entry: str,
    sent: EffectsSent,
    response: Response,
) -> JobItem:
    """Queue what refused lines would do to their joints, and which offers may take their place.

    The result is that of ``longhold receive --structure --json``, with ``--offers`` where offers are sent, of
    the version of the structure that the delivery was held against.
    """
    _, kept = checked_again(store, number, entry)
    offers: list[dict[str, Any]] = []
    left_aside: tuple[str, ...] = ()
    if sent.offers is not None:
        with sent_as_file(sent.offers.name, sent.offers.table.encode()) as path:
            listed = load_offers(path)
        offers = [one.model_dump(mode="json", exclude_defaults=True) for one in listed.offers]
        left_aside = left_aside_words(listed.refused, PurePath(sent.offers.name).name)
    inputs = {
        "structure_id": number,
        "entry": kept.entry,
        "version": int(kept.content["version"]),
        "offers": offers,
        "left_aside": list(left_aside),
        "draws": sent.draws,
        "seed": sent.seed,
    }
    queued = store.queue_job(REFUSED, inputs, author=author, once=True)
    request.app.state.jobs.wake()
    response.headers["location"] = f"/api/jobs/{queued.id}"
    return JobItem.model_validate(queued)


@router.post("/lots", summary="Sample a lot", tags=["structures"])
def lot(sent: LotSent) -> dict[str, Any]:
    """How many pieces are measured, and what readings decide: the document of ``longhold sample --json``."""
    named = standard_named(sent.standard)
    asked = lot_limits(sent.label, sent.least, named)
    surface = read_area(sent.surface, "surface") if sent.surface else None
    plan = plan_for(
        named, sent.lot, surface_cm2=surface, pieces=sent.pieces, edition=edition_in(sent.standard)
    )
    specimens: tuple[Specimen, ...] = ()
    if sent.readings is not None:
        with sent_as_file(sent.readings.name, sent.readings.table.encode()) as path:
            specimens = load_readings(path)
    return lot_json(check_lot(plan, asked, specimens, read_gauge(sent.gauge, "gauge")))


def _reading_item(kept: KeptReading) -> ReadingItem:
    return ReadingItem(
        entry=kept.entry,
        reading=kept.reading.model_dump(mode="json"),
        source=kept.source,
        author=kept.author,
        kept_at=kept.kept_at,
        counts=kept.counts,
        turn=kept.turn and TurnItem.model_validate(kept.turn),
    )


def _kept(store: Store, number: int, structure: Structure, sent: Entry, author: str) -> EntryAnswer:
    try:
        given = _given(structure, sent)
        done = store.keep_readings(number, [given], source="field form", author=author)[0]
    except NotInStore:
        raise  # nothing is wrong with the entry: it stays where it was typed and is sent again
    except InputError as error:
        said = " ".join(str(one) for one in error.problems)
        return EntryAnswer(id=sent.id, state="refused", said=said)
    return EntryAnswer(id=sent.id, state="kept" if done.is_new else "had")


def _given(structure: Structure, sent: Entry) -> GivenReading:
    texts = sent.model_dump(exclude={"id", "photograph", "size_when_new"})
    texts |= {"size when new": sent.size_when_new}
    photo = sent.photograph
    if photo is not None:
        texts["photograph"] = photo.name
    reading = reading_from(texts)
    refuse_misfit(structure, reading)
    if photo is None:
        return GivenReading(reading=reading, entry=sent.id)
    return GivenReading(
        reading=reading, entry=sent.id, photograph=_picture(photo), media_type=photo.media_type
    )


def _picture(photo: Photo) -> bytes:
    if len(photo.data) > MOST_PHOTO_BYTES * 4 // 3 + 4:
        raise InputError(too_large(photo.name, "photograph"))
    try:
        data = base64.b64decode(photo.data, validate=True)
    except (binascii.Error, ValueError):
        raise InputError(Problem("photograph", photo.name, "is not base64.", "Attach it again.")) from None
    if (said := picture_fault(data)) is not None:
        raise InputError(Problem("photograph", photo.name, said, "Attach the picture itself."))
    return data
