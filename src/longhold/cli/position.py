"""A position as people type it: decimal degrees, parted by a space or a comma."""

from __future__ import annotations

import re
from collections.abc import Sequence

from longhold.base.errors import InputError, Problem

__all__ = ["is_number", "looks_like_position", "read_position"]

_NUMBER = re.compile(r"([+-]?(?:\d+\.?\d*|\.\d+))\s*°?\s*([NSEWnsew]?)$")
_HOW = "Give latitude, then longitude, in decimal degrees: north and east positive, such as 33.97 -77.92."


def is_number(word: str) -> bool:
    """Whether a word that starts with a minus is a number and no option.

    >>> is_number("-77.92"), is_number("-77.92,"), is_number("--report")
    (True, True, False)
    """
    return bool(_NUMBER.match(_tidy(word).strip()))


def looks_like_position(words: Sequence[str]) -> bool:
    """Whether words are meant as a position rather than as the name of a file."""
    parts = _tidy(" ".join(words)).split()
    return len(words) > 1 or (len(parts) == 2 and all(map(_NUMBER.match, parts)))


def read_position(words: Sequence[str], where: str) -> tuple[float, float]:
    """Latitude and longitude [degree].

    Parameters
    ----------
    words : as typed
    where : argument or option that they stand in, for the message

    Raises
    ------
    InputError : words that are no two numbers, or numbers that are no position

    >>> read_position(["33.97", "-77.92"], "LAT LON"), read_position(["33.97 N, 77.92 W"], "LAT LON")
    ((33.97, -77.92), (33.97, -77.92))
    """
    typed = " ".join(words)
    parts = re.sub(r"\s+([NSEWnsew])\b", r"\1", _tidy(typed)).split()
    found = [_NUMBER.match(part) for part in parts]
    if len(parts) != 2 or not all(found):
        raise InputError(Problem(where, typed, "is not a position.", _HOW))
    values = []
    for match, letters in zip(found, ("NS", "EW"), strict=True):
        number, letter = float(match[1]), match[2].upper()  # type: ignore[index]
        if letter and letter not in letters:
            raise InputError(Problem(where, typed, "gives the longitude first.", _HOW))
        values.append(-abs(number) if letter in {"S", "W"} else number)
    _check(values[0], values[1], where)
    return values[0], values[1]


def _check(latitude: float, longitude: float, where: str) -> None:
    from longhold.air.coast import coordinates

    try:
        coordinates(latitude, longitude)
    except InputError as error:
        typed = f"{latitude:g} {longitude:g}"
        allowed = " and ".join(f"the {one.where} {one.allowed.removesuffix('.')}" for one in error.problems)
        do = " ".join(dict.fromkeys(one.do for one in error.problems if one.do))
        if abs(latitude) > 90.0 and abs(longitude) <= 90.0 and abs(latitude) <= 180.0:
            do = f"Were they swapped? Then give {longitude:g} {latitude:g}."
        raise InputError(Problem(where, typed, f"{allowed}.", do)) from None


def _tidy(text: str) -> str:
    return text.replace(",", " ").replace("\u2212", "-")
