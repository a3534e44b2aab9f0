"""A position as people type it: decimal degrees, or degrees, minutes and seconds with their hemispheres."""

from __future__ import annotations

import re
from collections.abc import Sequence

from longhold.base.errors import InputError, Problem

__all__ = ["looks_like_position", "negative", "read_named_position", "read_position"]

_DEGREES = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:\s?°)?(?:\s?[NSEWnsew]\b)?"
_PAIR = re.compile(rf"({_DEGREES})(?:\s*,\s*|\s+)({_DEGREES})")
_NUMBER = r"(\d{{1,2}}(?:\.\d+)?)"
_ANGLE = rf"(\d{{{{1,3}}}})\s?°\s*{_NUMBER}\s?'(?:\s*{_NUMBER}\s?\")?\s*([{{letters}}])(?![^\W\d_])"
_PAIR_OF_ANGLES = re.compile(
    rf"{_ANGLE.format(letters='NS')}(?:\s*,\s*|\s*){_ANGLE.format(letters='EW')}", re.IGNORECASE
)
_SIGNS = {"\u2032": "'", "\u2019": "'", "\u00b4": "'", "\u2033": '"', "\u201d": '"', "''": '"', "\u00ba": "°"}
"""Other signs that are typed for minutes, seconds and degrees."""
_IN_MINUTES = re.compile(
    r"\d\s?[°d:]\s*\d+(?:\.\d+)?\s?['m:\"]|\d\s?°\s*\d+(?:\.\d+)?\s*[NSEW]", re.IGNORECASE
)
_WRITE_ANGLES = (
    "Degrees and minutes are read with the letters N or S, then E or W, such as 33°58'N 77°55'W or "
    "33°58'12\"N 77°55'12\"W."
)
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
    tidy = _tidy(typed)
    if (angles := _PAIR_OF_ANGLES.fullmatch(tidy)) is not None:
        return _of_angles(angles, typed, where)
    match = _PAIR.fullmatch(tidy)
    if match is None:
        raise InputError(Problem(where, typed, _MUST_BE, _help(tidy)))
    return _position(match, typed, where)


def read_named_position(text: str, where: str) -> tuple[tuple[float, float], str]:
    """The same with a name behind it; empty where there is none.

    A name begins with no number: "33,97 -77,92" has commas for decimals, and its first two numbers are
    another place.

    >>> read_named_position("39.74,-104.99 Denver", "--also")
    ((39.74, -104.99), 'Denver')
    """
    tidy = _tidy(text)
    angles = _PAIR_OF_ANGLES.match(tidy)
    match = angles or _PAIR.match(tidy)
    name = tidy[match.end() :] if match else ""
    if match is None or re.match(r"[^\s,]", name):
        raise InputError(Problem(where, text, _MUST_BE, _help(tidy) or "A name may follow."))
    if re.match(r"[\s,]*[+-]?\.?\d", name):
        do = "A point parts the decimals, not a comma. A name may follow that begins with a letter."
        raise InputError(Problem(where, text, _MUST_BE, do))
    found = _position(match, text, where) if angles is None else _of_angles(angles, text, where)
    return found, name.strip(" ,")


def _help(tidy: str) -> str:
    return _WRITE_ANGLES if _IN_MINUTES.search(tidy) else ""


def _of_angles(match: re.Match[str], typed: str, where: str) -> tuple[float, float]:
    """A position of degrees, minutes and seconds, each pair with its letter."""
    values = []
    for degrees, minutes, seconds, letter in (match.groups()[:4], match.groups()[4:]):
        if float(minutes) >= 60.0 or float(seconds or 0.0) >= 60.0:
            raise InputError(Problem(where, typed, "must have minutes and seconds below 60."))
        if seconds and "." in minutes:
            raise InputError(
                Problem(where, typed, "has decimals of minutes and seconds: one of them is meant.")
            )
        value = float(degrees) + float(minutes) / 60.0 + float(seconds or 0.0) / 3600.0
        values.append(-value if letter.upper() in "SW" else value)
    _check(values[0], values[1], typed, where)
    return values[0], values[1]


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
        could_be_swapped = 90.0 < abs(latitude) <= 180.0 and abs(longitude) <= 90.0
        if could_be_swapped:
            do = f"Were they swapped? Then give {longitude:g} {latitude:g}."
        raise InputError(Problem(where, typed, f"{allowed}.", do)) from None


def _tidy(text: str) -> str:
    for sign, plain in {"\u2212": "-", **_SIGNS}.items():
        text = text.replace(sign, plain)
    return text.strip()
