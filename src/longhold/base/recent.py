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
        self._making: dict[Hashable, _Making] = {}
        self._lock = threading.Lock()

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The answer kept under a key, made and kept where there is none."""
        with self._lock:
            if key in self._kept:
                return self._found(key)
            making = self._making.setdefault(key, _Making())
            making.asking += 1
        try:
            with making.alone:
                with self._lock:
                    if key in self._kept:
                        return self._found(key)
                made = make()
                with self._lock:
                    self._kept[key] = made
                    if len(self._kept) > self._most:
                        self._kept.popitem(last=False)
                return made
        finally:
            with self._lock:
                making.asking -= 1
                # after a making that failed, one of those who waited makes: who comes then waits for it too
                if not making.asking:
                    del self._making[key]

    def _found(self, key: Hashable) -> Value:
        self._kept.move_to_end(key)
        return self._kept[key]


class _Making:
    """What those who ask for one key wait for, and how many they are."""

    def __init__(self) -> None:
        self.alone = threading.RLock()
        self.asking = 0
