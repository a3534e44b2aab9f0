"""What goes out as a file: how it is called, and the day that it carries."""

from __future__ import annotations

import datetime
from urllib.parse import quote

__all__ = ["attachment", "today"]


def attachment(name: str) -> dict[str, str]:
    """The header that makes a browser save an answer under a name (RFC 6266, RFC 8187).

    >>> attachment("Back deck.toml")
    {'content-disposition': "attachment; filename*=UTF-8''Back%20deck.toml"}
    """
    return {"content-disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}"}


def today() -> datetime.date:
    """The day in UTC, as everything that is kept is dated."""
    return datetime.datetime.now(datetime.UTC).date()
