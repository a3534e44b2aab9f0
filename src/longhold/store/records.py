"""What a store hands out: plain frozen records, with no tie to the database."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, TypeVar

__all__ = ["Page", "SavedStructure", "Version", "VersionInfo"]

Item = TypeVar("Item")


@dataclass(frozen=True)
class Page(Generic[Item]):
    """Some of many, in order.

    Attributes
    ----------
    items : what stands on this page
    total : how many there are on all pages
    offset : how many stand before this page
    """

    items: tuple[Item, ...]
    total: int
    offset: int = 0

    @property
    def next_offset(self) -> int | None:
        """Where the next page begins; None on the last.

        >>> Page((1, 2), 5).next_offset, Page((5,), 5, 4).next_offset
        (2, None)
        """
        after = self.offset + len(self.items)
        return after if self.items and after < self.total else None


@dataclass(frozen=True)
class SavedStructure:
    """A structure in a store, without its content.

    Attributes
    ----------
    id : for as long as the store lives; the name may change
    name : unique among those that are not archived, whatever the case of its letters
    newest : number of its newest version, from 1 up
    author : who saved that version
    saved_at, created_at, archived_at : in UTC; the last is None where it is not archived
    """

    id: int
    name: str
    newest: int
    author: str
    saved_at: datetime
    created_at: datetime
    archived_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class VersionInfo:
    """One save of a structure, without its content.

    Attributes
    ----------
    structure_id, name : which structure, and its name now
    number : from 1 up, without gaps
    sha256 : of the content as it is kept, hexadecimal
    parent : number of the version before; None of the first
    restored_from : number of the version that this one brings back
    author, note : as they were given; may be empty
    saved_at : in UTC
    """

    structure_id: int
    name: str
    number: int
    sha256: str
    parent: int | None
    restored_from: int | None
    author: str
    note: str
    saved_at: datetime


@dataclass(frozen=True, kw_only=True)
class Version(VersionInfo):
    """One save of a structure, with the structure document as it was saved."""

    content: Mapping[str, Any]
