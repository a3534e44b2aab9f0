"""The reader's unit first, in texts that were made in both systems before anybody said which is wanted."""

from __future__ import annotations

import re

from longhold.base.quantities import System

__all__ = ["first_in"]

_NUMBER = r"\d[\d,]*(?:\.\d+)?"
_MEASURED = rf"(?:{_NUMBER} to )?{_NUMBER}"
_UNITS = {
    "us": r"(?:ft|miles?|in|mil|oz/ft[2²])",
    "si": r"(?:m|km|mm|[uµ]m|g/m[2²])",
}


def first_in(text: str, system: System) -> str:
    """The text with each pair of measures turned so that the one of a system comes first.

    >>> first_in("at 45.7 m (150 ft) the size is 9.525 mm (0.375 in)", "us")
    'at 150 ft (45.7 m) the size is 0.375 in (9.525 mm)'
    >>> first_in("the worst 1 to 5 mm (0.04 to 0.2 in) below the face", "us")
    'the worst 0.04 to 0.2 in (1 to 5 mm) below the face'
    >>> first_in("at 45.7 m (150 ft)", "si"), first_in("1.85 oz/ft² (564.5 g/m²)", "si")
    ('at 45.7 m (150 ft)', '564.5 g/m² (1.85 oz/ft²)')
    """
    later = _UNITS["si" if system == "us" else "us"]
    pair = rf"({_MEASURED} {later}) \(({_MEASURED} {_UNITS[system]})\)"
    return re.sub(pair, r"\2 (\1)", text)
