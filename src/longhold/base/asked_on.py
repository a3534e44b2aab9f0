"""Where somebody asks, so that a message tells what to do there: an option, a field of the page, a name."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal

__all__ = ["Place", "asked_on", "told_here"]

Place = Literal["command", "page", "program"]
_PLACE: ContextVar[Place] = ContextVar("longhold_asked_on", default="command")


@contextmanager
def asked_on(place: Place) -> Iterator[None]:
    """While this lasts, messages are read at that place.

    Parameters
    ----------
    place : the command, the page, or a program by the interface for programs
    """
    was = _PLACE.set(place)
    try:
        yield
    finally:
        _PLACE.reset(was)


def told_here(*, command: str, page: str, program: str | None = None) -> str:
    """The words of the place where somebody asks.

    Parameters
    ----------
    command : with options
    page : with fields and columns
    program : with names of the interface; those of the page where None

    >>> told_here(command="--lot", page="lot")
    '--lot'
    >>> with asked_on("page"):
    ...     told_here(command="--lot", page="lot")
    'lot'
    """
    place = _PLACE.get()
    return command if place == "command" else page if place == "page" or program is None else program
