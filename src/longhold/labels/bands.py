"""Ranges of size as the standards print them: over 4.8 to under 6.4 mm."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from longhold.labels.conversions import convert
from longhold.labels.grammar import read_number

__all__ = ["ANY", "Band", "exactly", "parse_band", "write_band"]

_NUMBER = r"(?:\d+[ -])?\d+(?:[./,]\d+)?"
_UNIT = r'(?:mm|inch(?:es)?|in\.?|")'
_OVER = r"over|above|more than|greater than|thicker than|>(?!=)"
_FROM = r"from|>=|t"
_UNDER = r"under|below|less than|thinner than|<(?!=)"
_TO = r"up to|<="
_BETWEEN = re.compile(
    rf"((?:(?:{_OVER}|{_FROM}) ?)*)({_NUMBER}) ?({_UNIT})? ?"
    rf"(?:to|up to|-) ?({_UNDER})? ?({_NUMBER}) ?({_UNIT})"
)
_BOUND = re.compile(rf"(?:({_OVER})|({_FROM})|({_UNDER})|({_TO}))? ?({_NUMBER}) ?({_UNIT})")


@dataclass(frozen=True)
class Band:
    """A range of thickness or diameter [mm].

    Attributes
    ----------
    low, high : bounds [mm]
    low_in, high_in : whether the bound itself belongs to the range
    """

    low: float = 0.0
    high: float = math.inf
    low_in: bool = True
    high_in: bool = True

    def meets(self, other: Band) -> bool:
        """Whether a size lies in the other range, or two ranges share more than a bound."""
        low, high = max(self.low, other.low), min(self.high, other.high)
        if low < high:
            return True
        one_size = self.low == self.high or other.low == other.high
        return one_size and low == high and self._holds(low) and other._holds(low)

    def _holds(self, value: float) -> bool:
        above = value > self.low or (self.low_in and value == self.low)
        return above and (value < self.high or (self.high_in and value == self.high))


ANY = Band()


def exactly(size_mm: float) -> Band:
    """The range of one size."""
    return Band(size_mm, size_mm)


def parse_band(text: str) -> Band:
    """A range as written; blank is any size.

    >>> parse_band("over 4.8 to under 6.4 mm")
    Band(low=4.8, high=6.4, low_in=False, high_in=False)
    >>> parse_band("from 16 mm")
    Band(low=16.0, high=inf, low_in=True, high_in=True)

    Raises
    ------
    ValueError : for text that is no range
    """
    text = text.strip().lower()
    if text == "":
        return ANY
    if match := _BETWEEN.fullmatch(text):
        low, high = _mm(match[2], match[3] or match[6]), _mm(match[5], match[6])
        if low > high:
            raise ValueError("the lower bound is above the upper one")
        return Band(low, high, re.search(_OVER, match[1]) is None, match[4] is None)
    if match := _BOUND.fullmatch(text):
        size = _mm(match[5], match[6])
        if match[1] or match[2]:
            return Band(low=size, low_in=match[1] is None)
        if match[3] or match[4]:
            return Band(high=size, high_in=match[3] is None)
        return exactly(size)
    raise ValueError("is not a range of sizes, such as 'over 4.8 to under 6.4 mm'")


def write_band(band: Band) -> str:
    """A range in words that read back to it.

    >>> write_band(parse_band("over 4.8 to under 6.4 mm"))
    'over 4.8 to under 6.4 mm'
    """
    if band == ANY:
        return ""
    if band.low == band.high:
        return f"{band.low:g} mm"
    if math.isinf(band.high):
        return f"{'from' if band.low_in else 'over'} {band.low:g} mm"
    top = f"{'' if band.high_in else 'under '}{band.high:g} mm"
    if band.low == 0.0:
        return top if not band.high_in else f"up to {band.high:g} mm"
    return f"{'from' if band.low_in else 'over'} {band.low:g} to {top}"


def _mm(number: str, unit: str) -> float:
    value = read_number(number.replace(",", "."))
    if value is None:
        raise ValueError("is not a number")
    return value if unit == "mm" else convert(value, "in", "mm")
