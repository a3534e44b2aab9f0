"""Which stainless a person can clean, and what the standard asks of cleaning that counts."""

from __future__ import annotations

from longhold.base.tables import load_toml
from longhold.model.parts import Cleaning, Part

__all__ = ["can_be_cleaned", "cleaning_conditions", "cleaning_that_counts"]

_TABLE = "assessment/cleaning.toml"


def can_be_cleaned(part: Part) -> bool:
    """Whether a person reaches a part's faces that count for the class.

    Those are its faces in air; what lies in timber has no class. Against soil or concrete they are covered.

    >>> strap = {"id": "s", "kind": "strap", "size": "16 ga", "label": "316 stainless"}
    >>> can_be_cleaned(Part.model_validate(strap))
    True
    >>> can_be_cleaned(Part.model_validate({**strap, "contact": "concrete"}))
    False
    """
    return part.contact is None


def cleaning_that_counts(part: Part) -> Cleaning:
    """A part's cleaning as stated; none where nobody can reach it."""
    return part.cleaning if can_be_cleaned(part) else "none"


def cleaning_conditions() -> str:
    """What the standard asks of cleaning, with how sure that is."""
    told = load_toml(_TABLE)["conditions"]
    return f"{told['words']} [{told['mark']}: recalled, not read]"
