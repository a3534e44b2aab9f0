"""Files that are written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from longhold.base.errors import InputError, Problem

__all__ = ["check_folder", "check_target", "refuse_overwriting", "write_new", "write_whole"]


def check_target(path: Path, option: str, ending: str = "") -> None:
    """Refuse, before any work is done, a target that cannot be written.

    Parameters
    ----------
    ending : that its name must have, so that a page never falls on a file of another kind

    Raises
    ------
    InputError : its folder is missing or may not be written, or it is there and is no plain file
    """
    try:
        folder = path.resolve().parent
        exists, plain = path.exists(), path.is_file()
    except OSError as error:
        raise _refused(option, path, f"cannot be a file name: {error.strerror}.") from None
    if not folder.is_dir():
        raise _refused(option, path, f"there is no folder {folder}.", "Make it first, or choose another.")
    if ending and path.suffix.casefold() != ending:
        raise _refused(option, path, f"must end in {ending}.", "Choose another name.")
    if exists and not plain:
        raise _refused(option, path, "is there already and is no plain file.", "Choose another name.")
    if not os.access(folder, os.W_OK):
        raise _refused(option, path, f"the folder {folder} may not be written.", "Choose another.")


def check_folder(path: Path, option: str) -> None:
    """Refuse a folder that is not there or may not be written.

    Raises
    ------
    InputError : naming it
    """
    if not path.is_dir():
        raise _refused(option, path, "there is no such folder.", "Make it first, or choose another.")
    if not os.access(path, os.W_OK):
        raise _refused(option, path, "the folder may not be written.", "Choose another.")


def refuse_overwriting(path: Path, option: str, inputs: Iterable[Path]) -> None:
    """Refuse a target that is one of the files that were read.

    Raises
    ------
    InputError : naming the file
    """
    if any(path.resolve() == one.resolve() for one in inputs):
        raise _refused(option, path, "is a file that is read here.", "Choose another name for the output.")


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file under a temporary name in its folder, then rename it: nothing partial is ever seen."""
    target = path.resolve()
    temporary = _written_beside(target, content.encode() if isinstance(content, str) else content)
    try:
        os.replace(temporary, target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise


def write_new(
    path: Path, content: str | bytes, option: str = "FILE", do: str = "Choose another name."
) -> None:
    """Write a file that is not there yet; never over one that is.

    Parameters
    ----------
    option, do : what names the file, and what to do where it is there already

    Raises
    ------
    InputError : something is there already
    """
    temporary = _written_beside(path, content.encode() if isinstance(content, str) else content)
    try:
        os.link(temporary, path)  # unlike a rename, never onto a file that is there
    except FileExistsError:
        raise _there_already(path, option, do) from None
    except OSError:  # a file system without links
        if path.exists():
            raise _there_already(path, option, do) from None
        os.replace(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)


def _there_already(path: Path, option: str, do: str) -> InputError:
    return _refused(option, path, "is there already and is not overwritten.", do)


def _written_beside(target: Path, content: bytes) -> Path:
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name[:60]}.", suffix=".part", dir=target.parent)
    except OSError as error:
        raise _refused("output", target, f"cannot be written: {error.strerror}.") from None
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(0o666 & ~_umask())
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise _refused("output", target, f"cannot be written: {error.strerror}.") from None
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _refused(option: str, path: Path, allowed: str, do: str = "") -> InputError:
    return InputError(Problem(option, str(path), allowed, do))
