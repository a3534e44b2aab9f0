"""Where the backups of a store are: noted when they are made, looked up when the store is damaged."""

from __future__ import annotations

import contextlib
import datetime
import shlex
import sqlite3
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from longhold.base.whole_files import UnwrittenError, whole_file

__all__ = ["note_backup", "way_back"]

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

    Backups are those that were noted, and what was kept beside the store before it was changed.

    Parameters
    ----------
    store : name of its file
    """
    file = Path(store)
    with contextlib.suppress(OSError):
        beside = file.parent.glob(f"{_plain(file.name)}.before-*")
        named = {one for one in (*map(Path, _noted(file)), *beside) if one.is_file() and "\n" not in str(one)}
        for backup in sorted(named, key=lambda one: one.stat().st_mtime, reverse=True):
            if _is_whole(backup):
                made = datetime.datetime.fromtimestamp(backup.stat().st_mtime, datetime.UTC)
                command = f"longhold restore {shlex.quote(str(backup))} --store {shlex.quote(str(file))}"
                known = f"The newest backup that is known is {backup}, of {made:%Y-%m-%d %H:%M} UTC."
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


def _is_whole(file: Path) -> bool:
    """Whether the database library finds nothing wrong with the structure of a file."""
    try:
        with closing(sqlite3.connect(f"file:{quote(str(file.absolute()))}?mode=ro", uri=True)) as opened:
            return bool(opened.execute("PRAGMA quick_check(1)").fetchone() == ("ok",))
    except sqlite3.Error:
        return False
