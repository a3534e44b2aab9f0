"""Answers that need not be computed again, and the suppliers' lists that answers were chosen from."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, defer

from longhold.store.connecting import Connected
from longhold.store.errors import NotInStore, StoreDamaged
from longhold.store.given import author_line, checked_hash, document_text, line, page_bounds, sha256, utc_now
from longhold.store.records import KeptResult, OfferList, OfferListInfo, Page
from longhold.store.structures import need_structure
from longhold.store.tables import OfferListRow, ResultRow

__all__ = ["Results"]

KIND_AT_MOST, NAME_AT_MOST, SOURCE_AT_MOST = 100, 200, 2000


class Results(Connected):
    """Results under a hash of their inputs and the version of the code; lists of offers as they were read."""

    def keep_result(
        self,
        inputs_hash: str,
        code_version: str,
        result: Mapping[str, Any],
        *,
        kind: str = "assessment",
        structure_id: int | None = None,
        number: int | None = None,
    ) -> KeptResult:
        """Keep an answer; an answer of this kind to the same inputs by the same code is replaced.

        Parameters
        ----------
        inputs_hash : as of ``inputs_hash``, of everything that the answer depends on
        code_version : release that answered
        structure_id, number : version of a saved structure that it is about, if any

        Raises
        ------
        StoreError : a result that JSON cannot hold, a hash that is none
        NotInStore : no such structure
        """
        hashed, release = checked_hash("inputs_hash", inputs_hash), line("code_version", code_version, 100)
        what, kept = line("kind", kind, KIND_AT_MOST), document_text("result", result)

        def once() -> KeptResult:
            with self._writing() as session:
                if structure_id is not None:
                    need_structure(session, structure_id, number)
                row = _result_row(session, hashed, release, what)
                if row is None:
                    row = ResultRow(kind=what, inputs_hash=hashed, code_version=release)
                    session.add(row)
                row.result, row.sha256, row.kept_at = kept, sha256(kept), utc_now()
                row.structure_id, row.number = structure_id, number
                session.flush()
                return _result(row)

        try:
            return once()
        except IntegrityError:  # the same answer was kept at the same moment
            return once()

    def result_for(
        self, inputs_hash: str, code_version: str, *, kind: str = "assessment"
    ) -> KeptResult | None:
        """The answer to some inputs by some release; None where it must be computed.

        One that is damaged counts as none.
        """
        with self._reading() as session:
            row = _result_row(session, checked_hash("inputs_hash", inputs_hash), code_version, kind)
            return None if row is None or sha256(row.result) != row.sha256 else _result(row)

    def keep_offers(
        self, name: str, content: Mapping[str, Any], *, source: str = "", author: str = ""
    ) -> OfferList:
        """Keep a supplier's list as it is today; earlier ones of the same name stay.

        Raises
        ------
        StoreError : content that JSON cannot hold, a name that is empty
        """
        kept = document_text("content", content)
        row = OfferListRow(
            name=line("name", name, NAME_AT_MOST),
            source=line("source", source, SOURCE_AT_MOST, may_be_empty=True),
            content=kept,
            sha256=sha256(kept),
            author=author_line(author),
            kept_at=utc_now(),
        )
        with self._writing() as session:
            session.add(row)
            session.flush()
            return OfferList(content=json.loads(kept), **_facts(row))

    def offer_lists(self, *, offset: int = 0, limit: int = 50) -> Page[OfferListInfo]:
        """Lists of offers without their lines, the newest first; archived ones are left out."""
        page_bounds(offset, limit)
        in_use = OfferListRow.archived_at.is_(None)
        with self._reading() as session:
            total = session.scalar(select(func.count()).select_from(OfferListRow).where(in_use)) or 0
            rows = session.scalars(
                select(OfferListRow)
                .options(defer(OfferListRow.content, raiseload=True))
                .where(in_use)
                .order_by(OfferListRow.id.desc())
                .offset(offset)
                .limit(limit)
            )
            return Page(tuple(OfferListInfo(**_facts(row)) for row in rows), total, offset)

    def offers(self, list_id: int) -> OfferList:
        """One list of offers, archived or not.

        Raises
        ------
        NotInStore : there is none
        StoreDamaged : it is not what was kept
        """
        with self._reading() as session:
            row = _list_there(session, list_id)
            if sha256(row.content) != row.sha256:
                said = f"list {list_id} of offers ({row.name!r}) is not what was kept."
                raise StoreDamaged("the store", None, said, "Read the supplier's file again.")
            return OfferList(content=json.loads(row.content), **_facts(row))

    def archive_offers(self, list_id: int) -> None:
        """Take a list of offers out of use; it stays in the store.

        Raises
        ------
        NotInStore : there is none
        """
        with self._writing() as session:
            row = _list_there(session, list_id)
            row.archived_at = row.archived_at or utc_now()


def _result_row(session: Session, hashed: str, release: str, kind: str) -> ResultRow | None:
    return session.scalar(
        select(ResultRow).where(
            ResultRow.inputs_hash == hashed, ResultRow.code_version == release, ResultRow.kind == kind
        )
    )


def _list_there(session: Session, list_id: int) -> OfferListRow:
    row = session.get(OfferListRow, list_id)
    if row is None:
        raise NotInStore("list of offers", list_id, "there is none with this number in the store.")
    return row


def _result(row: ResultRow) -> KeptResult:
    return KeptResult(
        row.kind,
        row.inputs_hash,
        row.code_version,
        json.loads(row.result),
        row.structure_id,
        row.number,
        row.kept_at,
    )


def _facts(row: OfferListRow) -> dict[str, Any]:
    return {
        "id": row.id,
        "name": row.name,
        "source": row.source,
        "sha256": row.sha256,
        "author": row.author,
        "kept_at": row.kept_at,
    }
