"""Data of places for Longhold: files only. ``folder()`` says where they are."""

from __future__ import annotations

from pathlib import Path

__all__ = ["folder"]


def folder() -> Path:
    """The folder that holds the data files."""
    return Path(__file__).parent
