"""Command ``serve``: the page on this machine."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["serve"]


def serve(
    port: Annotated[int, typer.Option(min=0, max=65_535, help="Port; 0 takes a free one.")] = 8765,
    store: Annotated[
        str | None,
        typer.Option(metavar="FILE|URL", help="Where structures are kept, in place of the usual file."),
    ] = None,
    browser: Annotated[bool, typer.Option(help="Open the page in the browser of this machine.")] = True,
) -> None:
    """Open the page on this machine: read labels, ask for joints, keep structures, choose hardware."""
    from longhold.base.errors import InputError, Problem

    try:
        from longhold.web.serving import run_server
        from longhold.web.settings import Settings
    except ModuleNotFoundError as error:
        do = "Install it: pip install 'longhold[web]'"
        raise InputError(Problem("serve", None, f"needs {error.name}, which is not installed.", do)) from None
    run_server(Settings(port=port, store=None if store is None else Path(store)), browser)
