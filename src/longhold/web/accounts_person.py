"""Who asks: the person of a request, what the role allows, and the token that their forms carry."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from hmac import compare_digest
from typing import Annotated

from fastapi import Depends
from starlette.requests import Request
from starlette.types import Scope

from longhold.store import Role, SignedIn
from longhold.web.failures import RefusedError
from longhold.web.settings import Settings

__all__ = ["Author", "Person", "author_of", "check_form", "cookie_name", "need_owner", "person_of"]

READING = frozenset({"GET", "HEAD", "OPTIONS"})
_FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


@dataclass(frozen=True)
class Person:
    """Someone who is signed in.

    Attributes
    ----------
    id, name, role : of the account
    token : of the session
    by_cookie : whether a browser sent the token by itself, so that forms must prove where they come from
    """

    id: int
    name: str
    role: Role
    token: str = field(repr=False)
    by_cookie: bool

    @classmethod
    def of(cls, signed: SignedIn, token: str, by_cookie: bool) -> Person:
        """The person of a session."""
        account = signed.account
        return cls(account.id, account.name, account.role, token, by_cookie)

    @property
    def form_token(self) -> str:
        """What every form of theirs carries: it follows from the session's token, and never the other way."""
        return hashlib.sha256(f"form {self.token}".encode()).hexdigest()

    @property
    def may_change(self) -> bool:
        """Whether the role allows changes."""
        return self.role in ("editor", "owner")


def person_of(scope: Scope) -> Person | None:
    """The person of a request; None where nobody signs in."""
    found = scope.get("person")
    return found if isinstance(found, Person) else None


def cookie_name(settings: Settings) -> str:
    """Name of the cookie; by TLS with the prefix that ties it to this host (RFC 6265bis).

    >>> cookie_name(Settings())
    'longhold'
    """
    return "__Host-longhold" if settings.secure else "longhold"


async def check_form(request: Request) -> None:
    """Refuse a change that a browser sent for a signed-in person without the token of our own forms.

    Raises
    ------
    RefusedError : it is missing, or of another session
    """
    person = person_of(request.scope)
    signs_in = request.url.path == "/login"  # whoever was signed in before
    if person is None or not person.by_cookie or request.method in READING or signs_in:
        return
    sent: object = request.headers.get("x-form-token", "")
    if not sent and request.headers.get("content-type", "").startswith(_FORMS):
        sent = (await request.form()).get("form_token", "")
    if not isinstance(sent, str) or not compare_digest(sent.encode(), person.form_token.encode()):
        said = (
            "The form is no longer good: you signed in anew since it was opened. Open it again, then send it."
        )
        raise RefusedError(403, said)


def need_owner(request: Request) -> Person:
    """The owner who asks.

    Raises
    ------
    RefusedError : nobody signs in here, or another role asks
    """
    person = person_of(request.scope)
    if person is None:
        raise RefusedError(404, "Nobody signs in on this server; it is reached from this machine alone.")
    if person.role != "owner":
        raise RefusedError(403)
    return person


def author_of(scope: Scope) -> str:
    """Name that what a request saves stands under; blank where nobody signs in."""
    person = person_of(scope)
    return "" if person is None else person.name


def _author(request: Request) -> str:
    return author_of(request.scope)


Author = Annotated[str, Depends(_author)]
"""Name that what is saved stands under; blank where nobody signs in."""
