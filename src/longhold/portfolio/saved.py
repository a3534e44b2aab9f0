"""Structures of a store: the newest version of each that is in use."""

from __future__ import annotations

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.intake.load import structure_of
from longhold.portfolio.gathering import Gathered, Gathering

__all__ = ["gather_store"]

_AT_ONCE = 500


def gather_store(place: str) -> Gathered:
    """Every structure of a store that is not archived.

    Parameters
    ----------
    place : URL of the store

    Raises
    ------
    InputError : the extra is not installed, or the store cannot be opened or holds no structure
    """
    try:
        from longhold.store import Store
    except ModuleNotFoundError:
        raise InputError(lacking("the store", "store")) from None
    gathering = Gathering()
    with Store.open(place, create=False) as store:
        offset: int | None = 0
        while offset is not None:
            page = store.structures(offset=offset, limit=_AT_ONCE)
            for saved in page.items:
                try:
                    gathering.add(structure_of(dict(store.newest(saved.id).content)), saved.name)
                except InputError as error:
                    gathering.refuse(saved.name, "; ".join(map(str, error.problems)))
            offset = page.next_offset
    found = gathering.gathered()
    if not found.structures and not found.not_assessed:
        raise InputError(Problem("the store", place, "holds no structure.", "Save some first."))
    return found
