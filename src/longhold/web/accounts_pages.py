"""Signing in and out, one's own password, and, for owners, everybody's accounts."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from longhold.base.errors import InputError, Problem
from longhold.documents.words import plural
from longhold.store import Account, OpenedSession, Role, Store
from longhold.web.accounts_door import too_often
from longhold.web.accounts_limits import Allowance, asker
from longhold.web.accounts_person import Person, cookie_name, need_owner, person_of
from longhold.web.beside import beside_fields
from longhold.web.failures import RefusedError
from longhold.web.pages import show
from longhold.web.settings import Settings
from longhold.web.structure_pages import Kept

__all__ = ["SignIn", "router"]

router = APIRouter(include_in_schema=False)
_WRONG = "That name and that password do not go together."
_QUARTER_HOUR_S = 900.0
_FOR_OWNERS = [Depends(need_owner)]


class SignIn:
    """Names and passwords tried, with a limit on guesses.

    Parameters
    ----------
    store : that keeps the accounts
    by_address, by_name : wrong passwords from one address, and for one name, in a quarter of an hour
    """

    def __init__(self, store: Store, by_address: int = 20, by_name: int = 20) -> None:
        self._store = store
        self._by_address = Allowance(by_address, _QUARTER_HOUR_S)
        self._by_name = Allowance(by_name, _QUARTER_HOUR_S)
        # each trial takes 64 MiB, on purpose: many at once must not take the machine down
        self._at_once = threading.BoundedSemaphore(2)

    def wait(self, address: str, name: str) -> int:
        """Take one guess; seconds to wait where there were too many, else 0."""
        return max(self._by_address.wait(asker(address)), self._by_name.wait(_key(name)))

    def open(self, address: str, name: str, password: str) -> OpenedSession | None:
        """The session that a name and a password open; None where they do not go together."""
        account = self.account(name, password)
        if account is None:
            return None
        self._by_address.give_back(asker(address))
        self._by_name.give_back(_key(name))
        return self._store.open_session(account.id)

    def account(self, name: str, password: str) -> Account | None:
        """The account of a name and a password."""
        if not 0 < len(name) <= 200 or not 0 < len(password) <= 1000:
            return None
        with self._at_once:
            return self._store.check_password(name, password)


def _key(name: str) -> str:
    return " ".join(name.casefold().split())[:200]


@router.get("/login")
def asked(request: Request, then: str = "/") -> Response:
    """The form to sign in."""
    settings: Settings = request.app.state.settings
    if person_of(request.scope) is not None or not settings.asks_who:
        return RedirectResponse(_inside(then), 303)
    return show("login.html.j2", scope=request.scope, then=_inside(then), name="", wrong="")


@router.post("/login")
def signed_in(
    request: Request,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    then: Annotated[str, Form()] = "/",
) -> Response:
    """A session for who knows the password; any session this browser had before ends."""
    settings: Settings = request.app.state.settings
    sign_in: SignIn = request.app.state.sign_in
    if not settings.asks_who:
        return RedirectResponse("/", 303)
    address = request.client.host if request.client else ""
    if wait := sign_in.wait(address, name):
        said = f"Too many wrong passwords. Wait {plural(wait, 'second')}, then try again."
        return too_often(request.scope, wait, said)
    opened = sign_in.open(address, name, password)
    if opened is None:
        return show(
            "login.html.j2",
            scope=request.scope,
            status=422,
            then=_inside(then),
            name=name[:200],
            wrong=_WRONG,
        )
    _end_former(request)
    answer = RedirectResponse(_inside(then), 303)
    _keep(answer, settings, opened)
    return answer


@router.post("/logout")
def signed_out(request: Request) -> Response:
    """The session ended, in the store too."""
    _end_former(request)
    answer = RedirectResponse("/login", 303)
    settings: Settings = request.app.state.settings
    answer.delete_cookie(
        cookie_name(settings), path="/", httponly=True, secure=settings.secure, samesite="lax"
    )
    return answer


@router.get("/account")
def own(request: Request) -> Response:
    """One's own account."""
    return _own(request)


@router.get("/account/token")
def own_token(request: Request) -> Response:
    """Who is signed in by now and what their forms carry: a page may stand open longer than its session."""
    person = person_of(request.scope)
    known = {"token": "", "name": ""} if person is None else {"token": person.form_token, "name": person.name}
    return JSONResponse(known)


