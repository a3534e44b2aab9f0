"""A server of ours for the time of a measurement."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def our_server(folder: Path, *more: str) -> Iterator[tuple[int, list[str]]]:
    """The port of a server with its store in a folder; and, once it has stopped, the lines that it said.

    Parameters
    ----------
    folder : where its store is
    more : options of ``longhold serve``
    """
    words = ("-m", "longhold", "serve", "--port", "0", "--no-browser", "--store", str(folder / "store.db"))
    server = subprocess.Popen([sys.executable, *words, *more], stderr=subprocess.PIPE, text=True)
    said: list[str] = []
    try:
        assert server.stderr is not None
        found = (re.search(r":(\d+)/", line) for line in server.stderr)
        port = next((one[1] for one in found if one is not None), None)
        if port is None:
            raise RuntimeError("the server ended before it told its port")
        yield int(port), said
    finally:
        server.terminate()
        said += server.communicate(timeout=30)[1].splitlines()
