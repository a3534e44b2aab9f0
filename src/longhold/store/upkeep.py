"""Looking after a store: backups and checks."""

from __future__ import annotations

from pathlib import Path

from longhold.store.checking import Checked, check_connection
from longhold.store.connecting import Connected
from longhold.store.copies import Copied, checked_copy
from longhold.store.errors import StoreError
from longhold.store.known_backups import note_backup
from longhold.store.told import told

__all__ = ["Upkeep"]


class Upkeep(Connected):
    """What keeps a store safe."""

    def backup(self, path: str | Path, *, replace: bool = False) -> Copied:
        """Write a copy of everything to a file, as of one moment, while others go on reading and saving.

        The copy is looked through (pages, links, every hash) before it gets its name.

        Parameters
        ----------
        replace : whether a file that is there is replaced

        Raises
        ------
        StoreDamaged : the store has faults; no copy is left
        StoreError : the file is there already, its folder may not be written, or the store is on a server
        """
        if self.place.file is None:
            said = "is on a server, which has backups of its own."
            raise StoreError(str(self.place), None, said, "Its keeper makes them.")
        made = checked_copy(self.place.file, Path(path), replace=replace)
        note_backup(self.place.file, made.file)
        return made

    def check(self) -> Checked:
        """Look through everything: pages and links of a file, numbers of versions, every hash."""
        with told(self.place), self._reader.connect() as connection:
            return check_connection(connection, self.place)
