"""Ways into a store's file that write nothing."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from urllib.parse import quote

import sqlalchemy as sa

__all__ = ["PATIENCE_S", "read_only", "read_only_engine"]

PATIENCE_S = 15
"""How long one waits for another who writes, in seconds."""


def read_only(file: Path) -> sqlite3.Connection:
    """A plain connection."""
    return sqlite3.connect(f"file:{quote(str(file.absolute()))}?mode=ro", uri=True, timeout=PATIENCE_S)


def read_only_engine(file: Path) -> sa.Engine:
    """The same for what asks through an engine; no connection outlives its use."""
    return sa.create_engine("sqlite://", creator=lambda: read_only(file), poolclass=sa.NullPool)
