"""Files that were sent together: a table with the photographs that it names, one by one or as one archive."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath

from longhold.base.errors import InputError, Problem

__all__ = ["Sent", "picture_type", "table_and_photographs"]

_PICTURES = ((b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG\r\n", "image/png"), (b"RIFF", "image/webp"))
_TABLES = (".csv", ".txt", ".xlsx")
_MOST_FILES = 500
_MOST_BYTES = 100_000_000


@dataclass(frozen=True)
class Sent:
    """A table of readings and the photographs that came with it, by their names."""

    name: str
    table: bytes
    photographs: Mapping[str, bytes] = field(default_factory=dict)


def picture_type(data: bytes) -> str | None:
    """Media type of a picture by its first bytes; None where they are of no JPEG, PNG or WebP.

    >>> picture_type(b"\\x89PNG\\r\\n\\x1a\\n"), picture_type(b"joint,part")
    ('image/png', None)
    """
    return next((kind for start, kind in _PICTURES if data.startswith(start)), None)


def table_and_photographs(files: Sequence[tuple[str, bytes]]) -> Sent:
    """What was sent as one table and its photographs.

    Parameters
    ----------
    files : name and bytes of each; an archive (.zip) stands for what is in it

    Raises
    ------
    InputError : no table or several, a file that is neither, two pictures of one name, a broken archive
    """
    tables: list[tuple[str, bytes]] = []
    pictures: dict[str, bytes] = {}
    problems: list[Problem] = []
    for name, data in _unpacked(files):
        if picture_type(data) is not None:
            if pictures.setdefault(name, data) != data:
                problems.append(Problem("file", name, "names two different pictures.", "Rename one."))
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


def _unpacked(files: Sequence[tuple[str, bytes]]) -> Iterator[tuple[str, bytes]]:
    for name, data in files:
        if PurePath(name).suffix.lower() == ".zip":
            yield from _in_archive(name, data)
        else:
            yield PurePath(name.replace("\\", "/")).name, data


def _in_archive(name: str, data: bytes) -> Iterator[tuple[str, bytes]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            inside = [one for one in archive.infolist() if not _is_by_the_way(one)]
            size = sum(one.file_size for one in inside)
            if len(inside) > _MOST_FILES or size > _MOST_BYTES:
                most = f"{_MOST_FILES} files and {_MOST_BYTES // 10**6} MB"
                said = f"holds {len(inside):,} files of {size / 1e6:,.0f} MB; {most} are taken at once."
                raise InputError(Problem("file", name, said, "Send it in parts."))
            for one in inside:
                yield PurePath(one.filename).name, archive.read(one)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError):
        said = "is no archive that can be opened."
        raise InputError(Problem("file", name, said, "Zip it again, without a password.")) from None


def _is_by_the_way(entry: zipfile.ZipInfo) -> bool:
    """Folders, and what systems put into archives unasked."""
    parts = PurePath(entry.filename).parts
    return entry.is_dir() or any(one.startswith((".", "__MACOSX")) for one in parts)
