"""What a camera wrote into a photograph: when and where it was taken."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.limits import MOST_LIFE_PHOTO_BYTES
from longhold.intake.photo_file import photo_library

__all__ = ["photo_facts"]

_TAKEN, _CHANGED, _DETAILS, _POSITION = 36867, 306, 34665, 34853


def photo_facts(name: str, content: bytes) -> tuple[str, str]:
    """Date and time, and position, that a camera wrote into a photograph; blank where it wrote none.

    Raises
    ------
    InputError : it is too large, or no picture, or the library that reads pictures is not installed
    """
    if len(content) > MOST_LIFE_PHOTO_BYTES:
        allowed = (
            f"is {len(content) / 1e6:,.0f} MB; a photograph may have {MOST_LIFE_PHOTO_BYTES // 10**6} MB."
        )
        raise InputError(Problem(name, None, allowed, "Save it smaller."))
    image = photo_library("PIL.Image")
    try:
        with image.open(io.BytesIO(content)) as picture:
            told = picture.getexif()
            taken = str(told.get_ifd(_DETAILS).get(_TAKEN) or told.get(_CHANGED) or "")
            return _date(taken), _position(told.get_ifd(_POSITION))
    except (OSError, ValueError, SyntaxError, image.DecompressionBombError):
        raise InputError(Problem(name, None, "is no picture that can be opened.")) from None


def _date(text: str) -> str:
    """A camera's 2031:05:14 09:30:00 as 2031-05-14 09:30:00."""
    day, _, time = text.partition(" ")
    return f"{day.replace(':', '-')} {time}".strip() if day.count(":") == 2 else ""


def _position(told: Mapping[int, Any]) -> str:
    try:
        latitude = _degrees(told[2]) * (-1.0 if told[1] == "S" else 1.0)
        longitude = _degrees(told[4]) * (-1.0 if told[3] == "W" else 1.0)
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        return ""
    if not (math.isfinite(latitude) and math.isfinite(longitude)):
        return ""
    return f"{latitude:.5f}, {longitude:.5f}"


def _degrees(parts: Any) -> float:
    degrees, minutes, seconds = (float(part) for part in parts)
    return degrees + minutes / 60.0 + seconds / 3600.0
