"""Plain letters out of what people type: one case, one dash, one space, and a map back to the original."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

__all__ = ["LONGEST", "Tidy", "tidy"]

LONGEST = 500  # characters; a label, not a document

_ALIKE = {
    "x": "×✕",
    "/": "⁄∕",
    "u": "µμ",
    " ": "_™®©·",
    "-": "–—−‐‑‒⁻",
    '"': "″“”",
    "'": "′’‘",
    "dia ": "Øø⌀",
    ">=": "≥",
    "<=": "≤",
    " and ": "&",
    ", ": "•",
    "": "\u00ad\u200b\ufeff",
}
_SWAP = {character: plain for plain, characters in _ALIKE.items() for character in characters}
_ACCENT = "\u02b9"  # a letter of its own, so that "G\u0301" is not taken for "G"
_LONGEST_WHOLE = 8  # characters looked back over for the whole number before a fraction
_VULGAR = "½¼¾⅓⅔⅛⅜⅝⅞⅙⅚"


@dataclass(frozen=True)
class Tidy:
    """A label in plain lower-case letters.

    Attributes
    ----------
    text : the plain text
    origin : for each of its characters, the index of the character of the original that it came from
    original : the label as handed in
    """

    text: str
    origin: tuple[int, ...]
    original: str

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Where a stretch of the plain text stands in the original."""
        if start >= end:
            return (0, 0)
        return (self.origin[start], self.origin[end - 1] + 1)


def tidy(original: str) -> Tidy:
    """Lower case, plain dashes, primes and fractions; every run of blanks is one blank.

    >>> tidy("Z275 – 20 µm").text
    'z275 - 20 um'
    >>> tidy("2½ in").text
    '2 1/2 in'
    """
    out: list[str] = []
    origin: list[int] = []
    for index, character in enumerate(original):
        for plain in _plain(character):
            if plain == " " and (not out or out[-1] == " "):
                continue
            if plain == " " and character in _VULGAR and not _ends_in_number(out):
                continue
            out.append(plain)
            origin.append(index)
    if out and out[-1] == " ":
        out.pop()
        origin.pop()
    return Tidy("".join(out), tuple(origin), original)


def _ends_in_number(out: list[str]) -> bool:
    """Whether the last word so far is a number: the fraction after "2" is part of it, after "c4" not."""
    last = re.search(r"[^\W_]*$", "".join(out[-_LONGEST_WHOLE:]))
    return last is not None and last[0].isdecimal()


def _plain(character: str) -> str:
    if character in _SWAP:
        return _SWAP[character]
    if character in _VULGAR:
        return " " + unicodedata.normalize("NFKC", character).replace("⁄", "/")
    category = unicodedata.category(character)
    if character.isspace() or category in ("Cc", "Zs", "Zl", "Zp"):
        return " "
    if category.startswith("M"):
        return _ACCENT
    text = unicodedata.normalize("NFKC", character).lower()
    return "".join(_SWAP.get(part, " " if part.isspace() else part) for part in text)
