"""What a store hands out: plain frozen records, with no tie to the database."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Generic, Literal, TypeVar

from longhold.model.reading import Reading

__all__ = [
    "Account",
    "Attachment",
    "AttachmentInfo",
    "Delivery",
    "GivenReading",
    "Job",
    "JobState",
    "Keeping",
    "KeptReading",
    "KeptResult",
    "OfferList",
    "OfferListInfo",
    "OpenedSession",
    "Page",
    "Role",
    "SavedStructure",
    "SignedIn",
    "Version",
    "VersionInfo",
    "Waiting",
    "WaitingChange",
]

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
    newest : number of the newest version when this one was read
    sha256 : of the content as it is kept, hexadecimal
    parent : number of the version before; None of the first
    restored_from : number of the version that this one brings back
    author, note : as they were given; may be empty
    saved_at : in UTC
    """

    structure_id: int
    name: str
    number: int
    newest: int = field(compare=False)
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

    @property
    def is_newest(self) -> bool:
        """Whether none was newer when it was read."""
        return self.number == self.newest


Role = Literal["viewer", "editor", "owner"]
"""A viewer reads, an editor saves too, an owner also decides who may."""


@dataclass(frozen=True)
class Account:
    """Someone who may sign in; ``closed_at`` in UTC where they may no more."""

    id: int
    name: str
    role: Role
    created_at: datetime
    closed_at: datetime | None


@dataclass(frozen=True)
class OpenedSession:
    """A session as it is opened: the only time that its token is seen."""

    token: str = field(repr=False)
    account: Account
    expires_at: datetime


@dataclass(frozen=True)
class SignedIn:
    """Who a token stands for, and until when."""

    account: Account
    opened_at: datetime
    expires_at: datetime


JobState = Literal["queued", "running", "done", "failed", "canceled", "interrupted"]
"""Interrupted: its process died. Such a job can be queued again."""


@dataclass(frozen=True)
class Job:
    """A computation that was asked for.

    Attributes
    ----------
    kind : what is to be computed, such as ``assessment``
    inputs, inputs_hash : of what
    author : who asked
    state : see ``JobState``
    progress : share that is done, 0 to 1
    stage : what it is at, in words for people
    result : what came out, once it is done
    fault : why it failed, in words for people
    attempt : how often it was begun
    """

    id: int
    kind: str
    inputs: Mapping[str, Any]
    inputs_hash: str
    author: str
    state: JobState
    progress: float
    stage: str
    result: Mapping[str, Any] | None
    fault: str
    attempt: int
    queued_at: datetime
    started_at: datetime | None
    ended_at: datetime | None

    @property
    def is_over(self) -> bool:
        """Whether nothing more will come of it unless it is queued again."""
        return self.state not in ("queued", "running")


@dataclass(frozen=True)
class KeptResult:
    """What one release of the code answered to some inputs."""

    kind: str
    inputs_hash: str
    code_version: str
    result: Mapping[str, Any]
    structure_id: int | None
    number: int | None
    kept_at: datetime


@dataclass(frozen=True, kw_only=True)
class OfferListInfo:
    """A supplier's list as it was on one day, without its lines; ``source`` says where it came from."""

    id: int
    name: str
    source: str
    sha256: str
    author: str
    kept_at: datetime


@dataclass(frozen=True, kw_only=True)
class OfferList(OfferListInfo):
    """A supplier's list with what it holds."""

    content: Mapping[str, Any]


@dataclass(frozen=True, kw_only=True)
class AttachmentInfo:
    """A file that was handed in, without its bytes; ``joint`` is the id of a joint, or empty."""

    id: int
    structure_id: int | None
    joint: str
    name: str
    media_type: str
    size_bytes: int
    sha256: str
    author: str
    kept_at: datetime


@dataclass(frozen=True, kw_only=True)
class Attachment(AttachmentInfo):
    """A file with its bytes, which are those that were handed in."""

    data: bytes = field(repr=False)


@dataclass(frozen=True, kw_only=True)
class ReadingTurn:
    """That a reading was taken back, or counts again: who said so, when and why."""

    counts: bool
    why: str
    author: str
    turned_at: datetime


@dataclass(frozen=True, kw_only=True)
class KeptReading:
    """A reading on a structure.

    Attributes
    ----------
    entry : its id, from its content or made where it was typed; one structure has each once
    reading : every field of it
    source : name of the file it came in, or where it was typed
    turn : how it stands, where it was ever taken back
    """

    entry: str
    structure_id: int
    reading: Reading
    source: str
    author: str
    kept_at: datetime
    turn: ReadingTurn | None = None

    @property
    def counts(self) -> bool:
        """Whether it is not taken back."""
        return self.turn is None or self.turn.counts


@dataclass(frozen=True, kw_only=True)
class GivenReading:
    """A reading to be kept.

    Attributes
    ----------
    entry : id that was made where it was typed; blank takes one from the content
    photograph : bytes of the photograph that the reading names; None where none is sent
    media_type : of the photograph
    """

    reading: Reading
    entry: str = ""
    photograph: bytes | None = field(default=None, repr=False)
    media_type: str = "image/jpeg"


@dataclass(frozen=True, kw_only=True)
class Keeping:
    """What came of handing in a reading; ``is_new`` is false where it was kept already."""

    kept: KeptReading
    is_new: bool


@dataclass(frozen=True, kw_only=True)
class Delivery:
    """Goods that came to the site, as they were checked in; ``reference`` is the number on their papers."""

    id: int
    structure_id: int
    entry: str
    reference: str
    content: Mapping[str, Any]
    author: str
    received_at: datetime
    kept_at: datetime


@dataclass(frozen=True)
class Waiting:
    """A text that was typed into a cell and waits to be put right.

    Attributes
    ----------
    id : its number
    number : version whose rows ``cell`` speaks of
    cell : path inside the structure
    typed : the text
    author, typed_at : who typed it, and when
    """

    id: int
    number: int
    cell: str
    typed: str
    author: str
    typed_at: datetime


@dataclass(frozen=True)
class WaitingChange:
    """What changes of the cells that wait; what it does not speak of stays as it is.

    Attributes
    ----------
    add : text by path of a cell that waits from now on
    moved : path by id of what waits on, in the rows of another version
    drop : text by id of what no longer waits; a row that is gone, or says another text, is left alone
    """

    add: Mapping[str, str] = field(default_factory=dict)
    moved: Mapping[int, str] = field(default_factory=dict)
    drop: Mapping[int, str] = field(default_factory=dict)
