"""For programs: signing in and out, by a token that is sent with every request."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Request, Response
from pydantic import Field

from longhold.store import Role
from longhold.web.accounts_pages import SignIn
from longhold.web.accounts_person import person_of
from longhold.web.api_common import PROBLEMS, Shape
from longhold.web.failures import RefusedError
from longhold.web.structure_pages import Kept

__all__ = ["router"]

router = APIRouter(prefix="/api/session", tags=["session"], responses=PROBLEMS)
_NOBODY = "Nobody signs in on this server; it is reached from this machine alone."


class Credentials(Shape):
    """Who signs in."""

    name: Annotated[str, Field(max_length=200)]
    password: Annotated[str, Field(max_length=1000)]


class Opened(Shape):
    """A session; the token is sent as ``Authorization: Bearer TOKEN``."""

    token: str
    name: str
    role: Role
    expires_at: datetime


class Who(Shape):
    """Who is signed in."""

    name: str
    role: Role


@router.post("", summary="Sign in", status_code=201)
def signed_in(request: Request, sent: Credentials) -> Opened:
    """Open a session, for as long as it says."""
    if not request.app.state.settings.asks_who:
        raise RefusedError(404, _NOBODY)
    sign_in: SignIn = request.app.state.sign_in
    address = request.client.host if request.client else ""
    if wait := sign_in.wait(address, sent.name):
        headers = {"retry-after": str(wait)}
        raise RefusedError(429, f"Too many wrong passwords: wait {wait} seconds, then try again.", headers)
    opened = sign_in.open(address, sent.name, sent.password)
    if opened is None:
        headers = {"www-authenticate": 'Bearer realm="longhold"'}
        raise RefusedError(401, "That name and that password do not go together.", headers)
    return Opened(
        token=opened.token,
        name=opened.account.name,
        role=opened.account.role,
        expires_at=opened.expires_at,
    )


@router.get("", summary="Tell who is signed in")
def who(request: Request) -> Who:
    """Name and role of who asks."""
    person = person_of(request.scope)
    if person is None:
        raise _nobody(request)
    return Who(name=person.name, role=person.role)


@router.delete("", summary="Sign out", status_code=204)
def signed_out(request: Request, store: Kept) -> Response:
    """End the session that asks."""
    person = person_of(request.scope)
    if person is None:
        raise _nobody(request)
    store.close_session(person.token)
    return Response(status_code=204)


def _nobody(request: Request) -> RefusedError:
    if not request.app.state.settings.asks_who:
        return RefusedError(404, _NOBODY)
    return RefusedError(401, headers={"www-authenticate": 'Bearer realm="longhold"'})
