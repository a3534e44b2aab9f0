"""What can go wrong with a store, said for the person at the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from longhold.base.errors import Fault, InputError, Problem

if TYPE_CHECKING:
    from longhold.store.records import Version

__all__ = [
    "EditedMeanwhile",
    "NotInStore",
    "StoreBusy",
    "StoreDamaged",
    "StoreError",
    "StoreFault",
    "StoreFull",
    "StoreReadOnly",
    "StoreTooNew",
    "StoreUnreachable",
]


class StoreError(InputError):
    """Something that a store refuses; nothing was changed by the call that raised it."""

    def __init__(self, where: str, value: object, allowed: str, do: str = "") -> None:
        super().__init__(Problem(where, value, allowed, do))


class NotInStore(StoreError):  # noqa: N818 - says what happened
    """What was asked for is not there."""


class EditedMeanwhile(StoreError):  # noqa: N818 - says what happened
    """Somebody saved after the version that an edit began from.

    Attributes
    ----------
    current : the newest version, with its content, to hold the edit against; None where there is none
    expecting : number of the version that the edit began from
    """

    def __init__(self, name: str, expecting: int, current: Version | None) -> None:
        self.current, self.expecting = current, expecting
        if current is None:
            said = f"has no version yet, and the edit began from version {expecting}."
            do = "Save it as a new structure."
        elif expecting > current.number:
            said = f"has {current.number} as its newest version, not {expecting}."
            do = f"Look at version {current.number}, then save on top of it."
        else:
            by = f" by {current.author}" if current.author else ""
            when = f"{current.saved_at:%Y-%m-%d %H:%M} UTC"
            began = f"from version {expecting}" if expecting else "as a new structure"
            said = f"was saved meanwhile: version {current.number}{by} at {when}; the edit began {began}."
            do = f"Look at version {current.number}, then save on top of it, or save under another name."
        super().__init__(f"structure {name!r}", None, said, do)


class StoreFault(Fault):
    """The store cannot do its work at the moment; nothing was changed by the call that raised it."""


class StoreFull(StoreFault):
    """There is no room left to write."""


class StoreReadOnly(StoreFault):
    """The store may be read and not written."""


class StoreBusy(StoreFault):
    """Another writer did not finish in time."""


class StoreDamaged(StoreFault):
    """What is kept is not what was written."""


class StoreTooNew(StoreFault):
    """A later release of Longhold wrote this store."""


class StoreUnreachable(StoreFault):
    """The store cannot be opened: no file, no permission, no server."""
