"""Options that say one thing of another: LEFT=RIGHT."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["pair", "pairs"]


def pair(text: str, option: str, form: str) -> tuple[str, str]:
    """Both sides of an option.

    Raises
    ------
    InputError : there are no two sides

    >>> pair("item = Art. No.", "--column", "")
    ('item', 'Art. No.')
    """
    from longhold.base.errors import InputError, Problem

    left, sign, right = text.partition("=")
    if not (sign and left.strip() and right.strip()):
        raise InputError(Problem(option, text, f"must read {form}"))
    return left.strip(), right.strip()


def pairs(given: Sequence[str], option: str, form: str) -> dict[str, str]:
    """Both sides of an option that may be repeated."""
    return dict(pair(one, option, form) for one in given)
