"""Of which standard a class of coated sheet is that names none, such as Z275."""

from __future__ import annotations

from longhold.assessment.findings import Assumption
from longhold.assessment.strength_standard import strength_standard
from longhold.labels.reading import LabelReading
from longhold.model.structure import Structure

__all__ = ["sheet_standard", "taken_standard"]

_EUROPEAN = "EN 10346"


def sheet_standard(structure: Structure) -> str:
    """The standard of coated sheet that goes with a structure; blank where a label must tell it."""
    return _EUROPEAN if strength_standard(structure) == "en1995" else ""


def taken_standard(read: LabelReading, structure: Structure) -> tuple[Assumption, ...]:
    """The standard of a label's class as an assumption, where the structure and not the label tells it."""
    if read.under(sheet_standard(structure)) is read:
        return ()
    because = "a class of several standards; EN 10346 goes with a structure under EN 1995"
    return (Assumption(f"label {read.text}", _EUROPEAN, because),)
