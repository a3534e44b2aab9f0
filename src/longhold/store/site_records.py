"""What comes from the site: files and deliveries."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from longhold.base.limits import MOST_ATTACHED_BYTES
from longhold.model.reading import picture_name
from longhold.store.connecting import Connected
from longhold.store.errors import NotInStore, StoreDamaged, StoreError
from longhold.store.given import author_line, document_text, line, page_bounds, sha256, utc_now
from longhold.store.records import Attachment, AttachmentInfo, Delivery, Page
from longhold.store.structures import lock_structure, need_structure
from longhold.store.tables import AttachmentRow, DeliveryRow

__all__ = ["MOST_ATTACHED_BYTES", "SiteRecords", "attach"]

WORD_AT_MOST = 200
_MEDIA_TYPE = re.compile(r"[a-z0-9][a-z0-9.+-]{0,28}/[a-z0-9][a-z0-9.+-]{0,69}")


class SiteRecords(Connected):
    """Attachments and deliveries; none is ever changed or deleted."""

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
        """Keep a file as it was handed in; the same file of a structure under the same name is kept once.

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
        with self._writing() as session:
            if structure_id is not None:
                need_structure(session, structure_id)
            row = attach(
                session, data, name, media_type, structure_id=structure_id, joint=joint, author=author
            )
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

    def attachment_of(self, structure_id: int, name: str, sha256_hex: str) -> Attachment:
        """One file of a structure by its name and what it holds, with its bytes.

        Raises
        ------
        NotInStore : there is none
        StoreDamaged : the bytes are not those that were handed in
        """
        same = (AttachmentRow.structure_id == structure_id) & (AttachmentRow.sha256 == sha256_hex)
        with self._reading() as session:
            wanted = select(AttachmentRow.id).where(same, AttachmentRow.name == name)
            found = session.scalars(wanted.order_by(AttachmentRow.id)).first()
        if found is None:
            raise NotInStore("attachment", name, "there is none of this name and content in the store.")
        return self.attachment(found)

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

    def keep_delivery(
        self,
        structure_id: int,
        reference: str,
        content: Mapping[str, Any],
        *,
        received_at: datetime,
        files: Sequence[tuple[str, str, bytes]] = (),
        author: str = "",
    ) -> Delivery:
        """Keep goods as they were checked in; the same content is kept once for a structure.

        Parameters
        ----------
        reference : number on their papers, or name of their file
        content : order and delivery as they were read, and what the check found
        received_at : when, with a time zone; of one that is there already, that of the first time stays
        files : name, media type and bytes of the files that it was read from, kept with it or not at all

        Raises
        ------
        StoreError : content that JSON cannot hold, a time without a zone, a file too large
        NotInStore : no such structure
        """
        kept = document_text("content", content)
        hashed, who = sha256(kept), author_line(author)
        with self._writing() as session:
            lock_structure(session, structure_id)
            for name, media_type, data in files:
                attach(session, data, name, media_type, structure_id=structure_id, author=who)
            same = (DeliveryRow.structure_id == structure_id) & (DeliveryRow.sha256 == hashed)
            row = session.scalars(select(DeliveryRow).where(same).order_by(DeliveryRow.id)).first()
            if row is None:
                row = DeliveryRow(
                    structure_id=structure_id,
                    entry=hashed,
                    reference=line("reference", reference, WORD_AT_MOST),
                    content=kept,
                    sha256=hashed,
                    author=who,
                    received_at=_zoned("received_at", received_at),
                    kept_at=utc_now(),
                )
                session.add(row)
                session.flush()
            return _delivery(row)

    def delivery(self, structure_id: int, entry: str) -> Delivery:
        """One delivery of a structure by the id under which it is kept.

        Raises
        ------
        NotInStore : none is kept under it
        """
        wanted = (DeliveryRow.structure_id == structure_id) & (DeliveryRow.entry == entry)
        with self._reading() as session:
            row = session.scalars(select(DeliveryRow).where(wanted).order_by(DeliveryRow.id)).first()
            if row is None:
                raise NotInStore("delivery", entry[:12], "none is kept under this id.")
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


def attach(
    session: Session,
    data: bytes,
    name: str,
    media_type: str,
    *,
    structure_id: int | None = None,
    joint: str = "",
    author: str = "",
) -> AttachmentRow:
    """A file put into a session, or the row of the same file where the structure has it under this name.

    Raises
    ------
    StoreError : empty, too large, no media type
    """
    if not 0 < len(data) <= MOST_ATTACHED_BYTES:
        most = MOST_ATTACHED_BYTES // 1024**2
        said = f"must hold 1 byte to {most} MiB; it holds {len(data):,} bytes."
        raise StoreError("file", name, said, "Make it smaller and hand it in again.")
    if not _MEDIA_TYPE.fullmatch(media_type):
        raise StoreError("media_type", media_type, "must be a media type such as image/jpeg.")
    hashed, called = sha256(data), line("name", picture_name(name), WORD_AT_MOST)
    if structure_id is not None:
        same = (AttachmentRow.structure_id == structure_id) & (AttachmentRow.sha256 == hashed)
        found = session.scalars(select(AttachmentRow).where(same, AttachmentRow.name == called)).first()
        if found is not None:
            return found
    row = AttachmentRow(
        structure_id=structure_id,
        joint=line("joint", joint, WORD_AT_MOST, may_be_empty=True),
        name=called,
        media_type=media_type,
        size_bytes=len(data),
        sha256=hashed,
        data=bytes(data),
        author=author_line(author),
        kept_at=utc_now(),
    )
    session.add(row)
    session.flush()
    return row


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


def _delivery(row: DeliveryRow) -> Delivery:
    return Delivery(
        id=row.id,
        structure_id=row.structure_id,
        entry=row.entry,
        reference=row.reference,
        content=json.loads(row.content),
        author=row.author,
        received_at=row.received_at,
        kept_at=row.kept_at,
    )
