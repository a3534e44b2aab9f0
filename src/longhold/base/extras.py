"""What is said where a library that comes with an extra of the package is not installed: one wording."""

from __future__ import annotations

from typing import Any, Literal

from longhold.base.errors import Problem

__all__ = ["Extra", "get_extra", "lacking", "needs_extra"]

Extra = Literal[
    "fast", "places", "weather", "xlsx", "pdf", "calendar", "ifc", "store", "postgres", "photo", "web"
]
"""Names of the extras, as ``pip install`` takes them."""


def needs_extra(extra: Extra) -> str:
    """What is wrong, as the end of a sentence.

    >>> needs_extra("web")
    'needs the extra web, which is not installed.'
    """
    return f"needs the extra {extra}, which is not installed."


def get_extra(extra: Extra) -> str:
    """What to do about it.

    >>> get_extra("web")
    "Run: pip install 'longhold[web]'"
    """
    return f"Run: pip install 'longhold[{extra}]'"


def lacking(where: str, extra: Extra, *, value: Any = None, otherwise: str = "") -> Problem:
    """The problem of what cannot be done for want of an extra.

    Parameters
    ----------
    where : what was asked for, or the field or option that asks for it
    value : what was given there
    otherwise : what else may be done, as a whole sentence

    >>> print(lacking("--ifc", "ifc", otherwise="Or leave it out."))
    --ifc: needs the extra ifc, which is not installed. Run: pip install 'longhold[ifc]'. Or leave it out.
    """
    do = f"{get_extra(extra)}. {otherwise}" if otherwise else get_extra(extra)
    return Problem(where, value, needs_extra(extra), do)
