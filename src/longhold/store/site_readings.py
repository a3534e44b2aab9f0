"""Readings on structures: each kept whole, and once, however often it is sent."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from pydantic import ValidationError
from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from longhold.model.reading import Reading
from longhold.store.connecting import Connected
from longhold.store.errors import NotInStore, StoreDamaged, StoreError
from longhold.store.given import author_line, document_text, line, page_bounds, sha256, utc_now
from longhold.store.records import GivenReading, Keeping, KeptReading, Page, ReadingTurn
from longhold.store.site_records import attach
from longhold.store.structures import lock_structure
from longhold.store.tables import ReadingRow, ReadingTurnRow

__all__ = ["SiteReadings"]

_ENTRY = re.compile(r"[0-9A-Za-z-]{1,64}")
MOST_AT_ONCE = 2000
WHY_AT_MOST = 500


class SiteReadings(Connected):
    """Readings; none is ever changed or deleted: one taken back is kept, and no longer counts."""

    def keep_readings(
        self,
        structure_id: int,
        given: Sequence[GivenReading],
        *,
        source: str = "",
        files: Sequence[tuple[str, str, bytes]] = (),
        author: str = "",
    ) -> tuple[Keeping, ...]:
        """Keep readings, all of them or, where one is refused, none; each with its photograph.

        One that says the same as one that is kept, or has its id, is not kept twice.

        Parameters
        ----------
        given : up to 2000
        source : name of the file they came in, or where they were typed
        files : name, media type and bytes of the files they came in, kept with them or not at all

        Returns
        -------
        what came of each, in their order

        Raises
        ------
        StoreError : an id that is none, or stands for another reading; a photograph too large
        NotInStore : no such structure
        """
        if len(given) > MOST_AT_ONCE:
            said = f"{len(given):,} are sent; up to {MOST_AT_ONCE:,} are kept at once."
            raise StoreError("readings", None, said, "Send them in parts.")
        named, who = line("source", source, 200, may_be_empty=True), author_line(author)
        with self._writing() as session:
            lock_structure(session, structure_id)
            for name, media_type, data in files:
                attach(session, data, name, media_type, structure_id=structure_id, author=who)
            turns = _turns(session, structure_id)
            return tuple(_keep(session, structure_id, one, named, who, turns) for one in given)

    def readings(
        self,
        structure_id: int,
        *,
        kind: str | None = None,
        joint: str | None = None,
        offset: int = 0,
        limit: int = 500,
    ) -> Page[KeptReading]:
        """Readings on a structure by their date, then as they were kept; of one kind or joint or of all.

        Those taken back are among them.

        Raises
        ------
        StoreDamaged : one is not what was written
        """
        page_bounds(offset, limit)
        wanted = [ReadingRow.structure_id == structure_id]
        wanted += [] if kind is None else [ReadingRow.kind == kind]
        wanted += [] if joint is None else [ReadingRow.joint == joint]
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(ReadingRow).where(*wanted)) or 0
            found = select(ReadingRow).where(*wanted).order_by(ReadingRow.taken_on, ReadingRow.id)
            rows = session.scalars(found.offset(offset).limit(limit)).all()
            turns = _turns(session, structure_id)
            return Page(tuple(_kept(row, turns.get(row.id)) for row in rows), total, offset)

    def turn_reading(
        self, structure_id: int, entry: str, *, counts: bool, why: str = "", author: str = ""
    ) -> KeptReading:
        """Take a reading back, or let it count again; said twice it is noted once.

        Parameters
        ----------
        entry : id of the reading
        counts : false takes it back
        why : up to 500 letters

        Raises
        ------
        NotInStore : no such structure, or no reading of it under this id
        StoreError : a reason that is too long
        """
        said, who = line("why", why, WHY_AT_MOST, may_be_empty=True), author_line(author)
        with self._writing() as session:
            lock_structure(session, structure_id)
            of_it = (ReadingRow.structure_id == structure_id, ReadingRow.entry == entry)
            row = session.scalars(select(ReadingRow).where(*of_it)).first()
            if row is None:
                raise NotInStore("reading", entry[:12], "is not kept with this structure.")
            kept = _kept(row, _turns(session, structure_id).get(row.id))
            if kept.counts == counts:
                return kept
            turn = ReadingTurnRow(reading_id=row.id, counts=counts, why=said, author=who, turned_at=utc_now())
            session.add(turn)
            session.flush()
            return _kept(row, turn)


def _turns(session: Session, structure_id: int) -> dict[int, ReadingTurnRow]:
    """The last turn of each reading that was ever taken back."""
    found = select(ReadingTurnRow).join(ReadingRow).where(ReadingRow.structure_id == structure_id)
    return {row.reading_id: row for row in session.scalars(found.order_by(ReadingTurnRow.id))}


def _keep(
    session: Session,
    structure_id: int,
    given: GivenReading,
    source: str,
    author: str,
    turns: Mapping[int, ReadingTurnRow],
) -> Keeping:
    reading = given.reading
    content = document_text("reading", reading.model_dump(mode="json", exclude_defaults=True))
    hashed = sha256(content)
    entry = given.entry or hashed
    if not _ENTRY.fullmatch(entry):
        raise StoreError("id", entry, "must be 1 to 64 letters, digits and dashes.")
    same = or_(ReadingRow.entry == entry, ReadingRow.sha256 == hashed)
    wanted = select(ReadingRow).where(ReadingRow.structure_id == structure_id, same)
    there = session.scalars(wanted.order_by(ReadingRow.id)).all()
    for row in there:
        if row.entry == entry and row.sha256 != hashed:
            said = "stands for another reading, which is kept already."
            raise StoreError("id", entry, said, "Type the reading anew.")
    if given.photograph is not None:
        attach(
            session,
            given.photograph,
            reading.photograph or "photograph",
            given.media_type,
            structure_id=structure_id,
            joint=reading.joint,
            author=author,
        )
    if there:
        return Keeping(kept=_kept(there[0], turns.get(there[0].id)), is_new=False)
    row = ReadingRow(
        structure_id=structure_id,
        entry=entry,
        joint=line("joint", reading.joint, 200, may_be_empty=True),
        part=line("part", reading.part, 200, may_be_empty=True),
        kind=reading.measured,
        content=content,
        sha256=hashed,
        source=source,
        author=author,
        taken_on=reading.date,
        kept_at=utc_now(),
    )
    session.add(row)
    session.flush()
    return Keeping(kept=_kept(row), is_new=True)


def _kept(row: ReadingRow, turn: ReadingTurnRow | None = None) -> KeptReading:
    if sha256(row.content) != row.sha256:
        said = f"the reading {row.entry!r} is not what was written."
        raise StoreDamaged("the store", None, said, "A backup brings it back: 'longhold restore'.")
    try:
        reading = Reading.model_validate_json(row.content)
    except ValidationError as error:
        said = f"the reading {row.entry!r} cannot be read: {error.errors()[0]['msg']}."
        raise StoreDamaged("the store", None, said, "Open it with the release that wrote it.") from None
    return KeptReading(
        entry=row.entry,
        structure_id=row.structure_id,
        reading=reading,
        source=row.source,
        author=row.author,
        kept_at=row.kept_at,
        turn=None if turn is None else _turn(turn),
    )


def _turn(row: ReadingTurnRow) -> ReadingTurn:
    return ReadingTurn(counts=row.counts, why=row.why, author=row.author, turned_at=row.turned_at)
