"""Lines of a draft: what is known, with where from; what is missing, as a blank that asks."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

__all__ = ["Slot", "comment", "lines", "slug"]

_WIDE = 44


@dataclass(frozen=True)
class Slot:
    """One field of a draft.

    Attributes
    ----------
    field : as the structure file names it
    value : TOML text of its value; blank where it is missing
    note : where the value comes from, or what is asked
    needed : whether a structure without it is refused
    """

    field: str
    value: str = ""
    note: str = ""
    needed: bool = True


def lines(slots: tuple[Slot, ...]) -> list[str]:
    """The lines of some fields: missing ones are blanks, or comments where they may be left out."""
    return [_line(slot) for slot in slots]


def comment(text: str) -> str:
    """One line of comment; a line break in it would end it."""
    return f"# {' '.join(text.split())}"


def slug(text: str, fallback: str) -> str:
    """A short name of letters, digits, dashes and underscores.

    >>> slug("Joist 38x184 (south)", "timber"), slug("柱", "timber")
    ('joist_38x184_south', 'timber')
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    words = "".join(sign if sign.isalnum() else " " for sign in plain).split()
    return "_".join(words)[:40].rstrip("_") or fallback


def _line(slot: Slot) -> str:
    note = " ".join(slot.note.split())
    if slot.value:
        return _noted(f"{slot.field} = {slot.value}", note)
    if slot.needed:
        return _noted(f'{slot.field} = ""', f"MISSING: {note}")
    return _noted(f'# {slot.field} = ""', note)


def _noted(line: str, note: str) -> str:
    return f"{line:<{_WIDE}}# {note}" if note else line
