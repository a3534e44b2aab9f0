"""A structure file to start from."""

from __future__ import annotations

from importlib.resources import files

__all__ = ["starter"]


def starter() -> str:
    """Text of a small, commented structure file that loads and assesses as it stands."""
    return files("longhold.intake").joinpath("starter.toml").read_text(encoding="utf-8")
