"""A declared proxy in front of the page: who may connect, and whom it speaks for."""

from __future__ import annotations

from ipaddress import IPv4Network, IPv6Network, ip_address

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from longhold.web.failures import refusal

__all__ = ["Proxied"]


class Proxied:
    """The layer that believes a proxy, and nobody else, who really asks.

    Parameters
    ----------
    app : what it stands before
    proxy : addresses that the proxy connects from
    """

    def __init__(self, app: ASGIApp, proxy: tuple[IPv4Network | IPv6Network, ...]) -> None:
        self._app, self._proxy = app, proxy

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on a request of the proxy under the address of who really asks; refuse every other."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if not self._is_proxy(scope):
            said = "This server is reached through its proxy alone."
            await refusal(scope, 403, said)(scope, receive, send)
            return
        if _last(headers, "x-forwarded-proto") != "https":
            said = "The page is reached by https alone: put https:// before its name."
            await refusal(scope, 403, said)(scope, receive, send)
            return
        scope["scheme"] = "https"
        if asker := _last(headers, "x-forwarded-for"):
            scope["client"] = (asker, 0)
        await self._app(scope, receive, send)

    def _is_proxy(self, scope: Scope) -> bool:
        try:
            address = ip_address((scope.get("client") or ("", 0))[0])
        except ValueError:
            return False
        return any(address in network for network in self._proxy)


def _last(headers: Headers, name: str) -> str:
    """What the proxy itself added: the last of what a header lists; those before it anybody may have sent."""
    values = headers.getlist(name)
    return values[-1].rpartition(",")[2].strip() if values else ""
