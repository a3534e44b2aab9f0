"""Letters that the shipped fonts can print, and what is done about the others."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from importlib.resources import files

from longhold.base.recent import once

__all__ = ["MISSING", "Press", "breakable"]

MISSING = "\ufffd"
_WORD = re.compile(r"[^\s\u200b]+")
_PARTED = re.compile(r"[-,.;:()\[\]]")
_STEP, _MOST_LETTERS, _MOST_SIGNS = 7, 18, 10


class Press:
    """Makes texts printable and remembers what could not be printed.

    >>> press = Press()
    >>> press.text("Brücke, мост, 橋"), press.missing
    ('Brücke, мост, �', {'橋'})
    """

    def __init__(self) -> None:
        self.missing: set[str] = set()

    def text(self, text: str) -> str:
        """A text with a mark in place of each letter that no shipped font has."""
        return "".join(self._letter(letter) for letter in unicodedata.normalize("NFC", text))

    def told(self) -> str:
        """What was not printed, in a sentence; empty where everything was."""
        if not self.missing:
            return ""
        points = ", ".join(f"U+{ord(letter):04X}" for letter in sorted(self.missing)[:12])
        more = f" and {len(self.missing) - 12} more" if len(self.missing) > 12 else ""
        return (
            f"{MISSING} stands for letters that the fonts of this paper do not have ({points}{more}): "
            "the sheet and the page show the names whole."
        )

    def _letter(self, letter: str) -> str:
        if ord(letter) in _printable():
            return letter
        if letter in "\t\n\r\u200b":
            return " " if letter != "\u200b" else letter
        if letter.isprintable():
            self.missing.add(letter)
        return MISSING


def breakable(text: str) -> str:
    """A text whose long words may break between any few letters, so that none runs out of its cell.

    Plain words are left whole up to a length that no usual word has; numbers of items are not words.

    >>> breakable("nail, WO-132"), breakable("x" * 20).split("\u200b")
    ('nail, WO-132', ['xxxxxxx', 'xxxxxxx', 'xxxxxx'])
    >>> breakable("AB-101-L-316").split("\u200b")
    ['AB-101-', 'L-316']
    """
    return _WORD.sub(lambda word: _broken(word[0]), text)


def _broken(word: str) -> str:
    most = _MOST_LETTERS if all(part.isalpha() or not part for part in _PARTED.split(word)) else _MOST_SIGNS
    return word if len(word) <= most else "\u200b".join(_pieces(word))


def _pieces(word: str) -> Iterable[str]:
    """Pieces of a word that end before a letter that stands by itself, never before an accent."""
    piece = ""
    for letter in word:
        if len(piece) >= _STEP and not unicodedata.combining(letter):
            yield piece
            piece = ""
        piece += letter
    yield piece


@once
def _printable() -> frozenset[int]:
    lines = files("longhold.documents.papers").joinpath("fonts", "letters.txt").read_text("ascii").split()
    pairs = (line.split("-") for line in lines)
    return frozenset(one for first, last in pairs for one in range(int(first, 16), int(last, 16) + 1))
