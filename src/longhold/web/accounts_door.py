"""The layer that lets in who is signed in, as far as the role goes and no more often than is fair."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import quote, urlsplit

from anyio.to_thread import run_sync
from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import RedirectResponse, Response
from starlette.routing import Match
from starlette.types import ASGIApp, Receive, Scope, Send

from longhold.base.errors import InputError
from longhold.store import Store
from longhold.web.accounts_limits import Allowance, asker
from longhold.web.accounts_person import READING, Person, cookie_name
from longhold.web.failures import refusal
from longhold.web.pages import is_part, show
from longhold.web.settings import Settings

__all__ = ["Door"]

_FOR_ALL = ("/static/", "/favicon.ico")
_TO_SIGN_IN = frozenset({"/login", "/api/session"})
_OWN = frozenset({"/logout", "/account/password", "/api/session"})
"""What everybody may send, whatever the role: it touches nothing but their own session and password."""
_NOT_SENT = (
    "Your session has ended, so what you just sent was not saved. Go back to see whether it still stands in "
    "the form, and sign in in another tab; or sign in here, and enter it again."
)


class Door:
    """Asks who it is.

    Parameters
    ----------
    app : what it stands before
    settings : of the server
    store : that keeps accounts and sessions
    """

    def __init__(self, app: ASGIApp, settings: Settings, store: Store) -> None:
        self._app, self._settings, self._store = app, settings, store
        self._allowance = Allowance(settings.most_requests, 60.0)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on one request with the person it comes from, or refuse it."""
        if scope["type"] == "http" and not str(scope["path"]).startswith(_FOR_ALL):
            refused = await self._refused(scope)
            if refused is not None:
                await refused(scope, receive, send)
                return
        await self._app(scope, receive, send)

    async def _refused(self, scope: Scope) -> Response | None:
        try:
            person = await self._person(Headers(scope=scope))
        except InputError as error:
            return refusal(scope, 503, error.problems[0].allowed)
        scope["person"] = person
        address = (scope.get("client") or ("", 0))[0]
        if wait := self._allowance.wait(asker(address) if person is None else f"account {person.id}"):
            return too_often(scope, wait)
        if person is None:
            return None if scope["path"] in _TO_SIGN_IN else _sign_in_first(scope)
        if scope["method"] not in READING and not person.may_change and scope["path"] not in _OWN:
            return refusal(scope, 403)
        return None

    async def _person(self, headers: Headers) -> Person | None:
        kind, _, given = headers.get("authorization", "").partition(" ")
        by_cookie = kind.casefold() != "bearer"
        cookie = headers.get("cookie", "")
        token = cookie_parser(cookie).get(cookie_name(self._settings), "") if by_cookie else given.strip()
        if not token:
            return None
        signed = await run_sync(self._store.session, token)
        return None if signed is None else Person.of(signed, token, by_cookie)


def too_often(scope: Scope, wait: int, said: str = "") -> Response:
    """The refusal of who asks too often.

    Parameters
    ----------
    wait : whole seconds until it is answered again
    """
    answer = refusal(scope, 429, said or f"Too many requests: wait {wait} seconds, then try again.")
    answer.headers["retry-after"] = str(wait)
    return answer


def _sign_in_first(scope: Scope) -> Response:
    if str(scope["path"]).startswith("/api"):
        answer = refusal(scope, 401)
        answer.headers["www-authenticate"] = 'Bearer realm="longhold"'
        return answer
    if scope["method"] not in READING:
        if is_part(scope):
            return refusal(scope, 401, "Your session has ended. Sign in, then send it again.")
        then = _page_of(scope)
        return show("login.html.j2", scope=scope, status=401, then=then, name="", wrong="", ended=_NOT_SENT)
    query = scope.get("query_string", b"").decode("latin-1")
    address = f"{scope['path']}?{query}" if query else str(scope["path"])
    there = "/login" if address == "/" else f"/login?then={quote(address)}"
    if is_part(scope):
        headers: Mapping[str, str] = {"hx-redirect": there}
        return Response(status_code=401, headers=headers)
    return RedirectResponse(there, 303)


def _page_of(scope: Scope) -> str:
    """The page on which a form stood, as the browser tells; it may have been an answer to a form itself."""
    headers = Headers(scope=scope)
    told = urlsplit(headers.get("referer", ""))
    if told.netloc != headers.get("host"):
        told = urlsplit(str(scope["path"]))
    path, routes = told.path, scope["app"].routes
    while path.strip("/"):
        asked = {"type": "http", "method": "GET", "path": path, "headers": []}
        if any(one.matches(asked)[0] is Match.FULL for one in routes):
            return f"{path}?{told.query}" if told.query and path == told.path else path
        path = path.rpartition("/")[0]
    return "/"
