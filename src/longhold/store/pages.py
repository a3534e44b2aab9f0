"""Lists that the store gives page by page, read to their end."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from longhold.store.records import Page

__all__ = ["every"]


def every(asked: Callable[..., Page[Any]], *words: Any, **more: Any) -> Iterator[Any]:
    """All items of a list that the store gives page by page."""
    offset: int | None = 0
    while offset is not None:
        page = asked(*words, offset=offset, limit=500, **more)
        yield from page.items
        offset = page.next_offset
