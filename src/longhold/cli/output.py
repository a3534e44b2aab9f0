"""Files that are written whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from longhold.base.errors import InputError, Problem
from longhold.base.whole_files import IsThereError, remove_abandoned, whole_file

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
    """Write a file, over the one that is there; nothing partial is ever seen.

    Raises
    ------
    UnwrittenError : the disk is full, the folder may not be written, ...; what was there is as it was
    """
    _write(path, content, replace=True)


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
    UnwrittenError : as of ``write_whole``
    """
    try:
        _write(path, content, replace=False)
    except IsThereError as error:
        raise _refused(option, path, error.problems[0].allowed, do) from None


def _write(path: Path, content: str | bytes, replace: bool) -> None:
    remove_abandoned(path.resolve().parent, path.name)
    with whole_file(path, replace=replace) as part:
        part.write_bytes(content.encode() if isinstance(content, str) else content)


def _refused(option: str, path: Path, allowed: str, do: str = "") -> InputError:
    return InputError(Problem(option, str(path), allowed, do))
