"""What is found of cut edges and damaged faces."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.forecast.summary import Band

__all__ = ["DamageFinding", "EdgeFinding"]


@dataclass(frozen=True)
class EdgeFinding:
    """The cut edges of a sheet, which its zinc covers only as far as it reaches.

    Edges as they are sold do not end the protection of the part: nearly every sheet would then have none.
    Edges that were cut on site do. Where width and holes are known, strength counts what both lose.

    Attributes
    ----------
    because : why it has cut edges
    thickness_mm : of the bare steel [mm]
    reach_mm : how far zinc serves bare steel there [mm]
    served_chance : chance that zinc reaches across the edge
    protection_years : age at which the edge first loses steel [years]; 0 where zinc does not reach
    base_loss_um : steel lost from the edge at the design life [um]
    ends_protection : whether it counts when the protection of the part ends
    words : the same as a sentence
    """

    because: str
    thickness_mm: float
    reach_mm: Band
    served_chance: float
    protection_years: Band
    base_loss_um: Band
    ends_protection: bool
    words: str


@dataclass(frozen=True)
class DamageFinding:
    """One kind of damage or repair of a part.

    Attributes
    ----------
    name, told : as written in the file, and in words
    faces : faces that it hits, in words; empty where the part's only hit place is its edges
    film_gone, zinc_gone : whether they are gone there
    restored_um : zinc that a repair is credited with, at most what was there [um]; None for damage
    feeds_strength : whether a hit face counts for the strength that is computed
    governs_strength : whether the damaged part has less strength at the design life than the same part whole
    words : the same as a sentence
    """

    name: str
    told: str
    faces: tuple[str, ...]
    film_gone: bool
    zinc_gone: bool
    restored_um: float | None
    feeds_strength: bool
    governs_strength: bool
    words: str
