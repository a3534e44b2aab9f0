"""How our templates are read: one way for documents and for the page."""

from __future__ import annotations

from collections.abc import Callable, MutableMapping
from threading import RLock
from typing import Any

import jinja2

__all__ = ["Templates"]


class Templates(jinja2.Environment):
    """Templates of which each is compiled once, also where several threads ask for it before it is.

    Parameters
    ----------
    text_of : text of a template by its name, or None where there is none
    """

    def __init__(self, text_of: Callable[[str], str | None]) -> None:
        super().__init__(
            loader=jinja2.FunctionLoader(text_of),
            autoescape=True,
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._alone = RLock()

    def get_template(
        self,
        name: str | jinja2.Template,
        parent: str | None = None,
        globals: MutableMapping[str, Any] | None = None,
    ) -> jinja2.Template:
        """One template; the parameters are those of the library."""
        with self._alone:
            return super().get_template(name, parent, globals)
