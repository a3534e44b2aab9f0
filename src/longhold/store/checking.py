"""Whether what a store keeps is what was written: page by page, link by link, hash by hash."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy import Connection
from sqlalchemy.orm import InstrumentedAttribute

from longhold.store.errors import StoreDamaged
from longhold.store.given import sha256
from longhold.store.tables import (
    AttachmentRow,
    DeliveryRow,
    OfferListRow,
    ReadingRow,
    ResultRow,
    StructureRow,
    VersionRow,
)
from longhold.store.told import told

__all__ = ["Checked", "check_connection"]

_FAULTS_AT_MOST = 100
_ROWS_AT_A_TIME = 50


@dataclass(frozen=True)
class Checked:
    """What a check of a store found.

    Attributes
    ----------
    faults : each in words for people, at most a hundred of a kind; none where all is well
    structures, versions : how many were looked at
    hashes : how many hashes were computed anew and held against those that are kept
    """

    faults: tuple[str, ...]
    structures: int
    versions: int
    hashes: int

    @property
    def is_whole(self) -> bool:
        """Whether nothing is wrong."""
        return not self.faults


class _Look:
    """One look through a store, which counts as it goes."""

    def __init__(self, connection: Connection, place: object, is_backup: bool) -> None:
        self.connection, self.place, self.is_backup = connection, place, is_backup
        self.faults: list[str] = []
        self.counted = {"structures": 0, "versions": 0, "hashes": 0}
        self.there: set[str] = set()

    def through(self, step: Callable[[], Iterator[str]]) -> None:
        """Take what a step finds; one that the damage itself stops is a fault too."""
        found: list[str] = []
        try:
            with told(self.place, is_backup=self.is_backup):
                for fault in step():
                    found.append(fault)
                    if len(found) >= _FAULTS_AT_MOST:
                        break
        except StoreDamaged as error:
            found.append(str(error.problem))
        self.faults += [one for one in dict.fromkeys(found) if one not in self.faults]

    def tables(self) -> Iterator[str]:
        self.there = set(sa.inspect(self.connection).get_table_names())
        return iter(())

    def pages(self) -> Iterator[str]:
        if self.connection.dialect.name != "sqlite":
            return
        said = self.connection.exec_driver_sql(f"PRAGMA integrity_check({_FAULTS_AT_MOST})").scalars().all()
        lines = [line for one in said if one != "ok" for line in str(one).splitlines()]
        faults = [line for line in lines if not line.startswith("***")]
        if faults:
            first = faults[0].strip(". ")
            yield f"the file: pages of it are damaged ({len(faults)} faults; the first: {first})"
        for table, row, parent, _ in self.connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"{table}, row {row}: what it belongs to is not in {parent}"

    def hashes(self) -> Iterator[str]:
        for words, label, content, kept in _HASHED:
            if content.class_.__tablename__ not in self.there or not self._has(content):
                continue  # an older shape, which has no such table or column
            # bytes, since damaged text may be no text any more
            data = sa.cast(content, sa.LargeBinary) if self.connection.dialect.name == "sqlite" else content
            rows = sa.select(label, data, kept).order_by(label)
            for name, found, hashed in self.connection.execute(rows).yield_per(_ROWS_AT_A_TIME):
                self.counted["hashes"] += 1
                if sha256(found) != hashed:
                    yield f"{words} {name}: not what was written"

    def _has(self, content: InstrumentedAttribute[Any]) -> bool:
        found = sa.inspect(self.connection).get_columns(content.class_.__tablename__)
        return content.key in {column["name"] for column in found}

    def numbers(self) -> Iterator[str]:
        """Versions run from 1 to the newest without a gap, each on top of the one before."""
        structures = sa.select(StructureRow.id, StructureRow.name, StructureRow.newest)
        for id, name, newest in self.connection.execute(structures.order_by(StructureRow.id)).all():
            self.counted["structures"] += 1
            of_it = sa.select(VersionRow.number, VersionRow.parent).where(VersionRow.structure_id == id)
            found = self.connection.execute(of_it.order_by(VersionRow.number)).all()
            self.counted["versions"] += len(found)
            if [tuple(row) for row in found] != [(one, one - 1 or None) for one in range(1, newest + 1)]:
                yield f"structure {id} ({name!r}): versions are missing or out of order"


_HASHED: tuple[
    tuple[str, sa.ColumnElement[Any] | InstrumentedAttribute[Any], InstrumentedAttribute[Any], Any], ...
] = (
    (
        "structure and version",
        sa.cast(VersionRow.structure_id, sa.Text) + ", " + sa.cast(VersionRow.number, sa.Text),
        VersionRow.content,
        VersionRow.sha256,
    ),
    ("result", ResultRow.id, ResultRow.result, ResultRow.sha256),
    ("list of offers", OfferListRow.id, OfferListRow.content, OfferListRow.sha256),
    ("reading", ReadingRow.id, ReadingRow.content, ReadingRow.sha256),
    ("delivery", DeliveryRow.id, DeliveryRow.content, DeliveryRow.sha256),
    ("attachment", AttachmentRow.id, AttachmentRow.data, AttachmentRow.sha256),
)


def check_connection(connection: Connection, place: object, *, is_backup: bool = False) -> Checked:
    """Look through all that is kept behind a connection; nothing is changed.

    Parameters
    ----------
    place : for messages
    is_backup : as of ``told``
    """
    look = _Look(connection, place, is_backup)
    for step in (look.pages, look.tables, look.hashes, look.numbers):
        look.through(step)
    return Checked(tuple(look.faults), **look.counted)
