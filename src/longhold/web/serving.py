"""Start the server, say where it is, and stop it in good order."""

from __future__ import annotations

import errno
import socket
import sys
import webbrowser
from collections.abc import Callable
from dataclasses import replace
from threading import Timer
from typing import TYPE_CHECKING

from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.web.accounts_tls import refuse_without_tls
from longhold.web.settings import Settings

if TYPE_CHECKING:
    from fastapi import FastAPI

__all__ = ["run_server"]


def run_server(settings: Settings, browser: bool) -> None:
    """Serve until the user stops it.

    Parameters
    ----------
    settings : of the server
    browser : whether to open the page in the browser of this machine

    Raises
    ------
    InputError : where the port is taken, other machines would reach a page that is not safe, or a library
        is missing
    """
    refuse_without_tls(settings)
    listening = _listen(settings)
    port = listening.getsockname()[1]
    settings = replace(settings, port=port)
    print("Longhold is loading.", file=sys.stderr, flush=True)
    app = _made(settings, listening)
    import uvicorn

    address = _address(settings, port)
    print(f"Longhold is open at {address}\nStop it with Ctrl-C.", file=sys.stderr, flush=True)
    if browser:
        Timer(0.8, webbrowser.open, [address]).start()
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        proxy_headers=False,  # a declared proxy is believed by a layer of our own, nobody else at all
        ssl_certfile=settings.certificate,
        ssl_keyfile=settings.key,
        server_header=False,
        timeout_graceful_shutdown=3,
    )
    uvicorn.Server(config).run(sockets=[listening])


def _made(settings: Settings, listening: socket.socket) -> FastAPI:
    try:
        return _maker(settings)(settings)
    except BaseException:
        listening.close()
        raise


def _maker(settings: Settings) -> Callable[[Settings], FastAPI]:
    """What makes the page; the physics that it brings take seconds to load, so all refusals come before."""
    try:
        if settings.asks_who:
            _refuse_without_owner(settings)
        from longhold.web.app import make_app
    except ModuleNotFoundError:
        raise InputError(lacking("serve", "web")) from None
    return make_app


def _refuse_without_owner(settings: Settings) -> None:
    from longhold.store import Store
    from longhold.web.accounts_safe import refuse_without_owner

    with Store.open(settings.store) as store:
        refuse_without_owner(settings, store)


def _address(settings: Settings, port: int) -> str:
    if settings.proxy:
        return f"https://{settings.names[0]}/"
    name = settings.names[0] if settings.names else settings.host
    scheme = "https" if settings.secure else "http"
    return f"{scheme}://{f'[{name}]' if ':' in name else name}:{port}/"


def _listen(settings: Settings) -> socket.socket:
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    # where the protocol is not named, asyncio does not send at once, and each answer waits 40 ms for the last
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((settings.host, settings.port))
    except OSError as error:
        listening.close()
        raise _taken(settings, error) from None
    listening.listen(128)
    return listening


def _taken(settings: Settings, error: OSError) -> InputError:
    if error.errno == errno.EADDRINUSE:
        do = "Give another, or 0 for a free one."
        return InputError(Problem("--port", settings.port, "is taken by another program.", do))
    said = f"cannot be listened on: {error.strerror}."
    return InputError(Problem("--host", settings.host, said, "Give an address that this machine has."))
