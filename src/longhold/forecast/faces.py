"""Which faces a part has, what each touches and which strength it feeds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv, yes_no
from longhold.model.sizes import PartKind

__all__ = ["Face", "faces_of", "is_driven"]

_DRIVEN = {"nail", "staple", "wood_screw", "lag_screw", "nail_plate"}
_BOLTED = {"bolt", "dowel"}


@dataclass(frozen=True)
class Face:
    """One surface of a part.

    Attributes
    ----------
    face, words : short name, and as people say it
    touches : air, timber_contact or timber_embedded
    trapped : whether water that gets in dries slowly
    role : the loss feeds this: hinge or bearing of a dowel, sheet thickness, or no strength
    source, mark : of the choice
    """

    group: str
    face: str
    words: str
    touches: str
    trapped: bool
    role: str
    source: str
    mark: Mark


def is_driven(kind: PartKind) -> bool:
    """Whether the part is hammered or turned into timber, which scrapes a thin film."""
    return kind in _DRIVEN


def faces_of(kind: PartKind) -> tuple[Face, ...]:
    """The faces of a part of some kind."""
    if kind in _DRIVEN:
        return _faces()["driven"]
    if kind in _BOLTED:
        return _faces()["bolted"]
    return _faces()["washer" if kind == "washer" else "sheet"]


@once
def _faces() -> Mapping[str, tuple[Face, ...]]:
    rows = load_csv(
        "faces/faces.csv",
        {
            "group": str,
            "face": str,
            "words": str,
            "touches": str,
            "trapped": yes_no,
            "role": str,
        },
        key=("group", "face"),
    )
    groups = dict.fromkeys(row["group"] for row in rows)
    return {group: tuple(Face(**row) for row in rows if row["group"] == group) for group in groups}
