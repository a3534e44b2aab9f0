"""Every designation that the tables hold, and the nearest ones to something misspelt."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from longhold.base.recent import once
from longhold.labels.alloys import alloys
from longhold.labels.catalogue import coats, standards
from longhold.labels.reading import LabelError

if TYPE_CHECKING:
    from longhold.labels.said import Said

__all__ = ["check_spelling", "edits", "known_designations", "nearest", "refuse"]

_MOST_SUGGESTIONS = 3
_LONG_WORD = 7
_WORDS = (
    "galvanized",
    "hot-dip galvanized",
    "electroplated",
    "zinc plated",
    "mechanically galvanized",
    "sherardized",
    "galvannealed",
    "stainless",
    "silicon bronze",
    "weathering steel",
    "zinc flake",
    "HDG",
    "SS304",
    "SS316",
)
LOOSE = (
    "plain steel",
    "weathering steel",
    "stainless, grade not stated",
    "zinc, amount not stated",
    "mill-coated zinc sheet, class not stated",
    "zinc dipped after making, amount not stated",
    "zinc dipped and spun, amount not stated",
    "electroplated zinc, thickness not stated",
    "mechanically deposited zinc, class not stated",
    "thermally diffused zinc, class not stated",
    "sprayed zinc, thickness not stated",
    "zinc flake, hours not stated",
)
"""Our way of writing what labels say without a class."""


def known_designations() -> list[str]:
    """Every designation that can be read, as we write it: coats, bare alloys, finishes without a class.

    >>> "ASTM A653 G90" in known_designations()
    True
    """
    return [*(coat.designation for coat in coats()), *(alloy.designation for alloy in alloys()), *LOOSE]


def nearest(written: str, among: Iterable[str] | None = None) -> tuple[str, ...]:
    """Up to three known designations that are closest to something misspelt, closest first.

    >>> nearest("G158")
    ('G185',)
    """
    shape = _flat(written)
    limit = 1 if len(shape) < _LONG_WORD else 2
    wanted = _letters(shape)
    by_length = _by_length() if among is None else _sorted_by_length(among)
    close = [
        (edits(shape, flat), place, name)
        for length in range(len(shape) - limit, len(shape) + limit + 1)
        for place, name, flat, letters in by_length.get(length, ())
        if (letters ^ wanted).bit_count()
        <= 2 * limit  # cheaper than edits, and never above twice their number
    ]
    found = [name for distance, _, name in sorted(close) if 0 < distance <= limit and len(shape) > 1]
    return tuple(dict.fromkeys(found))[:_MOST_SUGGESTIONS]


@once
def _by_length() -> dict[int, list[tuple[int, str, str, int]]]:
    return _sorted_by_length(_tokens())


def _letters(text: str) -> int:
    """Which letters and digits occur, one bit each."""
    mask = 0
    for character in text:
        mask |= 1 << (ord(character) % 64)
    return mask


def _sorted_by_length(names: Iterable[str]) -> dict[int, list[tuple[int, str, str, int]]]:
    sorted_names: dict[int, list[tuple[int, str, str, int]]] = {}
    for place, name in enumerate(names):
        flat = _flat(name)
        sorted_names.setdefault(len(flat), []).append((place, name, flat, _letters(flat)))
    return sorted_names


def edits(first: str, second: str) -> int:
    """Insertions, deletions, changes and swaps of neighbors from one text to the other; 9 if far apart.

    >>> edits("g158", "g185"), edits("a635", "a653"), edits("z257", "z275")
    (1, 1, 1)
    """
    if abs(len(first) - len(second)) > 2:
        return 9
    before: list[int] = []
    row = list(range(len(second) + 1))
    for i, a in enumerate(first, start=1):
        before, last, row = row, before, [i]
        for j, b in enumerate(second, start=1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (a != b))
            if i > 1 and j > 1 and a == second[j - 2] and first[i - 2] == b:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
    return row[-1]


def refuse(said: Said, why: str, written: str = "", among: Iterable[str] | None = None) -> LabelError:
    """The error for a label, with what is nearest to the part that is wrong."""
    return LabelError(said.tidy.original, why, nearest=nearest(written, among) if written else ())


def check_spelling(said: Said) -> None:
    """Refuse a standard that looks like a slip for one of the coating standards, such as A635 for A653."""
    for claim in said.of("unknown_standard"):
        close = nearest(claim.name.lstrip("?n"), _coating_numbers())
        close = tuple(name for name in close if edits(_flat(claim.name), _flat(name)) <= 1)
        if close:
            raise LabelError(
                said.tidy.original,
                f"names {claim.text.upper()}, which no coating standard is called.",
                nearest=close,
            )


@once
def _coating_numbers() -> tuple[str, ...]:
    return tuple(s.key.lstrip("n").upper() for s in standards().values() if s.role == "coating")


@once
def _tokens() -> tuple[str, ...]:
    tokens = [coat.token for coat in coats() if coat.token and not coat.token.startswith(("class", "grade"))]
    names = [alloy.grade for alloy in alloys() if alloy.grade]
    return tuple(dict.fromkeys([*tokens, *names, *_coating_numbers(), *_WORDS, *known_designations()]))


def _flat(text: str) -> str:
    return re.sub(r"[\s/.,-]", "", text.lower())
