"""What the label grammar makes of the words on a photograph, and which slips of reading it would explain."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise, product

from longhold.labels import LabelError, read_parts
from longhold.labels.alloys import alloy_named
from longhold.labels.claims import DESIGNATION, NOISE
from longhold.labels.grammar import phrases
from longhold.labels.tidy import LONGEST, tidy

__all__ = ["Proposal", "Understood", "proposals_for", "understand", "words_for_label"]

_ALIKE = ("0ODQ", "1lI|i", "2Z", "5S", "6G", "8B", "4A", "7T", "9g")
_SWAPS = {one: tuple(other for other in group if other != one) for group in _ALIKE for one in group}
_MOST_SLIPS = 2  # characters changed in one word
_LONGEST_WORD = 12
_MOST_PROPOSALS = 6
_BODIES = r"ASTM|AISI|AASHTO|ISO|DIN|JIS|CSA|EN|AS|BS|Type|Class|Grade"
_BODY = re.compile(rf"^(?:{_BODIES})$", re.IGNORECASE)
_GLUED = re.compile(rf"^({_BODIES})[-:]?([A-Z]?\d[\w/.-]*)$", re.IGNORECASE)


@dataclass(frozen=True)
class Understood:
    """What the label grammar makes of some words.

    Attributes
    ----------
    rank : 0 nothing, 1 nearly something, 2 several readings, 3 one reading for each part
    meaning : designations that are promised, least protective first
    """

    rank: int
    meaning: tuple[str, ...] = ()


@dataclass(frozen=True)
class Proposal:
    """A slip of reading that would make sense of a label; shown to a person, never applied by itself.

    Attributes
    ----------
    row : number of the row of print, from 0
    written, meant : the words as read, and as they may stand on the label
    then : what the label would promise
    why : what makes it likely
    """

    row: int
    written: str
    meant: str
    then: str
    why: str


@lru_cache(maxsize=512)
def understand(words: str) -> Understood:
    """What the label grammar makes of some words, without raising where it makes nothing of them.

    >>> understand("ASTM A653 G185")
    Understood(rank=3, meaning=('ASTM A653 G185',))
    """
    try:
        parts = read_parts(words)
    except LabelError as error:
        return Understood(1 if error.nearest else 0)
    told = [part.told for part in parts if part.told is not None]
    meaning = tuple(reading.protection.designation for one in told for reading in one.readings)
    settled = len(told) == len(parts) and all(one.settled for one in told)
    return Understood(3 if settled else 2, meaning)


def words_for_label(rows: tuple[str, ...]) -> tuple[str, int]:
    """The words that the label grammar is asked about, and how many rows were left out for want of room.

    All of them where they fit; else the rows that say anything of metal, standards, parts or sizes.
    """
    whole = _joined(rows)
    if len(whole) <= LONGEST:
        return whole, 0
    kept: list[str] = []
    for row in sorted(rows, key=_weight, reverse=True):
        if _weight(row) and len(_joined([*kept, row])) <= LONGEST:
            kept.append(row)
    chosen = [row for row in rows if row in kept]
    return _joined(chosen), len(rows) - len(chosen)


def _joined(rows: Sequence[str]) -> str:
    """Rows of print with a comma between, so that a size and a grade in the next row are two numbers."""
    return ", ".join(row.rstrip(" ,;") for row in rows)


def _weight(row: str) -> int:
    """2 for a row that names a metal or a coat, 1 for one that tells of a part or size, 0 for others."""
    claims = phrases(tidy(row[:LONGEST]).text)
    if any(claim.what in DESIGNATION for claim in claims):
        return 2
    return int(any(claim.what not in NOISE for claim in claims))


def proposals_for(rows: tuple[str, ...]) -> tuple[Proposal, ...]:
    """Slips of reading that the label grammar would make sense of: O for 0, l for 1, 2275 for Z275 ...

    A slip is proposed where the word as read names nothing, the word as meant does, and the label as a whole
    can then be read and promises something else than before.

    >>> proposals_for(("HANGER", "6185"))[0].meant
    'G185'
    """
    before = understand(words_for_label(rows)[0])
    found: list[Proposal] = []
    for number, row in enumerate(rows):
        for written, meant, why in _slips(row):
            mended = (*rows[:number], row.replace(written, meant, 1), *rows[number + 1 :])
            after = understand(words_for_label(mended)[0])
            if after.rank >= max(2, before.rank) and after.meaning != before.meaning:
                found.append(Proposal(number, written, meant, " or ".join(after.meaning[:2]), why))
    return tuple(dict.fromkeys(found))[:_MOST_PROPOSALS]


def _slips(row: str) -> Iterator[tuple[str, str, str]]:
    """(as read, as perhaps meant, why) of a row of print."""
    words = row.split()
    for before, word in pairwise(["", *words]):
        glued = _GLUED.match(word)
        if glued and not _names(word):
            yield word, f"{glued[1]} {glued[2]}", "a blank was lost"
        for piece in re.findall(r"[\w|./-]+", word):
            if len(piece) <= _LONGEST_WORD and any(c.isdigit() or c in _SWAPS for c in piece):
                body = f"{before} " if before and _BODY.match(before) else ""
                yield from ((piece, one, "letters and digits look alike") for one in _respelt(piece, body))
    for first, second in pairwise(words):
        if second[:1].isdigit() or second[1:2].isdigit():
            for body in _bodies_like(first):
                yield first, body, "letters and digits look alike"
        if (
            first[-1:].isdigit()
            and second[:1].isdigit()
            and _names(row.replace(f"{first} {second}", first + second))
        ):
            yield f"{first} {second}", f"{first}{second}", "a blank too many"


def _bodies_like(word: str) -> Iterator[str]:
    """Bodies that issue standards, where a word is one of them but for digits that look like its letters."""
    for body in _BODIES.split("|"):
        if len(body) == len(word) and word.upper() != body.upper():
            pairs = list(zip(word, body, strict=True))
            if all(a.upper() == b.upper() or b in _SWAPS.get(a, ()) for a, b in pairs):
                yield body


def _respelt(word: str, body: str) -> Iterator[str]:
    """Words up to two characters away that name a metal, a coat or a standard where this one does not."""
    if _names(body + word):
        return
    places = [place for place, character in enumerate(word) if character in _SWAPS]
    for count in range(1, _MOST_SLIPS + 1):
        for chosen in combinations(places, count):
            for swaps in product(*(_SWAPS[word[place]] for place in chosen)):
                letters = list(word)
                for place, swap in zip(chosen, swaps, strict=True):
                    letters[place] = swap
                meant = "".join(letters)
                if _names(body + meant) or _names(meant):
                    yield meant


@lru_cache(maxsize=8192)
def _names(words: str) -> bool:
    if words.isascii() and words.isdigit():
        known = alloy_named(words)
        return known is not None and known.base_metal == "stainless"
    plain = tidy(words[:LONGEST]).text
    return any(claim.what in DESIGNATION and any(c.isdigit() for c in claim.text) for claim in phrases(plain))
