"""For programs: structures that are kept, with every version."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query, Response
from pydantic import Field

from longhold.store import Store, Version
from longhold.web.accounts_person import Author
from longhold.web.api_common import LIMIT, MORE_PROBLEMS, PROBLEMS, Id, Limit, Number, Offset, Shape
from longhold.web.structure_pages import Kept
from longhold.web.waiting import left_out

__all__ = ["router"]

router = APIRouter(prefix="/api/structures", tags=["structures"], responses=PROBLEMS)
_Name = Annotated[str, Field(min_length=1, max_length=200)]
_Note = Annotated[str, Field(max_length=2000, description="Why it was saved.")]
_Content = Annotated[
    dict[str, Any],
    Field(description="The structure as it stands in a JSON structure file; it may be unfinished."),
]


class SavedItem(Shape):
    """A structure without its content."""

    id: int
    name: str
    newest: int = Field(description="Number of its newest version.")
    author: str
    saved_at: datetime
    created_at: datetime
    archived_at: datetime | None


class VersionItem(Shape):
    """One save of a structure, without its content."""

    structure_id: int
    name: str
    number: int
    sha256: str
    parent: int | None
    restored_from: int | None
    author: str
    note: str
    saved_at: datetime


class VersionDocument(VersionItem):
    """One save of a structure."""

    content: dict[str, Any]
    left_out: str = Field(
        default="",
        description="What was typed in its sheet, cannot be used and is in no version until it is put "
        "right; of the newest version alone.",
    )


class PageOfStructures(Shape):
    """Some of the structures."""

    items: list[SavedItem]
    total: int
    offset: int
    next_offset: int | None


class PageOfVersions(Shape):
    """Some versions of a structure, the newest first."""

    items: list[VersionItem]
    total: int
    offset: int
    next_offset: int | None


class NewStructure(Shape):
    """What a structure begins with."""

    name: _Name
    content: _Content
    note: _Note = ""


class NewVersion(Shape):
    """A change to a structure."""

    content: _Content
    expecting: Annotated[Number, Field(description="Number of the version that the edit began from.")]
    note: _Note = ""


class Restored(Shape):
    """Which version is brought back."""

    version: Number
    expecting: Annotated[Number, Field(description="Number of the version that is there now.")]
    note: _Note = ""


class Renamed(Shape):
    """Another name."""

    name: _Name


@router.get("", summary="List the structures")
def listed(
    store: Kept,
    search: Annotated[str, Query(max_length=200, description="Only names that have this in them.")] = "",
    archived: bool = False,
    offset: Offset = 0,
    limit: Limit = LIMIT,
) -> PageOfStructures:
    """Structures, those saved last first."""
    page = store.structures(search=search, archived=archived, offset=offset, limit=limit)
    return PageOfStructures.model_validate(page)


@router.post("", summary="Keep a new structure", status_code=201, responses=MORE_PROBLEMS)
def begun(store: Kept, author: Author, sent: NewStructure, response: Response) -> VersionDocument:
    """Keep a structure under a name that is not taken, as its version 1."""
    kept = store.save(sent.name, sent.content, expecting=0, author=author, note=sent.note)
    response.headers["location"] = f"/api/structures/{kept.structure_id}"
    return VersionDocument.model_validate(kept)


@router.get("/{number}", summary="Give the newest version of a structure")
def newest(store: Kept, number: Id) -> VersionDocument:
    """The newest version, with its content."""
    return _document(store, store.newest(number))


@router.put("/{number}", summary="Keep a new version of a structure", responses=MORE_PROBLEMS)
def changed(store: Kept, author: Author, number: Id, sent: NewVersion) -> VersionDocument:
    """Keep another content as a new version; refused (409) where somebody saved since ``expecting``."""
    kept = store.save(number, sent.content, expecting=sent.expecting, author=author, note=sent.note)
    return VersionDocument.model_validate(kept)


@router.patch("/{number}", summary="Rename a structure")
def renamed(store: Kept, number: Id, sent: Renamed) -> SavedItem:
    """Another name; the number and the versions stay."""
    return SavedItem.model_validate(store.rename(number, sent.name))


@router.delete("/{number}", summary="Archive a structure")
def archived(store: Kept, number: Id) -> SavedItem:
    """Take it off the list; everything of it stays, and it can be brought back."""
    return SavedItem.model_validate(store.archive(number))


@router.post("/{number}/unarchive", summary="Bring a structure back from the archive")
def unarchived(store: Kept, number: Id) -> SavedItem:
    """Put it back on the list."""
    return SavedItem.model_validate(store.unarchive(number))


@router.get("/{number}/versions", summary="List the versions of a structure")
def history(store: Kept, number: Id, offset: Offset = 0, limit: Limit = LIMIT) -> PageOfVersions:
    """Every version without its content, the newest first."""
    return PageOfVersions.model_validate(store.history(number, offset=offset, limit=limit))


@router.get("/{number}/versions/{version}", summary="Give one version of a structure")
def at_version(store: Kept, number: Id, version: Id) -> VersionDocument:
    """A structure as it once was."""
    return _document(store, store.at(number, version))


@router.post("/{number}/restore", summary="Bring an old version back", responses=MORE_PROBLEMS)
def restored(store: Kept, author: Author, number: Id, sent: Restored) -> VersionDocument:
    """Keep an old version as the newest; those between stay."""
    kept = store.restore(number, sent.version, expecting=sent.expecting, author=author, note=sent.note)
    return VersionDocument.model_validate(kept)


def _document(store: Store, held: Version) -> VersionDocument:
    return VersionDocument.model_validate(held).model_copy(update={"left_out": left_out(store, held)})
