"""Connections to the database of a store, and the two kinds of transaction that everything runs in."""

from __future__ import annotations

import os
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.orm import Session

from longhold.base.extras import get_extra, needs_extra
from longhold.store.errors import StoreDamaged, StoreError, StoreUnreachable
from longhold.store.known_backups import LOOKED_THROUGH_BYTES, way_back
from longhold.store.migrating import APPLICATION_ID
from longhold.store.place import Place
from longhold.store.read_only import PATIENCE_S, read_only
from longhold.store.told import told

__all__ = ["Connected", "connect"]


class Connected:
    """An open database. Any number of threads may use it at once.

    Reading transactions see one moment of the store; a writing transaction is the only one of its kind from
    its first statement, so that what it read is still so when it writes.
    """

    def __init__(self, place: Place, engine: Engine) -> None:
        self._place = place
        self._reader = engine
        self._writer = engine.execution_options(longhold_writes=True)
        # one file takes one writer: waiting here is fair, waiting in the file is not
        self._turn = threading.Lock() if place.file else None

    @property
    def place(self) -> Place:
        """Where the store is."""
        return self._place

    @contextmanager
    def _reading(self) -> Iterator[Session]:
        with told(self._place), Session(self._reader) as session:
            yield session

    @contextmanager
    def _writing(self) -> Iterator[Session]:
        """A session that is committed at the end, or rolled back whole where anything is raised."""
        # the turn is over before a fault is told, which may look for a backup
        with told(self._place), self._in_turn(), Session(self._writer) as session, session.begin():
            yield session

    @contextmanager
    def _in_turn(self) -> Iterator[None]:
        if self._turn is None:
            yield
            return
        if not self._turn.acquire(timeout=4 * PATIENCE_S):
            with told(self._place):
                raise sqlite3.OperationalError("database is locked")
        try:
            yield
        finally:
            self._turn.release()


def connect(place: Place, create: bool, damaged: bool = False) -> Engine:
    """An engine for a place, which has been found to be there, or to be empty and ours to fill.

    Parameters
    ----------
    create : whether a file that is not there is made, with room for its owner's eyes only
    damaged : whether a damaged file is opened too, to read what is whole in it

    Raises
    ------
    StoreError : no such file or folder, a file of another program, no library for the server
    StoreDamaged : of a file of up to ``LOOKED_THROUGH_BYTES``, its pages do not hang together
    """
    if place.file is None:
        return _server(place)
    _prepare_file(place.file, create)
    with told(place):
        _refuse_other_files(place.file)
        if not damaged:
            _refuse_damaged(place.file)
    engine = create_engine(
        place.url,
        connect_args={"check_same_thread": False, "timeout": PATIENCE_S},
        pool_size=8,
        max_overflow=32,
    )
    event.listen(engine, "connect", _set_up_file)
    event.listen(engine, "begin", _begin)
    return engine


def _server(place: Place) -> Engine:
    try:
        import psycopg  # noqa: F401
    except ImportError:
        raise StoreUnreachable(str(place), None, needs_extra("postgres"), get_extra("postgres")) from None
    return create_engine(
        place.url,
        pool_pre_ping=True,
        pool_size=8,
        max_overflow=32,
        connect_args={"connect_timeout": PATIENCE_S, "options": f"-c lock_timeout={PATIENCE_S}s"},
    )


def _set_up_file(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None  # transactions begin where _begin says, not where the driver guesses
    connection.execute(f"PRAGMA busy_timeout = {PATIENCE_S * 1000}")
    _keep_log_beside(connection)
    for setting in (
        "synchronous = FULL",
        "foreign_keys = ON",
        "trusted_schema = OFF",
    ):
        connection.execute(f"PRAGMA {setting}")


def _keep_log_beside(connection: sqlite3.Connection) -> None:
    """Have what is written go to a log first, so that readers and the writer do not wait for each other."""
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            # while another program turns or fills a new file, SQLite says so at once and does not wait itself
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
        time.sleep(0.02)


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("longhold_writes")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _prepare_file(file: Path, create: bool) -> None:
    try:
        there, folder = file.exists(), file.absolute().parent
        if there and not file.is_file():
            raise StoreUnreachable(str(file), None, "is no plain file.", "Name the file of a store.")
        if not there and not create:
            raise StoreUnreachable(
                str(file), None, "there is no store yet.", "'longhold save FILE' makes one."
            )
        if not there and not folder.is_dir():
            raise StoreUnreachable(str(file), None, f"there is no folder {folder}.", "Make it first.")
        if not there:
            os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
    except StoreError:
        raise
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        do = "Look at the permissions of the file and of its folder."
        raise StoreUnreachable(str(file), None, f"cannot be opened: {why}.", do) from None


def _refuse_other_files(file: Path) -> None:
    """A file of another program is refused before a byte of it is touched."""
    if file.stat().st_size == 0:
        return
    connection = read_only(file)
    try:
        found: Any = connection.execute("PRAGMA application_id").fetchone()[0]
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    finally:
        connection.close()
    if tables and found != APPLICATION_ID:
        said = "is a database of another program."
        raise StoreError(str(file), None, said, "Choose another file. Nothing was changed.")


def _refuse_damaged(file: Path) -> None:
    if not 0 < file.stat().st_size <= LOOKED_THROUGH_BYTES:
        return
    with closing(read_only(file)) as connection:
        found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok":
        raise StoreDamaged(str(file), None, "is damaged.", way_back(str(file)))
