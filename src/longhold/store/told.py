"""Faults of a database, said for people."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import exc

from longhold.store.errors import (
    StoreBusy,
    StoreDamaged,
    StoreFault,
    StoreFull,
    StoreReadOnly,
    StoreUnreachable,
)
from longhold.store.known_backups import way_back

__all__ = ["told"]


@contextmanager
def told(place: object, *, is_backup: bool = False) -> Iterator[None]:
    """Turn what the database says is wrong into a ``StoreFault`` about the store in a place.

    Breaches of constraints and mistakes in a statement pass as they are: they are no faults of the database.

    Parameters
    ----------
    is_backup : whether what is there is a backup, of which there is none to name
    """
    try:
        yield
    except sqlite3.Error as error:
        raise _of_sqlite(str(place), error, is_backup) from None
    except exc.TimeoutError:
        raise _busy(str(place)) from None
    except (exc.IntegrityError, exc.ProgrammingError, exc.NotSupportedError):
        raise
    except exc.DBAPIError as error:
        if isinstance(error.orig, sqlite3.Error):
            raise _of_sqlite(str(place), error.orig, is_backup) from None
        raise _of_server(str(place), error) from None


def _busy(place: str) -> StoreFault:
    said = "another writer did not finish in time; nothing was changed."
    return StoreBusy(place, None, said, "Try again in a moment.")


# the file beside a store that its users share cannot grow on a full disk either
_NO_ROOM = {
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR_WRITE,
    sqlite3.SQLITE_IOERR_FSYNC,
    sqlite3.SQLITE_IOERR_SHMSIZE,
}


def _of_sqlite(place: str, error: sqlite3.Error, is_backup: bool) -> StoreFault:
    code = getattr(error, "sqlite_errorcode", None) or 0
    if code in _NO_ROOM:
        do = "Make room, or move the store to another disk."
        return StoreFull(place, None, "there is no room left to write; nothing was changed.", do)
    kind = code & 0xFF
    if kind in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        return _busy(place)
    if kind == sqlite3.SQLITE_READONLY:
        do = "Ask its owner for permission to write the file and its folder."
        return StoreReadOnly(place, None, "may be read and not written; nothing was changed.", do)
    if kind == sqlite3.SQLITE_NOTADB:
        return StoreDamaged(place, None, "is no store, or is damaged at its start.", _help(place, is_backup))
    if kind == sqlite3.SQLITE_CORRUPT:
        return StoreDamaged(place, None, "is damaged.", _help(place, is_backup))
    if kind in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH}:
        do = "Look at the permissions of the file and of its folder."
        return StoreUnreachable(place, None, "cannot be opened.", do)
    if kind == sqlite3.SQLITE_IOERR:
        return StoreUnreachable(place, None, "the disk refused to read or write.", "Look at the disk.")
    if "decode to UTF-8" in str(error):
        return StoreDamaged(place, None, "holds text that is damaged.", _help(place, is_backup))
    if "no such table" in str(error) or "no such column" in str(error):
        return StoreDamaged(place, None, f"lacks a part of itself: {error}.", _help(place, is_backup))
    return StoreFault(place, None, f"refused: {error}.")


def _help(place: str, is_backup: bool) -> str:
    return "An older backup may be whole." if is_backup else way_back(place)


def _of_server(place: str, error: exc.DBAPIError) -> StoreFault:
    state = getattr(error.orig, "sqlstate", None) or ""
    said = " ".join(str(error.orig).split()) or type(error.orig).__name__
    if state.startswith("53"):
        return StoreFull(place, None, f"the server has no room left: {said}", "Ask its keeper.")
    if state in {"25006"}:
        return StoreReadOnly(place, None, "the server lets this be read and not written.", "Ask its keeper.")
    if state in {"40001", "40P01", "55P03", "57014"}:
        return _busy(place)
    if state.startswith("XX"):
        return StoreDamaged(place, None, f"the server found damage: {said}", "Ask its keeper.")
    if error.connection_invalidated:
        said = "the server stopped or restarted meanwhile: it is not certain whether this was carried out."
        return StoreUnreachable(place, None, said, "Look at what is there before you try again.")
    if state in {"", "57P01", "57P02", "57P03"} or state.startswith(("08", "28", "3D")):
        do = "Look at the address, the name of the user and whether the server runs; then try again."
        return StoreUnreachable(place, None, f"cannot be reached: {said}", do)
    return StoreFault(place, None, f"the server refused: {said}")
