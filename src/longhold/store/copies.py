"""Whole copies of a store's file: made while others write, checked before they get their name."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from longhold.base.whole_files import IsThereError, UnwrittenError, remove_abandoned, whole_file
from longhold.store.checking import Checked, check_connection
from longhold.store.errors import StoreDamaged, StoreError, StoreFull, StoreUnreachable
from longhold.store.given import utc_now
from longhold.store.migrating import APPLICATION_ID, refuse_unknown, revision_of
from longhold.store.place import default_place, place_of
from longhold.store.read_only import read_only, read_only_engine
from longhold.store.told import told

__all__ = ["Copied", "Restored", "checked_copy", "restore_backup"]


@dataclass(frozen=True)
class Copied:
    """A copy of a store, which was checked after it was written.

    Attributes
    ----------
    file : one file, which needs no other beside it
    size_bytes, sha256 : of that file
    checked : what was found in it; no faults
    """

    file: Path
    size_bytes: int
    sha256: str
    checked: Checked


@dataclass(frozen=True)
class Restored:
    """A store that was replaced by a backup; ``kept`` is where the replaced file is now, if there was one."""

    file: Path
    kept: Path | None
    checked: Checked


def checked_copy(source: Path, target: Path, *, replace: bool = False) -> Copied:
    """Copy a store's file page by page as of one moment, whatever others write meanwhile.

    Written under another name beside the target, looked through, then renamed: a copy that has its name is
    whole.

    Raises
    ------
    StoreDamaged : the copy has faults; it is not kept
    StoreError : the target is there already, or its folder may not be written
    """
    if target.exists() and target.samefile(source):
        raise StoreError(str(target), None, "is the store itself.", _OTHER_NAME)
    if not replace and target.exists():
        raise StoreError(str(target), None, "is there already and is not overwritten.", _OTHER_NAME)
    with _whole(target, replace) as part:
        with told(source), closing(read_only(source)) as from_:
            _fill(part, from_)
        checked = _refuse_faults(part, source)
        hashed = _hash_of(part)
    if _hash_of(target) != hashed:
        raise StoreDamaged(str(target), None, "is not what was written.", "Look at the disk.")
    return Copied(target, target.stat().st_size, hashed, checked)


def restore_backup(backup: str | Path, place: str | Path | None = None) -> Restored:
    """Put a backup in the place of a store, damaged or not; the replaced file is kept beside it.

    The backup stays as it is.

    Parameters
    ----------
    place : as of ``Store.open``

    Raises
    ------
    StoreDamaged : the backup has faults; nothing was changed
    StoreTooNew : a later release wrote the backup; nothing was changed
    StoreError : the store is in use, or is no file; there is no such backup
    """
    given, where = Path(backup), place_of(default_place() if place is None else place)
    file = _need_file(where.file, where)
    if not given.is_file():
        raise StoreError(str(given), None, "there is no such file.", "Name a backup.")
    if file.exists() and given.samefile(file):
        raise StoreError(str(given), None, "is the store itself.", "Name a backup.")
    with _whole(file, replace=True) as part:
        with told(given, is_backup=True), closing(read_only(given)) as from_:
            _refuse_others(from_, given)
            _fill(part, from_)
        checked = _refuse_faults(part, given, is_backup=True)
        kept = _kept_beside(file) if file.exists() else None
    return Restored(file, kept, checked)


_OTHER_NAME = "Choose another name."


def _need_file(file: Path | None, where: object) -> Path:
    if file is None:
        said = "is on a server, which has backups of its own."
        raise StoreError(str(where), None, said, "Its keeper makes them and brings them back.")
    return file


@contextmanager
def _whole(target: Path, replace: bool) -> Iterator[Path]:
    """A file for the database library to fill, which is the target at the end, or gone."""
    remove_abandoned(target.absolute().parent, target.name)
    try:
        with whole_file(target, replace=replace, private=True) as part:
            try:
                yield part
            finally:
                for ending in ("-journal", "-wal", "-shm"):
                    Path(f"{part}{ending}").unlink(missing_ok=True)
    except IsThereError as error:
        raise StoreError(str(target), None, error.problems[0].allowed, _OTHER_NAME) from None
    except StoreFull:  # of the database library, which filled it
        said = "cannot be written: there is no room left."
        raise StoreFull(str(target), None, said, "Make room on the disk, or choose another one.") from None
    except UnwrittenError as error:
        kind = StoreFull if error.is_full else StoreUnreachable
        raise kind(str(target), None, error.problems[0].allowed, error.problems[0].do) from None


def _fill(part: Path, from_: sqlite3.Connection) -> None:
    with closing(sqlite3.connect(part)) as to:
        from_.backup(to)
        to.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it


def _refuse_others(connection: sqlite3.Connection, file: Path) -> None:
    if connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise StoreError(str(file), None, "is no backup of a store.", "Name one that was made by 'backup'.")


def _refuse_faults(part: Path, of: Path, *, is_backup: bool = False) -> Checked:
    with told(of, is_backup=is_backup), read_only_engine(part).connect() as connection:
        refuse_unknown(revision_of(connection), of)
        checked = check_connection(connection, of, is_backup=is_backup)
    if checked.faults:
        said = f"has faults, the first of {len(checked.faults)}: {checked.faults[0]}."
        raise StoreDamaged(str(of), None, said, "No copy was made of it. An older backup may be whole.")
    return checked


def _hash_of(file: Path) -> str:
    with file.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _kept_beside(file: Path) -> Path:
    """Another name for a store's file, with all that was written to it in it, unless somebody has it open.

    The file keeps its own name too, until that is given to the backup in one step.
    """
    kept = file.with_name(f"{file.name}.replaced-{utc_now():%Y%m%dT%H%M%S%fZ}")
    ahead, kept_ahead = Path(f"{file}-wal"), Path(f"{kept}-wal")
    try:
        if ahead.exists():  # opening a damaged file may throw away what was written ahead of it
            shutil.copyfile(ahead, kept_ahead)
        try:
            _refuse_one_in_use(file)
            kept_ahead.unlink(missing_ok=True)  # it stands in the file itself now
        except StoreError:
            kept_ahead.unlink(missing_ok=True)
            raise
        except sqlite3.DatabaseError:
            pass
        _keep_as(file, kept)
        for leftover in (ahead, Path(f"{file}-shm")):
            leftover.unlink(missing_ok=True)
    except (OSError, UnwrittenError) as error:
        if ahead.exists():
            kept_ahead.unlink(missing_ok=True)
        why = error.problems[0].allowed if isinstance(error, UnwrittenError) else f"{error.strerror}."
        said = f"the store cannot be kept beside the backup: {why} Nothing was changed."
        raise StoreFull(str(kept), None, said) from None
    return kept


def _keep_as(file: Path, kept: Path) -> None:
    """A second name for a store's file; a copy of it where the disk knows no links."""
    try:
        os.link(file, kept)
    except OSError:
        with whole_file(kept, replace=False, private=True) as part:
            shutil.copyfile(file, part)


def _refuse_one_in_use(file: Path) -> None:
    """Only with nobody else in it can a file leave its way of writing ahead; a damaged one cannot say."""
    with closing(sqlite3.connect(file, timeout=1)) as connection:
        try:
            connection.execute("PRAGMA journal_mode = DELETE")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
                do = "Stop the page and whatever else has it open. Nothing was changed."
                raise StoreError(str(file), None, "is in use.", do) from None
            raise
