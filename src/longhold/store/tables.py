"""The tables of a store, as the newest migration leaves them.

JSON is kept as text on every database, so that what is read is what was hashed; times are in UTC.
"""

from __future__ import annotations

import datetime
from typing import Any

from sqlalchemy import (
    CheckConstraint,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    String,
    Text,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column
from sqlalchemy.types import TypeDecorator

__all__ = [
    "AccountRow",
    "AttachmentRow",
    "DeliveryRow",
    "JobRow",
    "OfferListRow",
    "ReadingRow",
    "ReadingTurnRow",
    "ResultRow",
    "Row",
    "SessionRow",
    "StructureRow",
    "UtcTime",
    "VersionRow",
    "WaitingRow",
]

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class UtcTime(TypeDecorator[datetime.datetime]):
    """A time with its zone, kept in UTC on databases that know zones and on those that do not."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime.datetime | None, dialect: Dialect) -> Any:
        """To the database: UTC."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone cannot be kept")
        there = value.astimezone(datetime.UTC)
        return there.replace(tzinfo=None) if dialect.name == "sqlite" else there

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime.datetime | None:  # noqa: ARG002
        """From the database: UTC."""
        if value is None:
            return None
        found: datetime.datetime = value
        return found.replace(tzinfo=datetime.UTC) if found.tzinfo is None else found.astimezone(datetime.UTC)


class Row(DeclarativeBase):
    """Base of all rows."""

    metadata = MetaData(naming_convention=NAMING)
    type_annotation_map = {datetime.datetime: UtcTime}  # noqa: RUF012 - as SQLAlchemy reads it


