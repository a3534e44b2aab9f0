"""Saved structures and their versions."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import ColumnElement, bindparam, func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, defer

from longhold.store.connecting import Connected
from longhold.store.errors import EditedMeanwhile, NotInStore, StoreDamaged, StoreError
from longhold.store.given import (
    author_line,
    document_text,
    line,
    may_be_id,
    name_key,
    page_bounds,
    sha256,
    utc_now,
)
from longhold.store.records import Page, SavedStructure, Version, VersionInfo, WaitingChange
from longhold.store.tables import StructureRow, VersionRow
from longhold.store.waiting_rows import write_waiting

__all__ = ["Structures", "lock_structure", "need_structure"]

NAME_AT_MOST, NOTE_AT_MOST = 200, 2000
_IS_NEWEST = (VersionRow.structure_id == StructureRow.id) & (VersionRow.number == StructureRow.newest)
# built once: nearly every page of a structure asks for it
_NEWEST = (
    select(StructureRow, VersionRow).join(VersionRow, _IS_NEWEST).where(StructureRow.id == bindparam("id"))
)


class Structures(Connected):
    """What a store does with structures: every save is a version, and no version is ever changed or lost."""

    def save(
        self,
        structure: str | int,
        content: Mapping[str, Any],
        *,
        expecting: int | None = None,
        author: str = "",
        note: str = "",
        waiting: WaitingChange | None = None,
    ) -> Version:
        """Keep a structure document as a new version.

        The version is on the disk when this returns.

        Parameters
        ----------
        structure : id of a saved structure, or a name; a name that is not there yet makes a new structure
        content : the structure document as it stands in a structure file; it is not judged here
        expecting : number of the version that the edit began from, 0 for "there is none yet"; None saves on
            top of whatever is there (nothing is lost: what is there stays as a version)
        author, note : up to 200 and 2,000 characters; may be empty
        waiting : what it changes of the cells that wait, written with it or not at all

        Raises
        ------
        EditedMeanwhile : the newest version is another than ``expecting``; carries it
        NotInStore : no structure of this id
        StoreError : content that JSON cannot hold, an archived structure, a full disk, ...
        """
        kept = document_text("content", content)
        who, why = author_line(author), line("note", note, NOTE_AT_MOST, may_be_empty=True, lines=True)
        name = line("name", structure, NAME_AT_MOST) if isinstance(structure, str) else None

        def once() -> Version:
            with self._writing() as session:
                row = _for_writing(session, structure) if name is None else _named(session, name)
                if row is None:
                    row = _new_row(session, name or "")
                if expecting is not None and expecting != row.newest:
                    current = _version(session, row, row.newest) if row.newest else None
                    raise EditedMeanwhile(row.name, expecting, current)
                added = _add_version(session, row, kept, who, why, None)
                if waiting is not None:
                    write_waiting(session, row.id, added.number, waiting, who)
                return added

        try:
            return once()
        except IntegrityError:  # somebody made a structure of this name at the same moment
            return once()

    def restore(
        self,
        structure_id: int,
        number: int,
        *,
        expecting: int | None = None,
        author: str = "",
        note: str = "",
    ) -> Version:
        """A new version that is equal to an old one; those between stay.

        Raises
        ------
        NotInStore, EditedMeanwhile, StoreError : as of ``save``
        """
        who, why = author_line(author), line("note", note, NOTE_AT_MOST, may_be_empty=True, lines=True)
        with self._writing() as session:
            row = _for_writing(session, structure_id)
            old = _version_row(session, row, number)
            if expecting is not None and expecting != row.newest:
                raise EditedMeanwhile(row.name, expecting, _version(session, row, row.newest))
            return _add_version(session, row, old.content, who, why, number)

    def structures(
        self, *, search: str = "", archived: bool = False, offset: int = 0, limit: int = 50
    ) -> Page[SavedStructure]:
        """Saved structures, those saved last first.

        Parameters
        ----------
        search : only those whose name has this in it, whatever the case
        archived : those that were archived, instead of those in use
        offset, limit : from where on, and how many, at most 500
        """
        page_bounds(offset, limit)
        wanted: list[ColumnElement[bool]] = [StructureRow.archived_at.is_not(None) == archived]
        if search.strip():
            wanted.append(StructureRow.name_key.contains(name_key(search), autoescape=True))
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(StructureRow).where(*wanted)) or 0
            found = session.execute(
                select(StructureRow, VersionRow.author)
                .join(VersionRow, _IS_NEWEST)
                .where(*wanted)
                .order_by(VersionRow.id.desc())  # as they were saved, whatever the clock said
                .offset(offset)
                .limit(limit)
            )
            return Page(tuple(_summary(row, author) for row, author in found), total, offset)

    def structure(self, structure: str | int) -> SavedStructure:
        """One saved structure by its id, archived or not, or by the name that it has in use.

        Raises
        ------
        NotInStore : there is none; names that are alike are told
        """
        with self._reading() as session:
            row = _there(session, structure)
            author = session.scalar(select(VersionRow.author).where(*_is(row, row.newest)))
            return _summary(row, author or "")

    def newest(self, structure: str | int) -> Version:
        """The newest version of a structure.

        Raises
        ------
        NotInStore : no such structure
        StoreDamaged : the content is not what was saved
        """
        with self._reading() as session:
            if isinstance(structure, int) and may_be_id(structure):
                both = session.execute(_NEWEST, {"id": structure}).one_or_none()
                if both is not None:
                    _refuse_damaged(*both)
                    return _whole(*both)
            row = _there(session, structure)
            return _version(session, row, row.newest)

    def at(self, structure: str | int, number: int) -> Version:
        """One version of a structure.

        Raises
        ------
        NotInStore : no such structure, or no such version of it
        StoreDamaged : the content is not what was saved
        """
        with self._reading() as session:
            return _version(session, _there(session, structure), number)

    def history(self, structure: str | int, *, offset: int = 0, limit: int = 100) -> Page[VersionInfo]:
        """Versions of a structure without their contents, the newest first.

        Raises
        ------
        NotInStore : no such structure
        """
        page_bounds(offset, limit)
        with self._reading() as session:
            row = _there(session, structure)
            rows = session.scalars(
                select(VersionRow)
                .options(defer(VersionRow.content, raiseload=True))
                .where(VersionRow.structure_id == row.id)
                .order_by(VersionRow.number.desc())
                .offset(offset)
                .limit(limit)
            )
            return Page(tuple(VersionInfo(**_facts(row, one)) for one in rows), row.newest, offset)

    def rename(self, structure_id: int, name: str) -> SavedStructure:
        """Give a structure another name; its id and versions stay.

        Raises
        ------
        NotInStore : no such structure
        StoreError : the name is taken, empty or too long
        """
        wanted = line("name", name, NAME_AT_MOST)
        try:
            with self._writing() as session:
                row = _for_writing(session, structure_id)
                row.name, row.name_key = wanted, name_key(wanted)
                session.flush()
        except IntegrityError:
            raise _taken(wanted) from None
        return self.structure(structure_id)

    def archive(self, structure_id: int) -> SavedStructure:
        """Take a structure off the list; everything of it stays, and its name is free for another.

        Raises
        ------
        NotInStore : no such structure
        """
        with self._writing() as session:
            row = _for_writing(session, structure_id, archived=True)
            row.archived_at = row.archived_at or utc_now()
        return self.structure(structure_id)

    def unarchive(self, structure_id: int) -> SavedStructure:
        """Put an archived structure back on the list.

        Raises
        ------
        NotInStore : no such structure
        StoreError : another structure has its name by now
        """
        try:
            with self._writing() as session:
                row = _for_writing(session, structure_id, archived=True)
                name, row.archived_at = row.name, None
                session.flush()
        except IntegrityError:
            raise _taken(name) from None
        return self.structure(structure_id)


def need_structure(session: Session, structure_id: int, number: int | None = None) -> None:
    """Refuse what is about a structure, or a version of one, that is not there.

    Raises
    ------
    NotInStore : it is not
    """
    row = session.get(StructureRow, structure_id)
    if row is None:
        raise _missing(session, structure_id)
    if number is not None and not 1 <= number <= row.newest:
        raise NotInStore("version", number, f"there is no such version of {row.name!r}.")


def lock_structure(session: Session, structure_id: int) -> None:
    """Keep others from writing about a structure until this session ends.

    Raises
    ------
    NotInStore : it is not there
    """
    there = may_be_id(structure_id)
    if not there or session.get(StructureRow, structure_id, with_for_update=True) is None:
        raise _missing(session, structure_id)


def _taken(name: str) -> StoreError:
    return StoreError("name", name, "another structure has this name.", "Choose another name.")


def _named(session: Session, name: str) -> StructureRow | None:
    wanted = (StructureRow.name_key == name_key(name)) & StructureRow.archived_at.is_(None)
    return session.scalar(select(StructureRow).where(wanted).with_for_update())


def _there(session: Session, structure: str | int) -> StructureRow:
    found = (
        _named_for_reading(session, structure)
        if isinstance(structure, str)
        else session.get(StructureRow, structure)
        if may_be_id(structure)
        else None
    )
    if found is None:
        raise _missing(session, structure)
    return found


def _named_for_reading(session: Session, name: str) -> StructureRow | None:
    wanted = (StructureRow.name_key == name_key(name)) & StructureRow.archived_at.is_(None)
    return session.scalar(select(StructureRow).where(wanted))


_LIST = "'longhold saved' lists what there is."


def _missing(session: Session, structure: str | int) -> NotInStore:
    if not isinstance(structure, str):
        return NotInStore("structure", structure, "there is none with this number in the store.")
    from difflib import get_close_matches

    recent = select(StructureRow.name).where(StructureRow.archived_at.is_(None))
    names = session.scalars(recent.order_by(StructureRow.saved_at.desc()).limit(1000)).all()
    close = get_close_matches(structure, names, n=3)
    do = f"Did you mean {' or '.join(map(repr, close))}?" if close else _LIST
    return NotInStore("structure", structure, "there is none of this name in the store.", do)


def _for_writing(session: Session, structure: str | int, archived: bool = False) -> StructureRow:
    there = isinstance(structure, str) or may_be_id(structure)
    row = session.get(StructureRow, structure, with_for_update=True) if there else None
    if row is None:
        raise _missing(session, structure)
    if row.archived_at is not None and not archived:
        raise StoreError("structure", row.name, "is archived.", "Take it out of the archive first.")
    return row


def _new_row(session: Session, name: str) -> StructureRow:
    now = utc_now()
    row = StructureRow(name=name, name_key=name_key(name), newest=0, saved_at=now, created_at=now)
    session.add(row)
    session.flush()
    return row


def _add_version(
    session: Session, row: StructureRow, kept: str, author: str, note: str, restored_from: int | None
) -> Version:
    now = utc_now()
    added = VersionRow(
        structure_id=row.id,
        number=row.newest + 1,
        content=kept,
        sha256=sha256(kept),
        parent=row.newest or None,
        restored_from=restored_from,
        author=author,
        note=note,
        saved_at=now,
    )
    session.add(added)
    row.newest, row.saved_at = added.number, now
    session.flush()
    return Version(content=json.loads(kept), **_facts(row, added))


def _is(row: StructureRow, number: int) -> tuple[ColumnElement[bool], ...]:
    return VersionRow.structure_id == row.id, VersionRow.number == number


def _version_row(session: Session, row: StructureRow, number: int) -> VersionRow:
    found = session.scalar(select(VersionRow).where(*_is(row, number))) if may_be_id(number) else None
    if found is None:
        said = f"there is no such version of {row.name!r}; it has 1 to {row.newest}."
        raise NotInStore("version", number, said)
    _refuse_damaged(row, found)
    return found


def _refuse_damaged(row: StructureRow, version: VersionRow) -> None:
    if sha256(version.content) != version.sha256:
        said = f"version {version.number} of {row.name!r} is not what was saved."
        do = "Other versions may be whole: 'longhold store-check' tells which."
        raise StoreDamaged("the store", None, said, do)


def _version(session: Session, row: StructureRow, number: int) -> Version:
    return _whole(row, _version_row(session, row, number))


def _whole(row: StructureRow, version: VersionRow) -> Version:
    return Version(content=json.loads(version.content), **_facts(row, version))


def _facts(row: StructureRow, version: VersionRow) -> dict[str, Any]:
    return {
        "structure_id": row.id,
        "name": row.name,
        "number": version.number,
        "newest": row.newest,
        "sha256": version.sha256,
        "parent": version.parent,
        "restored_from": version.restored_from,
        "author": version.author,
        "note": version.note,
        "saved_at": version.saved_at,
    }


def _summary(row: StructureRow, author: str) -> SavedStructure:
    return SavedStructure(row.id, row.name, row.newest, author, row.saved_at, row.created_at, row.archived_at)
