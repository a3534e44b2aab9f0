"""The answers asked for last, as many of them as memory is granted for."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

__all__ = ["Recent"]

Value = TypeVar("Value")


class Recent(Generic[Value]):
    """Answers by key; when there are too many, the one not asked for longest is forgotten.

    Threads that ask for one key at once wait for one making; other keys are not held up by it.

    Parameters
    ----------
    most : how many are kept, at least one

    >>> kept = Recent[int](1)
    >>> kept.get("a", lambda: 1), kept.get("a", lambda: 2), kept.get("b", lambda: 3), kept.get("a", lambda: 4)
    (1, 1, 3, 4)
    """

    def __init__(self, most: int) -> None:
        self._most = max(most, 1)
        self._kept: OrderedDict[Hashable, Value] = OrderedDict()
        self._making: dict[Hashable, threading.RLock] = {}
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The answer kept under a key, made and kept where there is none."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            alone = self._making.setdefault(key, threading.RLock())
        with alone:
            try:
                with self._lock:
                    if key in self._kept:
                        self._kept.move_to_end(key)
                        return self._kept[key]
                made = make()
                with self._lock:
                    self._kept[key] = made
                    if len(self._kept) > self._most:
                        self._kept.popitem(last=False)
                return made
            finally:
                with self._lock:
                    # after a making that failed, those who waited for it and those who came later hold two locks
                    if self._making.get(key) is alone:
                        del self._making[key]
