"""Files that were sent together: a table with the photographs that it names, one by one or as one archive."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import NoReturn

from longhold.base.errors import InputError, Problem
from longhold.base.files import BROKEN_ZIP, unpacked
from longhold.base.limits import MOST_PHOTO_BYTES, MOST_UNPACKED_BYTES
from longhold.intake.photo_file import picture_fault, picture_type
from longhold.model.reading import picture_name

__all__ = ["Sent", "is_archive", "photographs_alone", "table_and_photographs", "too_large"]

_TABLES = (".csv", ".txt", ".xlsx")
_MOST_FILES = 500


@dataclass(frozen=True)
class Sent:
    """A table of readings and the photographs that came with it, by their names."""

    name: str
    table: bytes
    photographs: Mapping[str, bytes] = field(default_factory=dict)


@dataclass
class _Room:
    """What one request may still bring, however many archives it comes in."""

    files: int = _MOST_FILES
    size: int = field(default_factory=lambda: MOST_UNPACKED_BYTES)

    def take(self, name: str, pieces: Iterator[bytes]) -> bytes:
        """A file's bytes, counted while they come: what an archive claims of its size may be forged.

        Raises
        ------
        InputError : it is more than there is room for
        """
        self.files -= 1
        if self.files < 0:
            _refuse_more(name, f"more than {_MOST_FILES} files")
        found = bytearray()
        for piece in pieces:
            self.size -= len(piece)
            if self.size < 0:
                _refuse_more(name, f"more than {MOST_UNPACKED_BYTES // 10**6} MB, unpacked")
            found += piece
        return bytes(found)


def _refuse_more(name: str, much: str) -> NoReturn:
    raise InputError(
        Problem("file", name, f"makes {much}, the most that is taken at once.", "Send it in parts.")
    )


def is_archive(name: str) -> bool:
    """Whether a file of this name stands for what is in it."""
    return PurePath(name).suffix.lower() == ".zip"


def table_and_photographs(files: Sequence[tuple[str, bytes]]) -> Sent:
    """What was sent as one table and its photographs.

    Parameters
    ----------
    files : name and bytes of each; an archive (.zip) stands for what is in it

    Raises
    ------
    InputError : no table or several, a file that is neither, two pictures of one name, a broken archive, more
        files or bytes than are taken at once
    """
    tables: list[tuple[str, bytes]] = []
    pictures: dict[str, bytes] = {}
    problems: list[Problem] = []
    for name, data in _one_by_one(files):
        if picture_type(data) is not None:
            if (problem := _no_photograph(name, data, pictures)) is not None:
                problems.append(problem)
        elif PurePath(name).suffix.lower() in _TABLES:
            tables.append((name, data))
        else:
            said = "is neither a table (CSV, XLSX) nor a JPEG, PNG or WebP picture."
            problems.append(Problem("file", name, said, "Leave it out."))
    if len(tables) > 1:
        said = f"{' and '.join(name for name, _ in tables[:5])} are tables; one is taken at a time."
        problems.append(Problem("file", None, said, "Send them one after the other."))
    elif not tables and not problems:
        problems.append(
            Problem("file", None, "there is no table of readings in it.", "Send the table with them.")
        )
    if problems:
        raise InputError(*problems)
    return Sent(*tables[0], pictures)


def photographs_alone(files: Sequence[tuple[str, bytes]]) -> dict[str, bytes]:
    """Photographs that came beside a list, by their names.

    Parameters
    ----------
    files : name and bytes of each; an archive (.zip) stands for what is in it

    Raises
    ------
    InputError : what is no picture, is too large or broken, or two pictures of one name
    """
    pictures: dict[str, bytes] = {}
    problems = [
        problem
        for name, data in _one_by_one(files)
        if (problem := _no_photograph(name, data, pictures)) is not None
    ]
    if problems:
        raise InputError(*problems)
    return pictures


def _no_photograph(name: str, data: bytes, pictures: dict[str, bytes]) -> Problem | None:
    """Take a picture in; why it cannot be taken, else."""
    if len(data) > MOST_PHOTO_BYTES and picture_type(data) is not None:
        return too_large(name)
    if (fault := picture_fault(data)) is not None:
        return Problem("file", name, fault, "Take or send the picture itself again.")
    if pictures.setdefault(name, data) != data:
        return Problem("file", name, "names two different pictures.", "Rename one.")
    return None


def too_large(name: str, where: str = "file") -> Problem:
    """What is said of a photograph of more than ``MOST_PHOTO_BYTES``."""
    return Problem(where, name, f"must be {MOST_PHOTO_BYTES // 1024**2} MiB or less.", "Save it smaller.")


def _one_by_one(files: Sequence[tuple[str, bytes]]) -> Iterator[tuple[str, bytes]]:
    room = _Room()
    for name, data in files:
        if is_archive(name):
            yield from _in_archive(name, data, room)
        else:
            yield picture_name(name), room.take(name, iter([data]))


def _in_archive(name: str, data: bytes, room: _Room) -> Iterator[tuple[str, bytes]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for one in archive.infolist():
                if not one.filename.strip():
                    said = "holds a file that has no name."
                    raise InputError(Problem("file", name, said, "Zip it again, each file under its name."))
                if not _is_by_the_way(one):
                    yield picture_name(one.filename), room.take(name, unpacked(archive, one))
    except BROKEN_ZIP:
        said = "is no archive that can be opened."
        raise InputError(Problem("file", name, said, "Zip it again, without a password.")) from None


def _is_by_the_way(entry: zipfile.ZipInfo) -> bool:
    """Folders, and what systems put into archives unasked."""
    parts = PurePath(entry.filename).parts
    return entry.is_dir() or any(one.startswith((".", "__MACOSX")) for one in parts)
