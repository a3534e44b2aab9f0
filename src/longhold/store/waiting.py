"""What was typed into a structure and waits to be put right: kept beside its versions, in none of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import delete, select

from longhold.store.connecting import Connected
from longhold.store.given import author_line, utc_now
from longhold.store.records import Waiting
from longhold.store.structures import lock_structure, need_structure
from longhold.store.tables import WaitingRow

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
        self,
        structure_id: int,
        number: int,
        *,
        add: Mapping[str, str] | None = None,
        drop: Sequence[int] = (),
        author: str = "",
    ) -> None:
        """Let cells wait, and others no longer, in one go.

        Parameters
        ----------
        number : of the version whose rows the paths in ``add`` speak of
        add : text by path of its cell
        drop : ids of what no longer waits; one that is gone already is no fault

        Raises
        ------
        NotInStore : no such structure or version
        """
        if not (add or drop):
            return
        who = author_line(author)
        with self._writing() as session:
            lock_structure(session, structure_id)
            need_structure(session, structure_id, number)
            if drop:
                of_it = WaitingRow.structure_id == structure_id
                session.execute(delete(WaitingRow).where(of_it, WaitingRow.id.in_(drop)))
            for cell, typed in (add or {}).items():
                facts = {"number": number, "cell": cell, "typed": typed, "author": who}
                session.add(WaitingRow(structure_id=structure_id, typed_at=utc_now(), **facts))
