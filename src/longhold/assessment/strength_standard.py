"""Whose equations give the strength of fasteners in a structure."""

from __future__ import annotations

from longhold.assessment.findings import Assumption
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv
from longhold.model.structure import StrengthStandard, Structure

__all__ = ["assumed_standard", "strength_standard"]

_TITLES = {"nds": "NDS", "en1995": "EN 1995-1-1"}
_STANDS_IN = "no yield equations of the governing code are in Longhold: the NDS stands in"


def strength_standard(structure: Structure) -> StrengthStandard:
    """The standard asked for; else EN 1995 where a timber has a strength class; else that of the code."""
    return structure.strength_standard or _found(structure)[0]


def assumed_standard(structure: Structure) -> tuple[Assumption, ...]:
    """The standard as an assumption, where nobody chose one."""
    if structure.strength_standard is not None:
        return ()
    standard, because = _found(structure)
    return (Assumption("strength_standard", _TITLES[standard], because),)


def _found(structure: Structure) -> tuple[StrengthStandard, str]:
    graded = sorted({one.strength_class for one in structure.timbers.values() if one.strength_class})
    if graded:
        return "en1995", f"strength class {', '.join(graded)} is one of EN 338 or EN 14080"
    for row in _rows():
        if structure.code.pack.startswith(row["packs"]):
            standard: StrengthStandard = row["standard"]
            return standard, row["because"]
    return "nds", _STANDS_IN


@once
def _rows() -> tuple[Row, ...]:
    columns = {"packs": str, "standard": str, "because": str}
    return load_csv("assessment/strength_standards.csv", columns, key=("packs",))
