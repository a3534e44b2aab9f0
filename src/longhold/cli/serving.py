"""Command ``serve``: the page on this machine, or for others by TLS and accounts."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["serve"]

_PEM = "FILE.pem"


def serve(
    port: Annotated[int, typer.Option(min=0, max=65_535, help="Port; 0 takes a free one.")] = 8765,
    store: Annotated[
        str | None,
        typer.Option(metavar="FILE|URL", help="Where structures are kept, in place of the usual file."),
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the page in the browser of this machine.")] = True,
    host: Annotated[
        str,
        typer.Option(
            metavar="ADDRESS", help="Address to listen on; other machines reach it by TLS and accounts alone."
        ),
    ] = "127.0.0.1",
    name: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Host name that browsers reach it by; may be repeated."),
    ] = None,
    certificate: Annotated[
        Path | None,
        typer.Option(metavar=_PEM, help="Certificate for TLS, followed by its chain."),
    ] = None,
    key: Annotated[Path | None, typer.Option(metavar=_PEM, help="Private key of the certificate.")] = None,
    behind_proxy: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Address or host name of a proxy in front that speaks TLS; no other may connect.",
        ),
    ] = None,
    accounts: Annotated[
        bool, typer.Option("--accounts", metavar="", help="Ask people to sign in on this machine too.")
    ] = False,
) -> None:
    """Open the page on this machine: read labels, ask for joints, keep structures, choose hardware."""
    from longhold.web.accounts_tls import proxy_addresses
    from longhold.web.serving import run_server
    from longhold.web.settings import Settings, is_loopback

    own = () if is_loopback(host) or host in ("0.0.0.0", "::") else (host.casefold(),)  # noqa: S104
    settings = Settings(
        host=host,
        port=port,
        store=store,
        names=(*(one.casefold() for one in name or ()), *own),
        accounts=accounts,
        certificate=certificate,
        key=key,
        proxy=() if behind_proxy is None else proxy_addresses(behind_proxy),
    )
    run_server(settings, browser and is_loopback(host) and not settings.proxy)
