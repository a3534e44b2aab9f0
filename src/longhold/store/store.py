"""The store itself: opened, used by any number of threads, closed."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType
from typing import Self

from longhold.store.accounts import Accounts
from longhold.store.connecting import connect
from longhold.store.copies import checked_copy
from longhold.store.jobs import Jobs
from longhold.store.migrating import bring_up_to_date
from longhold.store.place import default_place, place_of
from longhold.store.results import Results
from longhold.store.site_readings import SiteReadings
from longhold.store.site_records import SiteRecords
from longhold.store.structures import Structures
from longhold.store.told import told
from longhold.store.upkeep import Upkeep
from longhold.store.waiting import WaitingCells

__all__ = ["Store"]


class Store(Structures, WaitingCells, Results, SiteRecords, SiteReadings, Accounts, Jobs, Upkeep):
    """A place that keeps structures with all their versions, what was computed of them, and who may see them.

    Made by ``Store.open``. Every method is whole in itself: it has done all that it says when it returns, and
    nothing when it raises. Threads may share one store; so may processes, each with its own.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "store.db") as store:
    ...     first = store.save("Back deck", {"name": "Back deck"}, expecting=0, author="Ann")
    ...     second = store.save(first.structure_id, {"name": "Back deck, 2"}, expecting=first.number)
    ...     [version.number for version in store.history("back deck").items]
    [2, 1]
    """

    @classmethod
    def open(cls, place: str | Path | None = None, *, create: bool = True, damaged: bool = False) -> Self:
        """Open a store, make it where it is not there yet, and bring it to the shape of this release.

        Parameters
        ----------
        place : name of a file, or ``postgresql://user@host/database``; None is LONGHOLD_STORE, else a file
            in the user's own folder of data
        create : whether a file that is not there is made
        damaged : whether a damaged file is opened too, to look through it and to read what is whole in it;
            what is not as it was written is not given out

        Raises
        ------
        StoreUnreachable : no such file, folder or server, or no permission
        StoreTooNew : a later release wrote it
        StoreDamaged, StoreReadOnly, StoreError : what stands in the place is no store, or may not be written
        """
        where = place_of(default_place() if place is None else place)
        if place is None and where.file is not None and create:
            where.file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        was_there = where.file is not None and where.file.exists()
        engine = connect(where, create, damaged)
        store = cls(where, engine)
        try:
            with told(where):
                bring_up_to_date(store._writer, where, before=store._keep_former)
        except BaseException:
            engine.dispose()
            if where.file is not None and not was_there:
                _remove_empty(where.file)
            raise
        return store

    def _keep_former(self, step: str) -> None:
        file = self.place.file
        if file is not None:
            checked_copy(file, file.with_name(f"{file.name}.before-{step}"), replace=True)

    def close(self) -> None:
        """Let go of every connection."""
        self._reader.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def _remove_empty(file: Path) -> None:
    """A file that was made and into which nothing could be written is no store."""
    if file.exists() and not file.stat().st_size:
        file.unlink()
