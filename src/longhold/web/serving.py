"""Start the server, say where it is, and stop it in good order."""

from __future__ import annotations

import socket
import sys
import webbrowser
from dataclasses import replace
from threading import Timer

import uvicorn

from longhold.base.errors import InputError, Problem
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
    InputError : where the port is taken
    """
    listening = _listen(settings)
    port = listening.getsockname()[1]
    settings = replace(settings, port=port)
    address = f"http://{settings.host}:{port}/"
    print(f"Longhold is open at {address}\nStop it with Ctrl-C.", file=sys.stderr, flush=True)
    if browser:
        Timer(0.8, webbrowser.open, [address]).start()
    config = uvicorn.Config(
        make_app(settings),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=3,
    )
    uvicorn.Server(config).run(sockets=[listening])


def _listen(settings: Settings) -> socket.socket:
    listening = socket.socket(socket.AF_INET6 if ":" in settings.host else socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((settings.host, settings.port))
    except OSError:
        listening.close()
        said = "is taken by another program."
        raise InputError(
            Problem("--port", settings.port, said, "Give another, or 0 for a free one.")
        ) from None
    listening.listen(128)
    return listening
