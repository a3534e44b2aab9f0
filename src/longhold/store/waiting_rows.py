"""The rows of cells that wait, written inside a transaction that may keep a version too."""

from __future__ import annotations

from sqlalchemy import delete, update
from sqlalchemy.orm import Session

from longhold.store.given import utc_now
from longhold.store.records import WaitingChange
from longhold.store.tables import WaitingRow

__all__ = ["write_waiting"]


def write_waiting(
    session: Session, structure_id: int, number: int, change: WaitingChange, author: str
) -> None:
    """Write a change of what waits.

    Parameters
    ----------
    structure_id, number : the structure, locked, and the version whose rows the paths speak of
    author : of what is added
    """
    of_it = WaitingRow.structure_id == structure_id
    for id, typed in change.drop.items():
        session.execute(delete(WaitingRow).where(of_it, WaitingRow.id == id, WaitingRow.typed == typed))
    for id, cell in change.moved.items():
        session.execute(update(WaitingRow).where(of_it, WaitingRow.id == id).values(number=number, cell=cell))
    for cell, typed in change.add.items():
        facts = {"number": number, "cell": cell, "typed": typed, "author": author}
        session.add(WaitingRow(structure_id=structure_id, typed_at=utc_now(), **facts))
