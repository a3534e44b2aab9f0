"""Start the server, say where it is, and stop it in good order."""

from __future__ import annotations

import errno
import socket
import sys
import webbrowser
from dataclasses import replace
from threading import Timer

import uvicorn
from fastapi import FastAPI

from longhold.base.errors import InputError, Problem
from longhold.web.accounts_safe import refuse_without_tls
from longhold.web.app import make_app
from longhold.web.settings import Settings

__all__ = ["run_server"]


def run_server(settings: Settings, browser: bool) -> None:
    """Serve until the user stops it.

    Parameters
    ----------
    settings : of the server
    browser : whether to open the page in the browser of this machine

    Raises
    ------
    InputError : where the port is taken, or other machines would reach a page that is not safe
    """
    refuse_without_tls(settings)
    listening = _listen(settings)
    port = listening.getsockname()[1]
    settings = replace(settings, port=port)
    app = _made(settings, listening)
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
        return make_app(settings)
    except BaseException:
        listening.close()
        raise


def _address(settings: Settings, port: int) -> str:
    if settings.proxy:
        return f"https://{settings.names[0]}/"
    name = settings.names[0] if settings.names else settings.host
    scheme = "https" if settings.secure else "http"
    return f"{scheme}://{f'[{name}]' if ':' in name else name}:{port}/"


def _listen(settings: Settings) -> socket.socket:
    listening = socket.socket(socket.AF_INET6 if ":" in settings.host else socket.AF_INET, socket.SOCK_STREAM)
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
