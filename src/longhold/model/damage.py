"""Damage to a part and its repair: what a user says, which face it hits, what is gone there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv, optional_number, yes_no
from longhold.model.sizes import PartKind, is_fastener

__all__ = ["Damage", "DamageKind", "damage_clash", "damages"]

DamageKind = Literal[
    "nicked_head",
    "scraped_shank",
    "cut_end",
    "scratched_face",
    "ground_bare",
    "scraped_contact",
    "field_cut",
    "drilled_hole",
    "zinc_painted",
    "zinc_sprayed",
    "zinc_soldered",
]


@dataclass(frozen=True)
class Damage:
    """One kind of damage, or of repair.

    Attributes
    ----------
    name, words : as written in a file, and as people say it
    parts : fastener, sheet or any: the parts that can have it
    faces : names of the faces that it hits; edge for the cut edges of a sheet
    film_gone, zinc_gone : whether film and zinc are gone there
    restored_um : zinc that a repair is credited with, at most what was there [um]; None for damage
    half_width_mm : half of the bare width, over which zinc beside it may serve [mm]; None where none serves
    area_share : share of the face that is hit [-]
    source, mark : of the row
    """

    name: DamageKind
    words: str
    parts: str
    faces: tuple[str, ...]
    film_gone: bool
    zinc_gone: bool
    restored_um: float | None
    half_width_mm: float | None
    area_share: float
    source: str
    mark: Mark

    @property
    def is_repair(self) -> bool:
        """Whether it puts zinc back."""
        return self.restored_um is not None


def damage_clash(kind: PartKind, damage: Sequence[DamageKind]) -> str:
    """Why a part of some kind cannot have such damage, with what it can have; empty where it can.

    >>> damage_clash("angle", ["nicked_head"])[:29]
    'no angle can have nicked_head'
    """
    group = "fastener" if is_fastener(kind) else "sheet"
    allowed = [one.name for one in damages().values() if one.parts in (group, "any")]
    for name in damage:
        if name not in allowed:
            return f"no {kind.replace('_', ' ')} can have {name}; it can have {', '.join(allowed)}"
        if list(damage).count(name) > 1:
            return f"{name} stands twice"
    return ""


@once
def damages() -> Mapping[str, Damage]:
    """Every kind of damage and repair by name, from ``tables/faces/damage.csv``."""
    columns: dict[str, Parser] = {
        "name": str,
        "words": str,
        "parts": str,
        "faces": lambda text: tuple(text.split("|")),
        "film_gone": yes_no,
        "zinc_gone": yes_no,
        "restored_um": optional_number,
        "half_width_mm": optional_number,
        "area_share": float,
    }
    rows = load_csv("faces/damage.csv", columns, key=("name",))
    return {row["name"]: Damage(**row) for row in rows}
