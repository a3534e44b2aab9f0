"""A position as people type it: decimal degrees, parted by a space or a comma."""

from __future__ import annotations

import re
from collections.abc import Sequence

from longhold.base.errors import InputError, Problem

__all__ = ["looks_like_position", "negative", "read_named_position", "read_position"]

_DEGREES = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:\s?°)?(?:\s?[NSEWnsew]\b)?"
_PAIR = re.compile(rf"({_DEGREES})(?:\s*,\s*|\s+)({_DEGREES})")
_MUST_BE = (
    "must be latitude, then longitude, in decimal degrees, north and east positive, such as 33.97 -77.92."
)


def negative(word: str) -> bool:
    """Whether a word that starts with a minus is meant as a number, not as an option.

    >>> negative("-77.92"), negative("-.5"), negative("--report"), negative("-h")
    (True, True, False, False)
    """
    return bool(re.match(r"-\.?\d", word))


def looks_like_position(words: Sequence[str]) -> bool:
    """Whether words are meant as a position rather than as the name of a file.

    >>> looks_like_position(["33.97,-77.92"]), looks_like_position(["deck.toml"]), looks_like_position(["34"])
    (True, False, True)
    """
    return len(words) > 1 or bool(re.fullmatch(r"[+-]?[\d.,°\s+-]+[NSns]?|.*\d\s*°?[EWew]", _tidy(words[0])))


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
    match = _PAIR.fullmatch(_tidy(typed))
    if match is None:
        raise InputError(Problem(where, typed, _MUST_BE))
    return _position(match, typed, where)


def read_named_position(text: str, where: str) -> tuple[tuple[float, float], str]:
    """The same with a name behind it; empty where there is none.

    A name begins with no number: "33,97 -77,92" has commas for decimals, and its first two numbers are
    another place.

    >>> read_named_position("39.74,-104.99 Denver", "--also")
    ((39.74, -104.99), 'Denver')
    """
    tidy = _tidy(text)
    match = _PAIR.match(tidy)
    name = tidy[match.end() :] if match else ""
    if match is None or re.match(r"[^\s,]", name):
        raise InputError(Problem(where, text, _MUST_BE, "A name may follow."))
    if re.match(r"[\s,]*[+-]?\.?\d", name):
        do = "A point parts the decimals, not a comma. A name may follow that begins with a letter."
        raise InputError(Problem(where, text, _MUST_BE, do))
    return _position(match, text, where), name.strip(" ,")


def _position(match: re.Match[str], typed: str, where: str) -> tuple[float, float]:
    values = []
    for part, letters in zip(match.groups(), ("NS", "EW"), strict=True):
        number, letter = float(re.sub(r"[\s°NSEWnsew]", "", part)), part[-1].upper()
        if letter in "NSEW" and letter not in letters:
            raise InputError(Problem(where, typed, _MUST_BE))
        values.append(-abs(number) if letter in "SW" else number)
    _check(values[0], values[1], typed, where)
    return values[0], values[1]


def _check(latitude: float, longitude: float, typed: str, where: str) -> None:
    from longhold.air.coast import coordinates

    try:
        coordinates(latitude, longitude)
    except InputError as error:
        allowed = " and ".join(f"the {one.where} {one.allowed.removesuffix('.')}" for one in error.problems)
        do = " ".join(dict.fromkeys(one.do for one in error.problems if one.do))
        if 90.0 < abs(latitude) <= 180.0 and abs(longitude) <= 90.0:
            do = f"Were they swapped? Then give {longitude:g} {latitude:g}."
        raise InputError(Problem(where, typed, f"{allowed}.", do)) from None


def _tidy(text: str) -> str:
    return text.replace("\u2212", "-").strip()
