"""Files that are written whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import platform
import re
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from longhold.base.errors import InputError, Problem

__all__ = [
    "NO_ROOM",
    "IsThereError",
    "UnwrittenError",
    "remove_abandoned",
    "unwritten",
    "whole_file",
]

NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})
"""What the system says where a disk, a person's share of it or a file may not grow."""
_NO_RIGHT = {errno.EROFS, errno.EACCES, errno.EPERM}
_MOST_LETTERS = 40  # of the target's name in the temporary one, which must not get too long


class UnwrittenError(InputError):
    """A file could not be written; what stood under its name before is as it was.

    Attributes
    ----------
    is_full : whether there was no room for it
    """

    def __init__(self, problem: Problem, *, is_full: bool = False) -> None:
        super().__init__(problem)
        self.is_full = is_full


class IsThereError(UnwrittenError):
    """A file is there already, and nothing is to be written over it."""


@contextmanager
def whole_file(
    target: Path, *, replace: bool = True, private: bool = False, folders: bool = False
) -> Iterator[Path]:
    """A file to fill under another name beside the target; at the end it takes the target's name at once.

    Nobody ever sees half of it: whatever goes wrong, a loss of power too, under the target's name stands what
    stood there before, or all of the new file. A link is followed. Who may read and write a file that is
    replaced stays as it was. What the caller raises for another file than this one passes as it is.

    Parameters
    ----------
    target : the name that it gets
    replace : whether it may fall on a file that is there
    private : whether only its owner may read it; else who may is as of the file it replaces, or any new one
    folders : whether folders that are missing on the way to it are made

    Yields
    ------
    an empty file that is there already

    Raises
    ------
    IsThereError : the target is there, and is not to be replaced
    UnwrittenError : the folder may not be written, the disk is full, ...
    """
    if folders:
        _make_folders(target.parent)
    with _told_of(target):
        final = target.resolve() if replace else target
        mode = _mode_of(final)
        part = _empty_beside(final, private=private or mode is not None)
    try:
        try:
            yield part
        except OSError as error:
            if _is_of_another(error, part):
                raise
            raise _unwritten(target, error) from None
        with _told_of(target):
            _put_on_disk(part, os.O_RDWR)
            if mode is not None and not private:
                part.chmod(mode)
            os.replace(part, final) if replace else _name_new(part, final)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
    with contextlib.suppress(OSError):  # where folders can be, the new name is put on the disk too
        _put_on_disk(final.parent, os.O_RDONLY)


def unwritten(name: str, error: OSError) -> Problem:
    """What to say of a file that the system did not let be written.

    >>> print(unwritten("deck.html", OSError(errno.ENOSPC, "No space left on device")))
    deck.html: cannot be written: No space left on device. Make room on the disk, or choose another one.
    """
    do = "Choose a folder that may be written." if error.errno in _NO_RIGHT else ""
    if error.errno in NO_ROOM:
        do = "Make room on the disk, or choose another one."
    return Problem(name, None, f"cannot be written: {error.strerror or error}.", do)


def remove_abandoned(folder: Path, of: str = "") -> None:
    """Remove what writers that were killed left in a folder under their temporary names.

    What a process of another machine left is let be: nobody can tell here whether it still writes.

    Parameters
    ----------
    of : name of the one file whose leftovers are meant; all of them if empty
    """
    with contextlib.suppress(OSError):
        for file in list(folder.iterdir()):
            found = _PART.fullmatch(file.name)
            if found and (not of or found["of"] == of[:_MOST_LETTERS]) and _was_killed(found):
                file.unlink(missing_ok=True)


_PART = re.compile(
    r"\.(?P<of>.+)\.(?P<host>[0-9a-f]{8})-(?P<pid>[0-9]+)-[^.-]+\.part(-journal|-wal|-shm)?", re.DOTALL
)


def _unwritten(path: Path, error: OSError) -> UnwrittenError:
    return UnwrittenError(unwritten(str(path), error), is_full=error.errno in NO_ROOM)


@contextmanager
def _told_of(target: Path) -> Iterator[None]:
    try:
        yield
    except FileExistsError:
        raise IsThereError(Problem(str(target), None, "is there already and is not overwritten.")) from None
    except OSError as error:
        raise _unwritten(target, error) from None


def _is_of_another(error: OSError, part: Path) -> bool:
    """Whether what a caller met was not the writing of its file.

    The system names the file that could not be opened, but not the one whose stream failed: that is taken for
    the one that is written. What libraries raise of their own has no number.
    """
    named = [os.fsdecode(one) for one in (error.filename, error.filename2) if isinstance(one, str | bytes)]
    if named:
        return not any(Path(one).name.startswith(part.name) for one in named)
    return error.errno is None


def _host() -> str:
    return f"{zlib.crc32(platform.node().encode()):08x}"


def _was_killed(found: re.Match[str]) -> bool:
    if found["host"] != _host() or os.name != "posix":  # elsewhere, to ask for a process may end it
        return False
    try:
        os.kill(int(found["pid"]), 0)
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _make_folders(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unwritten(folder, error) from None


def _mode_of(file: Path) -> int | None:
    """Who may do what with a file; None where there is none."""
    try:
        return file.stat().st_mode & 0o777
    except FileNotFoundError:
        return None


def _empty_beside(target: Path, private: bool) -> Path:
    start = f".{target.name[:_MOST_LETTERS]}.{_host()}-{os.getpid()}-"
    handle, name = tempfile.mkstemp(prefix=start, suffix=".part", dir=target.parent)
    os.close(handle)
    if not private:  # made anew, so that the system itself says who may read a new file here
        os.unlink(name)
        os.close(os.open(name, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o666))
    return Path(name)


def _name_new(part: Path, target: Path) -> None:
    try:
        os.link(part, target)  # unlike a rename, never onto a file that is there
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if target.exists():
            raise FileExistsError(target) from None
        os.replace(part, target)


def _put_on_disk(path: Path, way: int) -> None:
    opened = os.open(path, way)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
