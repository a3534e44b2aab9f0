"""One phrase of a label: what kind of thing it says, and where it says it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["DESIGNATION", "NOISE", "Claim"]

NOISE = frozenset({"word", "sign", "bare", "break", "either", "negation", "comparison"})
"""Kinds of phrase that promise nothing by themselves."""

DESIGNATION = frozenset(
    [
        "standard",
        "sheet_class",
        "per_side",
        "iron_zinc",
        "service_condition",
        "zinc_number",
        "flake",
        "hdg_mass",
        "letter_code",
        "alloy",
        "stainless_word",
        "metal",
        "bare_metal",
        "process",
        "film",
        "other_coat",
        "after",
    ]
)
"""Kinds of phrase that name a metal or a coat."""


@dataclass(frozen=True)
class Claim:
    """One phrase.

    Attributes
    ----------
    what : kind of phrase, the name of its rule in ``label.lark``
    text : the phrase as it stands in the tidied label
    start, end : where it stands there
    name : what it names, in one spelling: a class, a standard's key, a process, a unit's kind ...
    number : its number, in the inside unit where it has one (g/m2, um, mm)
    extra : a second word: edition, qualifier, letter of a passivate ...
    segment : which stretch between commas, plus signs and "over" it belongs to
    """

    what: str
    text: str
    start: int
    end: int
    name: str = ""
    number: float | None = None
    extra: str = ""
    segment: int = 0
