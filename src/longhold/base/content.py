"""What the tables hold, as hashes, so that a result can say which tables it was computed from."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from longhold.base.recent import once
from longhold.base.tables import list_tables, read_text

__all__ = ["table_hashes"]

_PLACES = "longhold_places"


@once
def table_hashes() -> Mapping[str, str]:
    """SHA-256 by folder of tables, over the names and contents of its files.

    The data of places on earth counts as one more folder, where it is installed.

    >>> sorted(table_hashes())[:3]
    ['air', 'assessment', 'choose']
    """
    found: dict[str, hashlib._Hash] = {}
    for path in list_tables():
        # line ends are those of the text, whatever the system that it was unpacked on makes of them
        content = read_text(path).replace("\r\n", "\n").encode()
        _add(found.setdefault(path.split("/")[0], hashlib.sha256()), path, content)
    if find_spec(_PLACES) is not None:
        digest = found.setdefault(_PLACES, hashlib.sha256())
        for file in sorted(Path(import_module(_PLACES).folder()).iterdir()):
            if file.suffix in (".csv", ".npz"):
                _add(digest, file.name, file.read_bytes())
    return {folder: digest.hexdigest() for folder, digest in sorted(found.items())}


def _add(digest: hashlib._Hash, name: str, content: bytes) -> None:
    digest.update(f"{name}\0{len(content)}\0".encode())
    digest.update(content)
