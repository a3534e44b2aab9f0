"""TOML that people hand in: read by the standard library, kept from what would hold it up for minutes."""

from __future__ import annotations

import re
import tomllib
from typing import Any

__all__ = ["MOST_PARTS", "TOO_MANY_DIGITS", "parse_toml"]

MOST_PARTS = 100
"""How many parts a dotted key may have."""
TOO_MANY_DIGITS = "it holds a number of thousands of digits"
_NEXT_PART = re.compile(r"\.\s*[^.\s]")


def parse_toml(text: str) -> dict[str, Any]:
    """Keys and values of TOML text.

    Raises
    ------
    TOMLDecodeError : with the fault and, mostly, its line and column
    ValueError : nested too deep, a dotted key of more than ``MOST_PARTS`` parts, a number without end

    >>> parse_toml("a.b = 1")
    {'a': {'b': 1}}
    """
    for number, line in enumerate(text.splitlines(), start=1):
        # the time that the library takes grows with the square of the parts of a key
        if line.count(".") >= MOST_PARTS and len(_NEXT_PART.findall(_key(line))) >= MOST_PARTS:
            raise ValueError(f"line {number} has a key of more than {MOST_PARTS} parts with dots between")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise ValueError("it is nested too deep") from None
    except tomllib.TOMLDecodeError:
        raise
    except ValueError:  # Python's limit on digits, told in words for programmers
        raise ValueError(TOO_MANY_DIGITS) from None


def _key(line: str) -> str:
    begun = line.lstrip()
    if begun.startswith("#"):
        return ""
    return begun.partition("]")[0] if begun.startswith("[") else begun.partition("=")[0]
