"""Arrays that cost much to compute, kept in a folder under a key of everything they depend on."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.whole_files import UnwrittenError, whole_file

__all__ = ["KeptArrays", "default_folder", "key_of"]

Array = NDArray[np.float64]

_MOST_FILES = 4000
_OWN_NAME = re.compile("[0-9a-f]{64}")


def key_of(parts: Iterable[Any]) -> str:
    """One key for all that a result depends on: arrays by their bytes, everything else by its repr.

    >>> key_of([1.0, "a"]) == key_of([1.0, "a"]), key_of([np.zeros(2)]) == key_of([np.zeros(3)])
    (True, False)
    """
    digest = hashlib.sha256()
    for part in parts:
        if isinstance(part, np.ndarray):
            digest.update(f"{part.dtype}{part.shape}".encode())
            digest.update(np.ascontiguousarray(part).tobytes())
        elif isinstance(part, bytes):
            digest.update(part)
        else:
            digest.update(repr(part).encode())
        digest.update(b"\0")
    return digest.hexdigest()


def default_folder() -> Path | None:
    """Where results are kept: LONGHOLD_CACHE if set (None where it is ``off``), else the user's cache."""
    asked = os.environ.get("LONGHOLD_CACHE", "")
    if asked.lower() == "off":
        return None
    if asked:
        return Path(asked)
    home = os.environ.get("XDG_CACHE_HOME", "")
    try:
        return (Path(home) if home else Path.home() / ".cache") / "longhold" / "wood"
    except RuntimeError:  # a user without a home
        return None


class KeptArrays:
    """Named arrays by key, in a folder or only in memory.

    A folder that cannot be written, or a file in it that cannot be read, costs time and nothing else.

    Parameters
    ----------
    folder : None keeps in memory alone
    """

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._here: dict[str, Mapping[str, Array]] = {}

    def get(self, key: str) -> Mapping[str, Array] | None:
        """The arrays kept under a key, or None."""
        if key not in self._here and self._folder is not None:
            try:
                with np.load(self._folder / f"{key}.npz", allow_pickle=False) as stored:
                    self._here[key] = {name: stored[name] for name in stored.files}
            except Exception:  # whatever is wrong with a kept file, the answer is to compute anew
                return None
        return self._here.get(key)

    def put(self, key: str, arrays: Mapping[str, Array]) -> None:
        """Keep arrays under a key; written whole or not at all."""
        self._here[key] = arrays
        if self._folder is None:
            return
        try:
            target = self._folder / f"{key}.npz"
            with whole_file(target, private=True, folders=True) as part, part.open("wb") as stream:
                np.savez_compressed(stream, allow_pickle=False, **dict(arrays))
            self._forget_oldest()
        except (OSError, UnwrittenError):
            return

    def _forget_oldest(self) -> None:
        if self._folder is None:
            return
        own = [file for file in self._folder.glob("*.npz") if _OWN_NAME.fullmatch(file.stem)]
        files = sorted(own, key=lambda file: file.stat().st_mtime)
        for file in files[:-_MOST_FILES]:
            file.unlink(missing_ok=True)
