"""Commands under ``account``: who may sign in to the page."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from longhold.store import Account, Store

__all__ = ["account"]

account = typer.Typer(
    name="account",
    no_args_is_help=True,
    help="Say who may sign in to the page: add an account, list them, set a password, close one.",
)

_Name = Annotated[str, typer.Argument(metavar="NAME", help="Name to sign in with.")]
_Store = Annotated[
    str | None,
    typer.Option("--store", metavar="FILE|URL", help="Store of the page, in place of the usual file."),
]


@account.command()
def add(
    name: _Name,
    role: Annotated[
        Literal["viewer", "editor", "owner"],
        typer.Option(help="A viewer reads, an editor changes too, an owner also decides who may sign in."),
    ] = "viewer",
    store: _Store = None,
) -> None:
    """Let someone sign in. The password is asked for, or read from standard input."""
    with _opened(store, create=True) as there:
        added = there.add_account(name, _password(), role)
    print(f"{added.name} may sign in, as {added.role}.")


@account.command("list")
def list_(store: _Store = None) -> None:
    """List who may sign in."""
    from longhold.cli.show import console, show_rows

    with _opened(store) as there:
        found = there.accounts()
    rows = [
        (one.name, one.role, "closed" if one.closed_at else f"since {one.created_at:%Y-%m-%d}")
        for one in found
    ]
    show_rows(console(), ("Name", "Role", ""), rows)


@account.command()
def password(name: _Name, store: _Store = None) -> None:
    """Give someone another password, which signs them out everywhere."""
    with _opened(store) as there:
        found = _found(there, name)
        there.set_password(found.id, _password())
    print(f"{found.name} has another password and is signed out everywhere.")


@account.command()
def close(name: _Name, store: _Store = None) -> None:
    """Let someone sign in no more; what they saved stays under their name."""
    with _opened(store) as there:
        there.close_account(_found(there, name).id)
    print(f"{name} may sign in no more.")


@contextmanager
def _opened(place: str | None, create: bool = False) -> Iterator[Store]:
    from longhold.base.errors import InputError
    from longhold.base.extras import lacking

    try:
        from longhold.store import Store
    except ModuleNotFoundError:
        raise InputError(lacking("account", "web")) from None
    with Store.open(place, create=create) as store:
        yield store


def _found(store: Store, name: str) -> Account:
    from longhold.base.errors import InputError, Problem

    for one in store.accounts():
        if one.name.casefold() == name.strip().casefold() and one.closed_at is None:
            return one
    do = "'longhold account list' shows who may sign in."
    raise InputError(Problem("account", name, "there is none of this name.", do))


def _password() -> str:
    """A password typed twice unseen, or the first line of what another program sends."""
    from getpass import getpass

    from longhold.base.errors import InputError, Problem

    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    typed = getpass("Password (10 characters or more): ")
    if getpass("The same again: ") != typed:
        raise InputError(Problem("password", None, "was typed in two ways.", "Run the command again."))
    return typed
