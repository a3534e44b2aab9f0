"""An owner of the page, without whom nobody could let anybody in."""

from __future__ import annotations

from longhold.base.errors import InputError, Problem
from longhold.store import Store
from longhold.web.settings import Settings

__all__ = ["refuse_without_owner"]


def refuse_without_owner(settings: Settings, store: Store) -> None:
    """Refuse a page that asks people to sign in where nobody could let anybody in.

    Raises
    ------
    InputError : there is no account of an owner in the store
    """
    if not settings.asks_who:
        return
    if not any(one.role == "owner" and one.closed_at is None for one in store.accounts()):
        said = "people must sign in, and the store has no account of an owner."
        kept = "" if settings.store is None else f" --store {store.place}"
        raise InputError(
            Problem("serve", None, said, f"Make the first: longhold account add NAME --role owner{kept}")
        )