class StructureRow(Row):
    """A structure: its name and which version is its newest."""

    __tablename__ = "structures"
    __table_args__ = (
        Index(
            "uq_structures_name_key_in_use",
            "name_key",
            unique=True,
            sqlite_where=text("archived_at IS NULL"),
            postgresql_where=text("archived_at IS NULL"),
        ),
        {"sqlite_autoincrement": True},
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    name_key: Mapped[str] = mapped_column(Text)
    newest: Mapped[int]
    saved_at: Mapped[datetime.datetime] = mapped_column(index=True)
    created_at: Mapped[datetime.datetime]
    archived_at: Mapped[datetime.datetime | None]


class VersionRow(Row):
    """One save of a structure; never changed, never deleted."""

    __tablename__ = "versions"
    __table_args__ = (UniqueConstraint("structure_id", "number"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    structure_id: Mapped[int] = mapped_column(ForeignKey("structures.id"))
    number: Mapped[int]
    content: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    parent: Mapped[int | None]
    restored_from: Mapped[int | None]
    author: Mapped[str] = mapped_column(String(200))
    note: Mapped[str] = mapped_column(Text)
    saved_at: Mapped[datetime.datetime]


class ResultRow(Row):
    """What one release of the code answered to some inputs."""

    __tablename__ = "results"
    __table_args__ = (UniqueConstraint("inputs_hash", "code_version", "kind"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    structure_id: Mapped[int | None] = mapped_column(ForeignKey("structures.id"), index=True)
    number: Mapped[int | None]
    kind: Mapped[str] = mapped_column(String(100))
    inputs_hash: Mapped[str] = mapped_column(String(64))
    code_version: Mapped[str] = mapped_column(String(100))
    result: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    kept_at: Mapped[datetime.datetime]


class OfferListRow(Row):
    """A supplier's list as it was read on one day."""

    __tablename__ = "offer_lists"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    source: Mapped[str] = mapped_column(Text)
    content: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    author: Mapped[str] = mapped_column(String(200))
    kept_at: Mapped[datetime.datetime] = mapped_column(index=True)
    archived_at: Mapped[datetime.datetime | None]


class AccountRow(Row):
    """Someone who may sign in."""

    __tablename__ = "accounts"
    __table_args__ = (
        UniqueConstraint("name_key"),
        CheckConstraint("role IN ('viewer', 'editor', 'owner')", name="role"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    name_key: Mapped[str] = mapped_column(Text)
    role: Mapped[str] = mapped_column(String(20))
    password_hash: Mapped[str] = mapped_column(Text)
    created_at: Mapped[datetime.datetime]
    closed_at: Mapped[datetime.datetime | None]


class SessionRow(Row):
    """Someone who is signed in; the token itself is never kept, only its hash."""

    __tablename__ = "sessions"
    __table_args__ = (UniqueConstraint("token_hash"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    token_hash: Mapped[str] = mapped_column(String(64))
    account_id: Mapped[int] = mapped_column(ForeignKey("accounts.id"), index=True)
    opened_at: Mapped[datetime.datetime]
    expires_at: Mapped[datetime.datetime] = mapped_column(index=True)


class JobRow(Row):
    """A computation that was asked for; ``worker`` is the process that runs it."""

    __tablename__ = "jobs"
    __table_args__ = (
        CheckConstraint(
            "state IN ('queued', 'running', 'done', 'failed', 'canceled', 'interrupted')", name="state"
        ),
        CheckConstraint("progress >= 0 AND progress <= 1", name="progress"),
        Index("ix_jobs_state_id", "state", "id"),
        Index("ix_jobs_inputs_hash_kind", "inputs_hash", "kind"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(100))
    inputs: Mapped[str] = mapped_column(Text)
    inputs_hash: Mapped[str] = mapped_column(String(64))
    author: Mapped[str] = mapped_column(String(200))
    state: Mapped[str] = mapped_column(String(20))
    progress: Mapped[float] = mapped_column(Float)
    stage: Mapped[str] = mapped_column(Text)
    result: Mapped[str | None] = mapped_column(Text)
    fault: Mapped[str] = mapped_column(Text)
    attempt: Mapped[int]
    worker: Mapped[str] = mapped_column(Text)
    queued_at: Mapped[datetime.datetime]
    started_at: Mapped[datetime.datetime | None]
    heard_at: Mapped[datetime.datetime | None]
    ended_at: Mapped[datetime.datetime | None]


class AttachmentRow(Row):
    """A file as it was handed in, such as a photograph."""

    __tablename__ = "attachments"

    id: Mapped[int] = mapped_column(primary_key=True)
    structure_id: Mapped[int | None] = mapped_column(ForeignKey("structures.id"), index=True)
    joint: Mapped[str] = mapped_column(String(200))
    name: Mapped[str] = mapped_column(String(200))
    media_type: Mapped[str] = mapped_column(String(100))
    size_bytes: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    data: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    author: Mapped[str] = mapped_column(String(200))
    kept_at: Mapped[datetime.datetime]


class ReadingRow(Row):
    """A reading on a structure, whole as JSON; ``entry`` is the same however often it is sent."""

    __tablename__ = "readings"
    __table_args__ = (
        UniqueConstraint("structure_id", "entry"),
        Index("ix_readings_structure_id_taken_on", "structure_id", "taken_on"),
        Index("ix_readings_structure_id_sha256", "structure_id", "sha256"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    structure_id: Mapped[int] = mapped_column(ForeignKey("structures.id"))
    entry: Mapped[str] = mapped_column(String(100))
    joint: Mapped[str] = mapped_column(String(200))
    part: Mapped[str] = mapped_column(String(200))
    kind: Mapped[str] = mapped_column(String(100))
    content: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    source: Mapped[str] = mapped_column(String(200))
    author: Mapped[str] = mapped_column(String(200))
    taken_on: Mapped[datetime.date] = mapped_column(Date)
    kept_at: Mapped[datetime.datetime]


class ReadingTurnRow(Row):
    """A reading taken back, or let count again; the last of them is how it stands."""

    __tablename__ = "reading_turns"

    id: Mapped[int] = mapped_column(primary_key=True)
    reading_id: Mapped[int] = mapped_column(ForeignKey("readings.id"), index=True)
    counts: Mapped[bool]
    why: Mapped[str] = mapped_column(Text)
    author: Mapped[str] = mapped_column(String(200))
    turned_at: Mapped[datetime.datetime]


class DeliveryRow(Row):
    """Goods that came to the site, as they were checked in; ``entry`` follows from what is kept of them."""

    __tablename__ = "deliveries"
    __table_args__ = (
        UniqueConstraint("structure_id", "entry"),
        Index("ix_deliveries_structure_id_received_at", "structure_id", "received_at"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    structure_id: Mapped[int] = mapped_column(ForeignKey("structures.id"))
    entry: Mapped[str] = mapped_column(String(100))
    reference: Mapped[str] = mapped_column(String(200))
    content: Mapped[str] = mapped_column(Text)
    sha256: Mapped[str] = mapped_column(String(64))
    author: Mapped[str] = mapped_column(String(200))
    received_at: Mapped[datetime.datetime]
    kept_at: Mapped[datetime.datetime]


class WaitingRow(Row):
    """A text that its cell cannot hold yet; ``number`` is the version whose rows ``cell`` speaks of."""

    __tablename__ = "waiting"

    id: Mapped[int] = mapped_column(primary_key=True)
    structure_id: Mapped[int] = mapped_column(ForeignKey("structures.id"), index=True)
    number: Mapped[int]
    cell: Mapped[str] = mapped_column(Text)
    typed: Mapped[str] = mapped_column(Text)
    author: Mapped[str] = mapped_column(String(200))
    typed_at: Mapped[datetime.datetime]
