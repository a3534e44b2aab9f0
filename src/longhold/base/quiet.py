"""Libraries' warnings kept from people, whatever other threads do meanwhile."""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["quiet"]

_lock = threading.Lock()
_inside: list[warnings.catch_warnings[None]] = []


@contextmanager
def quiet() -> Iterator[None]:
    """Let no library warn while a file that somebody handed in is read; nobody waits for another one.

    What the process does with warnings is one setting for all of its threads. Were each of them to put back
    what it found, one that began amid another would leave it as that one had set it, for good. Here the first
    one in sets it, and the last one out puts it back.
    """
    with _lock:
        caught: warnings.catch_warnings[None] = _inside[0] if _inside else warnings.catch_warnings()
        if not _inside:
            caught.__enter__()
            warnings.simplefilter("ignore")
        _inside.append(caught)
    try:
        yield
    finally:
        with _lock:
            _inside.pop()
            if not _inside:
                caught.__exit__(None, None, None)
