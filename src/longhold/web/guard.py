"""What stands before every page: who may ask, how much may be sent, what a page may do."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from longhold.base.asked_on import asked_on
from longhold.web.failures import refusal
from longhold.web.settings import Settings, is_loopback

__all__ = ["CONTENT_POLICY", "REPORT_POLICY", "Guard"]

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
REPORT_POLICY = (
    "default-src 'none'; style-src 'unsafe-inline'; font-src data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'; sandbox allow-popups allow-same-origin"
)
"""Of a report, which is one file with its style inside and no script."""
_HEADERS = {
    "content-security-policy": CONTENT_POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(self), camera=(self), microphone=(), payment=(), usb=()",
    "cache-control": "no-store",
}
_READING = frozenset({"GET", "HEAD", "OPTIONS"})


class TooLargeError(Exception):
    """A request that sends more than is taken in."""


class Guard:
    """The outermost layer of the page.

    Parameters
    ----------
    app : what it stands before
    settings : of the server
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app = app
        self._settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        send = _with_headers(send, self._own_headers())
        if reason := self._refused(scope, headers):
            await refusal(scope, *reason)(scope, receive, send)
            return
        limit = _Limit(receive, send, self._settings.most_body_bytes)
        try:
            with asked_on("program" if scope["path"].startswith("/api/") else "page"):
                await self._app(scope, limit.receive, limit.send)
        except TooLargeError:
            if limit.started:
                raise
        if limit.passed and not limit.started:
            await refusal(scope, 413, self._too_large())(scope, receive, send)

    def _refused(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if not self._answers_to(host):
            return (
                421,
                "This server does not answer to that name. Open it by the address it printed at its start.",
            )
        if scope["method"] not in _READING and not _same_origin(headers, host):
            return 403, "The request came from another site. Open the page itself and send it from there."
        if not self._settings.asks_who and not _is_here(scope):
            return 403, "This server answers this machine alone. Start it with --host for others."
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > self._settings.most_body_bytes:
            return 413, self._too_large()
        return None

    def _too_large(self) -> str:
        most = self._settings.most_body_bytes // (1024 * 1024)
        return f"That is larger than the {most} MiB that are taken in. Send a smaller file."

    def _answers_to(self, host: str) -> bool:
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        return name in self._settings.names or (is_loopback(self._settings.host) and is_loopback(name))

    def _own_headers(self) -> Mapping[str, str]:
        if not self._settings.secure:
            return _HEADERS
        return {**_HEADERS, "strict-transport-security": "max-age=31536000"}


def _is_here(scope: Scope) -> bool:
    client = scope.get("client")
    return client is not None and is_loopback(client[0])


def _same_origin(headers: Headers, host: str) -> bool:
    """Programs send neither header; a browser always sends one of them with what changes something."""
    if (site := headers.get("sec-fetch-site")) is not None:
        return site in ("same-origin", "none")
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == host


def _with_headers(send: Send, own: Mapping[str, str]) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in own.items():
                headers.setdefault(name, value)
        await send(message)

    return sent


class _Limit:
    """Counts what a request sends; once it is too much, no answer but the refusal goes out."""

    def __init__(self, receive: Receive, send: Send, most: int) -> None:
        self._receive, self._send, self._left = receive, send, most
        self.passed = self.started = False

    async def receive(self) -> Message:
        message = await self._receive()
        self._left -= len(message.get("body", b""))
        if self._left < 0:
            self.passed = True
            raise TooLargeError
        return message

    async def send(self, message: Message) -> None:
        if self.passed and not self.started:
            return
        self.started = True
        await self._send(message)
