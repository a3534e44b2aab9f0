"""What comes from the site: files, readings, deliveries."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import func, select

from longhold.store.connecting import Connected
from longhold.store.errors import NotInStore, StoreDamaged, StoreError
from longhold.store.given import author_line, document_text, line, page_bounds, sha256, utc_now
from longhold.store.records import Attachment, AttachmentInfo, Delivery, Page, Reading
from longhold.store.structures import need_structure
from longhold.store.tables import AttachmentRow, DeliveryRow, ReadingRow

__all__ = ["MOST_ATTACHED_BYTES", "SiteRecords"]

MOST_ATTACHED_BYTES = 20 * 1024 * 1024
"""Largest file that is taken in."""

WORD_AT_MOST = 200
_MEDIA_TYPE = re.compile(r"[a-z0-9][a-z0-9.+-]{0,28}/[a-z0-9][a-z0-9.+-]{0,69}")


class SiteRecords(Connected):
    """Attachments, readings and deliveries; none is ever changed or deleted."""

    def keep_attachment(
        self,
        data: bytes,
        name: str,
        media_type: str,
        *,
        structure_id: int | None = None,
        joint: str = "",
        author: str = "",
    ) -> AttachmentInfo:
        """Keep a file as it was handed in.

        Parameters
        ----------
        data : 1 byte to 20 MiB
        name : of the file; only its last part is kept
        media_type : such as ``image/jpeg``
        structure_id, joint : what it is about, if that is known

        Raises
        ------
        StoreError : empty, too large, no media type
        NotInStore : no such structure
        """
        if not 0 < len(data) <= MOST_ATTACHED_BYTES:
            most = MOST_ATTACHED_BYTES // 1024**2
            said = f"must hold 1 byte to {most} MiB; it holds {len(data):,} bytes."
            raise StoreError("file", name, said, "Make it smaller and hand it in again.")
        if not _MEDIA_TYPE.fullmatch(media_type):
            raise StoreError("media_type", media_type, "must be a media type such as image/jpeg.")
        row = AttachmentRow(
            structure_id=structure_id,
            joint=line("joint", joint, WORD_AT_MOST, may_be_empty=True),
            name=line("name", re.split(r"[/\\]", name)[-1], WORD_AT_MOST),
            media_type=media_type,
            size_bytes=len(data),
            sha256=sha256(data),
            data=bytes(data),
            author=author_line(author),
            kept_at=utc_now(),
        )
        with self._writing() as session:
            if structure_id is not None:
                need_structure(session, structure_id)
            session.add(row)
            session.flush()
            return AttachmentInfo(**_attachment_facts(row))

    def attachment(self, attachment_id: int) -> Attachment:
        """One file with its bytes.

        Raises
        ------
        NotInStore : there is none
        StoreDamaged : the bytes are not those that were handed in
        """
        with self._reading() as session:
            row = session.get(AttachmentRow, attachment_id)
            if row is None:
                raise NotInStore("attachment", attachment_id, "there is none with this number in the store.")
            if sha256(row.data) != row.sha256:
                said = f"attachment {attachment_id} ({row.name!r}) is not what was handed in."
                raise StoreDamaged("the store", None, said, "Hand the file in again.")
            return Attachment(data=row.data, **_attachment_facts(row))

    def attachments(
        self, structure_id: int, *, joint: str | None = None, offset: int = 0, limit: int = 50
    ) -> Page[AttachmentInfo]:
        """Files about a structure or one joint of it, without their bytes, the newest first."""
        page_bounds(offset, limit)
        wanted = [AttachmentRow.structure_id == structure_id]
        wanted += [] if joint is None else [AttachmentRow.joint == joint]
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(AttachmentRow).where(*wanted)) or 0
            found = select(AttachmentRow).where(*wanted).order_by(AttachmentRow.id.desc())
            rows = session.scalars(found.offset(offset).limit(limit))
            return Page(tuple(AttachmentInfo(**_attachment_facts(row)) for row in rows), total, offset)

    def keep_reading(
        self,
        structure_id: int,
        kind: str,
        value: float,
        unit: str,
        *,
        taken_at: datetime,
        joint: str = "",
        part: str = "",
        detail: Mapping[str, Any] | None = None,
        author: str = "",
    ) -> Reading:
        """Keep something measured on a structure.

        Parameters
        ----------
        kind : what was measured, such as ``wood moisture``
        value, unit : how much; a finite number
        taken_at : when, with a time zone
        joint, part : where, by their ids
        detail : whatever else is known of it

        Raises
        ------
        StoreError : a value that is no finite number, a time without a zone, no unit
        NotInStore : no such structure
        """
        if not math.isfinite(value):
            raise StoreError("value", value, "must be a finite number.")
        row = ReadingRow(
            structure_id=structure_id,
            joint=line("joint", joint, WORD_AT_MOST, may_be_empty=True),
            part=line("part", part, WORD_AT_MOST, may_be_empty=True),
            kind=line("kind", kind, 100),
            value=float(value),
            unit=line("unit", unit, 40),
            detail=document_text("detail", detail or {}),
            author=author_line(author),
            taken_at=_zoned("taken_at", taken_at),
            kept_at=utc_now(),
        )
        with self._writing() as session:
            need_structure(session, structure_id)
            session.add(row)
            session.flush()
            return _reading(row)

    def readings(
        self,
        structure_id: int,
        *,
        kind: str | None = None,
        joint: str | None = None,
        offset: int = 0,
        limit: int = 500,
    ) -> Page[Reading]:
        """Readings on a structure in the order they were taken, of one kind or joint or of all."""
        page_bounds(offset, limit)
        wanted = [ReadingRow.structure_id == structure_id]
        wanted += [] if kind is None else [ReadingRow.kind == kind]
        wanted += [] if joint is None else [ReadingRow.joint == joint]
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(ReadingRow).where(*wanted)) or 0
            found = select(ReadingRow).where(*wanted).order_by(ReadingRow.taken_at, ReadingRow.id)
            return Page(
                tuple(map(_reading, session.scalars(found.offset(offset).limit(limit)))), total, offset
            )

    def keep_delivery(
        self,
        structure_id: int,
        reference: str,
        content: Mapping[str, Any],
        *,
        received_at: datetime,
        author: str = "",
    ) -> Delivery:
        """Keep goods as they were checked in.

        Parameters
        ----------
        reference : number on their papers
        content : what came, as whoever checked it wrote it
        received_at : when, with a time zone

        Raises
        ------
        StoreError : content that JSON cannot hold, a time without a zone
        NotInStore : no such structure
        """
        kept = document_text("content", content)
        row = DeliveryRow(
            structure_id=structure_id,
            reference=line("reference", reference, WORD_AT_MOST),
            content=kept,
            sha256=sha256(kept),
            author=author_line(author),
            received_at=_zoned("received_at", received_at),
            kept_at=utc_now(),
        )
        with self._writing() as session:
            need_structure(session, structure_id)
            session.add(row)
            session.flush()
            return _delivery(row)

    def deliveries(self, structure_id: int, *, offset: int = 0, limit: int = 50) -> Page[Delivery]:
        """Deliveries for a structure, the latest first."""
        page_bounds(offset, limit)
        wanted = DeliveryRow.structure_id == structure_id
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(DeliveryRow).where(wanted)) or 0
            order = (DeliveryRow.received_at.desc(), DeliveryRow.id.desc())
            found = select(DeliveryRow).where(wanted).order_by(*order).offset(offset).limit(limit)
            return Page(tuple(map(_delivery, session.scalars(found))), total, offset)


def _zoned(where: str, time: datetime) -> datetime:
    if time.tzinfo is None:
        raise StoreError(where, str(time), "must say its time zone.", "For example 2026-05-01T09:00+00:00.")
    return time


def _attachment_facts(row: AttachmentRow) -> dict[str, Any]:
    return {
        "id": row.id,
        "structure_id": row.structure_id,
        "joint": row.joint,
        "name": row.name,
        "media_type": row.media_type,
        "size_bytes": row.size_bytes,
        "sha256": row.sha256,
        "author": row.author,
        "kept_at": row.kept_at,
    }


def _reading(row: ReadingRow) -> Reading:
    return Reading(
        id=row.id,
        structure_id=row.structure_id,
        joint=row.joint,
        part=row.part,
        kind=row.kind,
        value=row.value,
        unit=row.unit,
        detail=json.loads(row.detail),
        author=row.author,
        taken_at=row.taken_at,
        kept_at=row.kept_at,
    )


def _delivery(row: DeliveryRow) -> Delivery:
    return Delivery(
        id=row.id,
        structure_id=row.structure_id,
        reference=row.reference,
        content=json.loads(row.content),
        author=row.author,
        received_at=row.received_at,
        kept_at=row.kept_at,
    )
