"""Files that people hand in, with every fault of the file itself named."""

from __future__ import annotations

import lzma
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from longhold.base.errors import InputError, Problem
from longhold.base.limits import MOST_BYTES

__all__ = ["BROKEN_ZIP", "MOST_BYTES", "read_bytes", "read_file", "unpacked"]

BROKEN_ZIP = (
    *(zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, lzma.LZMAError),
    *(NotImplementedError, RuntimeError, EOFError, OSError, ValueError),
)
"""What reading a damaged zip file may raise."""
_OTHER_KINDS = {
    b"\xff\xd8\xff": "a picture (JPEG)",
    b"\x89PNG\r\n\x1a\n": "a picture (PNG)",
    b"GIF8": "a picture (GIF)",
    b"RIFF": "a picture or a sound",
    b"%PDF-": "a PDF",
}
_PIECE_BYTES = 1 << 20
_BOUNDED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # of others one step may unpack to any size


def read_file(path: Path, holding: str, if_empty: str = "") -> str:
    """Text of a file that holds UTF-8, with or without a byte order mark.

    Parameters
    ----------
    path : the file
    holding : what it should hold, in words, such as "a structure"
    if_empty : what to do where it is empty

    Raises
    ------
    InputError : missing, a folder, not readable, over ``MOST_BYTES``, empty, not UTF-8 (with the byte)
    """
    raw = read_bytes(path, holding, if_empty)
    if raw.startswith(b"PK\3\4"):
        raise _refused(path, "is a workbook or another zip file, not text.", _of_zip(path))
    return _decoded(path, raw)


def read_bytes(path: Path, holding: str, if_empty: str = "", most: int | None = None) -> bytes:
    """Bytes of a file, of up to ``most``, else ``MOST_BYTES``; the rest is as of ``read_file``."""
    most = MOST_BYTES if most is None else most
    try:
        with path.open("rb") as stream:
            raw = stream.read(most + 1)
    except FileNotFoundError:
        raise _refused(path, "there is no such file.", _nearby(path)) from None
    except IsADirectoryError:
        raise _refused(path, "is a folder.", f"Name the file in it that holds {holding}.") from None
    except PermissionError:
        raise _refused(path, "You have no permission to read this file.", "Ask its owner for it.") from None
    except (OSError, ValueError) as error:
        raise _refused(path, f"cannot be read: {getattr(error, 'strerror', None) or error}.") from None
    if len(raw) > most:
        limit = f"is larger than {most // 1_000_000} MB, the most that is read."
        raise _refused(path, limit, f"Is it the file that holds {holding}?")
    if not raw.strip():
        raise _refused(path, "is empty.", if_empty)
    return raw


def unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    """A file of an archive in pieces of up to 1 MiB: whatever size it claims, it may unpack to any other.

    Raises
    ------
    one of ``BROKEN_ZIP`` : damaged, locked, or packed in another way than nearly every archive is
    """
    if entry.compress_type not in _BOUNDED:
        raise NotImplementedError("only what is stored or deflated is unpacked")
    with archive.open(entry) as stream:
        while piece := stream.read(_PIECE_BYTES):
            yield piece


def _of_zip(path: Path) -> str:
    if path.suffix.lower() == ".xlsx":
        return "Here text is read: TOML, JSON or CSV."
    return "If it is a workbook, its name must end in .xlsx."


def _decoded(path: Path, raw: bytes) -> str:
    if kind := next((words for start, words in _OTHER_KINDS.items() if raw.startswith(start)), ""):
        raise _refused(path, f"is {kind}, not text.", "Choose the file that holds the text.")
    if raw[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        raise _refused(path, "is UTF-16 text.", "Save it as UTF-8.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"byte {error.start:,} (line {raw.count(10, 0, error.start) + 1})"
        raise _refused(path, f"is not UTF-8 text: the fault is at {where}.", "Save it as UTF-8.") from None
    if "\0" in text:
        raise _refused(path, f"is not text: there is a zero byte at character {text.index(chr(0)):,}.")
    return text


def _refused(path: Path, allowed: str, do: str = "") -> InputError:
    return InputError(Problem(str(path), None, allowed, do))


def _nearby(path: Path) -> str:
    from difflib import get_close_matches

    folder = path.parent
    try:
        names = [entry.name for entry in folder.iterdir() if entry.is_file()]
    except OSError:
        return f"There is no folder {folder} either."
    close = get_close_matches(path.name, names, n=3)
    return f"Did you mean {' or '.join(str(folder / name) for name in close)}?" if close else ""
