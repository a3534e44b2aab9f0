"""What was made is kept: once for good, or the answers asked for last. Who asks meanwhile waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from functools import cache, wraps
from threading import Condition
from typing import Any, Generic, ParamSpec, TypeVar

from cachetools import LRUCache, cached
from cachetools.keys import hashkey

__all__ = ["Recent", "once"]

Value = TypeVar("Value")
Asked = ParamSpec("Asked")


def once(make: Callable[Asked, Value]) -> Callable[Asked, Value]:
    """A function that makes each answer once and keeps it for good.

    Threads that ask before it is made wait for the one that makes it; after a making that failed the next of
    them tries. A making may ask for other answers, but imports no module of ours: a thread that imports one
    may wait for it.

    Parameters
    ----------
    make : what gives the answer; its arguments are hashable

    Raises
    ------
    RecursionError : a making asks for what it makes

    >>> made = once(lambda name: [name])
    >>> made("a") is made("a"), made("a") is made("b")
    (True, False)
    """
    kept: dict[Any, Value] = {}
    alone = _never_by_itself(cached(kept, condition=Condition())(make), hashkey)
    return cache(alone)  # type: ignore[return-value]  # what is there already is found without a lock


class Recent(Generic[Value]):
    """Answers by key; when there are too many, the one not asked for longest is forgotten.

    Threads that ask for one key at once wait for one making; other keys are not held up by it.

    Parameters
    ----------
    most : how many are kept, at least one; or how large all of them together
    size_of : how large one is; without, each counts as one. What is larger than all may be is not kept

    >>> kept = Recent[int](1)
    >>> kept.get("a", lambda: 1), kept.get("a", lambda: 2), kept.get("b", lambda: 3), kept.get("a", lambda: 4)
    (1, 1, 3, 4)
    """

    def __init__(self, most: int, size_of: Callable[[Value], int] | None = None) -> None:
        kept: LRUCache[Hashable, Value] = LRUCache(max(most, 1), size_of)
        self._get = _never_by_itself(cached(kept, key=_key, condition=Condition())(_made), _key)

    def get(self, key: Hashable, make: Callable[[], Value]) -> Value:
        """The answer kept under a key, made and kept where there is none."""
        found: Value = self._get(key, make)
        return found


def _never_by_itself(alone: Callable[..., Value], key_of: Callable[..., Hashable]) -> Callable[..., Value]:
    """The same, but a making that asks for what it makes is told so: it would wait for itself for ever."""
    here = threading.local()

    @wraps(alone)
    def first(*asked: Any, **named: Any) -> Value:
        key, making = key_of(*asked, **named), here.__dict__.setdefault("making", set())
        if key in making:
            raise RecursionError(f"the making of {key} asks for what it makes")
        making.add(key)
        try:
            return alone(*asked, **named)
        finally:
            making.discard(key)

    return first


def _key(key: Hashable, _: object) -> Hashable:
    return key


def _made(_: Hashable, make: Callable[[], Value]) -> Value:
    return make()
