"""What was typed into a structure and waits to be put right: kept beside its versions, in none of them."""

from __future__ import annotations

from sqlalchemy import select

from longhold.store.connecting import Connected
from longhold.store.given import author_line
from longhold.store.records import Waiting, WaitingChange
from longhold.store.structures import lock_structure, need_structure
from longhold.store.tables import WaitingRow
from longhold.store.waiting_rows import write_waiting

__all__ = ["WaitingCells"]


class WaitingCells(Connected):
    """Cells that wait; unlike versions they go when they are put right or taken back."""

    def waiting(self, structure_id: int) -> tuple[Waiting, ...]:
        """All that waits in a structure, as it was typed, the oldest first."""
        with self._reading() as session:
            wanted = select(WaitingRow).where(WaitingRow.structure_id == structure_id).order_by(WaitingRow.id)
            return tuple(
                Waiting(row.id, row.number, row.cell, row.typed, row.author, row.typed_at)
                for row in session.scalars(wanted)
            )

    def change_waiting(
        self, structure_id: int, number: int, change: WaitingChange, *, author: str = ""
    ) -> None:
        """Let cells wait, and others no longer, in one go; with a new version it is given to ``save``.

        Parameters
        ----------
        number : of the version whose rows the paths in ``change`` speak of

        Raises
        ------
        NotInStore : no such structure or version
        """
        if change == WaitingChange():
            return
        who = author_line(author)
        with self._writing() as session:
            lock_structure(session, structure_id)
            need_structure(session, structure_id, number)
            write_waiting(session, structure_id, number, change, who)
