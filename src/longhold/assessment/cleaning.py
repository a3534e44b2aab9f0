"""Which stainless a person can clean, and what the standard asks of cleaning that counts."""

from __future__ import annotations

from longhold.base.tables import load_toml
from longhold.model.parts import Cleaning, Part

__all__ = ["can_be_cleaned", "cleaning_conditions", "cleaning_that_counts"]

_TABLE = "assessment/cleaning.toml"


def can_be_cleaned(part: Part) -> bool:
    """Whether a person reaches a part's faces that count for the class.

    A shank lies in timber, a washer in a lap, the teeth of a nail plate in timber; a face against soil or
    concrete is covered.

    >>> strap = Part.model_validate({"id": "s", "kind": "strap", "size": "16 ga", "label": "316 stainless"})
    >>> nail = Part.model_validate({"id": "n", "kind": "nail", "size": "8d common", "label": "316 stainless"})
    >>> can_be_cleaned(strap), can_be_cleaned(nail)
    (True, False)
    """
    hidden = part.is_fastener or part.kind in load_toml(_TABLE)["unreached"]["kinds"]
    return not hidden and part.contact is None


def cleaning_that_counts(part: Part) -> Cleaning:
    """A part's cleaning as stated; none where nobody can reach it."""
    return part.cleaning if can_be_cleaned(part) else "none"


def cleaning_conditions() -> str:
    """What the standard asks of cleaning, with how sure that is."""
    told = load_toml(_TABLE)["conditions"]
    return f"{told['words']} [{told['mark']}: recalled, not read]"
