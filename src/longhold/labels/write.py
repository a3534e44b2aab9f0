"""A protection in words that read back to it."""

from __future__ import annotations

from longhold.model.protection import Protection

__all__ = ["format_protection"]


def format_protection(protection: Protection) -> str:
    """Our way of writing a protection that came from a label; ``read_label`` gives it back.

    >>> from longhold.labels.read import read_label
    >>> format_protection(read_label("g-185, ASTM A653").protection)
    'ASTM A653 G185'
    """
    return protection.designation
