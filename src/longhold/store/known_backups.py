"""Where the backups of a store are: noted when they are made, looked up when the store is damaged."""

from __future__ import annotations

import contextlib
import datetime
import shlex
import sqlite3
from functools import lru_cache
from pathlib import Path

import sqlalchemy as sa

from longhold.base.whole_files import UnwrittenError, whole_file
from longhold.store.errors import StoreError, StoreFault
from longhold.store.migrating import APPLICATION_ID, refuse_unknown, revision_of
from longhold.store.read_only import read_only_engine

__all__ = ["LOOKED_THROUGH_BYTES", "note_backup", "way_back"]

LOOKED_THROUGH_BYTES = 200_000_000
"""Largest file that is looked through before it is used or named; damage in a larger one is told when met."""
_MOST_NOTED = 50


def note_backup(store: Path, backup: Path) -> None:
    """Keep beside a store where a backup of it was written; a folder that may not be written costs the note.

    Parameters
    ----------
    store, backup : files
    """
    line = str(backup.resolve())
    kept = [one for one in _noted(store) if one != line][-_MOST_NOTED:]
    with contextlib.suppress(UnwrittenError), whole_file(_notes(store), private=True) as part:
        part.write_text("".join(f"{one}\n" for one in (*kept, line)), encoding="utf-8")


def way_back(store: str) -> str:
    """What to do about a damaged store: the newest whole backup that is known, and how to put it back.

    Backups are those that were noted, and what was kept beside the store before it was changed. Of one larger
    than ``LOOKED_THROUGH_BYTES`` only the head is looked at.

    Parameters
    ----------
    store : name of its file
    """
    file = Path(store)
    with contextlib.suppress(OSError):
        beside = file.parent.glob(f"{_plain(file.name)}.before-*")
        named = {one for one in (*map(Path, _noted(file)), *beside) if one.is_file() and "\n" not in str(one)}
        for backup in sorted(named, key=lambda one: one.stat().st_mtime, reverse=True):
            state = backup.stat()
            is_small = state.st_size <= LOOKED_THROUGH_BYTES
            if _can_be_restored(backup, is_small, state.st_size, state.st_mtime_ns):
                made = datetime.datetime.fromtimestamp(state.st_mtime, datetime.UTC)
                command = f"longhold restore {shlex.quote(str(backup))} --store {shlex.quote(str(file))}"
                known = f"The newest backup that is known is {backup}, of {made:%Y-%m-%d %H:%M} UTC."
                if not is_small:
                    known += " It is large and was not looked through; it is before it is put back."
                return f"{known} To put it in its place, and keep this one beside it, run: {command}"
    return (
        "No backup of it is known here. 'longhold restore BACKUP' puts one in its place and keeps this one "
        "beside it."
    )


def _notes(store: Path) -> Path:
    return store.with_name(f"{store.name}.copies")


def _noted(store: Path) -> list[str]:
    try:
        return _notes(store).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return []


def _plain(name: str) -> str:
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in name)


@lru_cache(maxsize=4 * _MOST_NOTED)
def _can_be_restored(file: Path, look_through: bool, _size_bytes: int, _changed_ns: int) -> bool:
    """Whether a file is one of ours that this release knows, and, where asked, has no fault in it.

    Kept for as long as the file has this size and was changed at this time, since each request that meets the
    damage asks.
    """
    from longhold.store.checking import check_connection  # it tells of damage, which asks here

    try:
        with read_only_engine(file).connect() as connection:
            ours = connection.exec_driver_sql("PRAGMA application_id").scalar() == APPLICATION_ID
            revision = revision_of(connection) if ours else None
            if revision is None:
                return False
            refuse_unknown(revision, file)
            return not look_through or check_connection(connection, file, is_backup=True).is_whole
    except (sqlite3.Error, sa.exc.SQLAlchemyError, StoreError, StoreFault):
        return False