@router.post("/account/password")
def own_password(
    request: Request,
    store: Kept,
    password: Annotated[str, Form()] = "",
    new_password: Annotated[str, Form()] = "",
) -> Response:
    """Another password for oneself, which ends all one's sessions but a new one."""
    person = _signed_in(request)
    sign_in: SignIn = request.app.state.sign_in
    address = request.client.host if request.client else ""
    if wait := sign_in.wait(address, person.name):
        return too_often(request.scope, wait)
    if sign_in.account(person.name, password) is None:
        return _own(request, {"password": ["The password that you have now is another."]})
    try:
        store.set_password(person.id, new_password)
    except InputError as error:
        return _own(request, {"new_password": beside_fields(error.problems, _field_of)["password"]})
    answer = RedirectResponse("/account", 303)
    _keep(answer, request.app.state.settings, store.open_session(person.id))
    return answer


@router.get("/accounts", dependencies=_FOR_OWNERS)
def everybody(request: Request, store: Kept) -> Response:
    """Everybody who may sign in."""
    return _list(request, store)


@router.post("/accounts", dependencies=_FOR_OWNERS)
def added(
    request: Request,
    store: Kept,
    name: Annotated[str, Form()] = "",
    password: Annotated[str, Form()] = "",
    role: Annotated[Role, Form()] = "viewer",
) -> Response:
    """One account more."""
    try:
        store.add_account(name, password, role)
    except InputError as error:
        problems = beside_fields(error.problems, _field_of)
        return _list(request, store, problems=problems, name=name[:200], role=role)
    return RedirectResponse("/accounts", 303)


@router.post("/accounts/{number}", dependencies=_FOR_OWNERS)
def changed(
    request: Request,
    store: Kept,
    number: int,
    role: Annotated[Role | None, Form()] = None,
    password: Annotated[str, Form()] = "",
    close: Annotated[bool, Form()] = False,
) -> Response:
    """Another role or password for an account, or its end."""
    try:
        if close:
            store.close_account(number)
        elif password:
            store.set_password(number, password)
        elif role is not None:
            store.set_role(number, role)
    except InputError as error:
        return _list(request, store, str(error))
    return RedirectResponse("/accounts", 303)


def _own(request: Request, problems: Mapping[str, list[str]] | None = None) -> Response:
    return show(
        "account.html.j2",
        scope=request.scope,
        status=422 if problems else 200,
        own=_signed_in(request),
        problems=problems or {},
    )


def _list(
    request: Request,
    store: Store,
    wrong: str = "",
    *,
    problems: Mapping[str, list[str]] | None = None,
    name: str = "",
    role: Role = "viewer",
) -> Response:
    return show(
        "accounts.html.j2",
        scope=request.scope,
        status=422 if wrong or problems else 200,
        accounts=store.accounts(),
        roles=_ROLES,
        wrong=wrong,
        problems=problems or {},
        name=name,
        role=role,
    )


def _field_of(problem: Problem) -> str:
    return "name" if problem.where == "name" else "password"


_ROLES = (
    ("viewer", "viewer: reads"),
    ("editor", "editor: reads and changes"),
    ("owner", "owner: decides too who may do what"),
)


def _signed_in(request: Request) -> Person:
    person = person_of(request.scope)
    if person is None:
        raise RefusedError(404, "Nobody signs in on this server; it is reached from this machine alone.")
    return person


def _end_former(request: Request) -> None:
    settings: Settings = request.app.state.settings
    store: Store = request.app.state.store
    if token := request.cookies.get(cookie_name(settings)):
        store.close_session(token)


def _keep(answer: Response, settings: Settings, opened: OpenedSession) -> None:
    answer.set_cookie(
        cookie_name(settings),
        opened.token,
        expires=opened.expires_at,
        path="/",
        httponly=True,
        secure=settings.secure,
        samesite="lax",
    )


def _inside(address: str) -> str:
    """An address on this page and nowhere else; browsers take a backslash for a slash."""
    plain = address.isprintable() and "\\" not in address
    return address if plain and address.startswith("/") and not address.startswith("//") else "/"
