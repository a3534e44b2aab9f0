"""How often something may be tried: a store of tries per key that fills up again with time."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from ipaddress import IPv6Address, ip_address
from math import ceil

__all__ = ["Allowance", "asker"]

_MOST_KEYS = 10_000


class Allowance:
    """Tries per key.

    Parameters
    ----------
    most : tries at once
    seconds : time in which they all come back [s]
    clock : seconds that only grow

    >>> now = [0.0]
    >>> tries = Allowance(2, 60.0, clock=lambda: now[0])
    >>> tries.wait("a"), tries.wait("a"), tries.wait("a"), tries.wait("b")
    (0, 0, 30, 0)
    >>> now[0] = 30.0
    >>> tries.wait("a")
    0
    """

    def __init__(self, most: int, seconds: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._rate, self._clock = most, most / seconds, clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = threading.Lock()

    def wait(self, key: str) -> int:
        """Take one try; where none is left, whole seconds until one is, else 0."""
        with self._lock:
            now = self._clock()
            left, since = self._left.pop(key, (float(self._most), now))
            left = min(float(self._most), left + (now - since) * self._rate)
            self._left[key] = (left - 1.0 if left >= 1.0 else left, now)
            while len(self._left) > _MOST_KEYS:
                self._left.popitem(last=False)
        return 0 if left >= 1.0 else max(1, ceil((1.0 - left) / self._rate))

    def give_back(self, key: str) -> None:
        """Undo one try, which was no guess."""
        with self._lock:
            if key in self._left:
                left, since = self._left[key]
                self._left[key] = (min(float(self._most), left + 1.0), since)


def asker(address: str) -> str:
    """Who an address stands for: one of IPv4 for itself, one of IPv6 for its network, which one person holds.

    >>> asker("192.0.2.7"), asker("2001:db8:1:2:3:4:5:6")
    ('192.0.2.7', '2001:db8:1:2::')
    """
    try:
        found = ip_address(address)
    except ValueError:
        return address[:64]
    if isinstance(found, IPv6Address):
        if found.ipv4_mapped is not None:
            return str(found.ipv4_mapped)
        return str(IPv6Address(int(found) >> 64 << 64))
    return str(found)
