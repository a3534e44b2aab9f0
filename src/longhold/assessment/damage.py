"""Findings on damage, repairs and cut edges of one part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.coat_findings import DamageFinding, EdgeFinding
from longhold.base.quantities import System, show_quantity
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.summary import band_of
from longhold.forecast.throw import edge_layers
from longhold.model.damage import Damage, damages
from longhold.model.parts import Part
from longhold.model.sizes import is_fastener

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.strength_run import StrengthRun

__all__ = ["damage_findings", "edge_finding"]

Array = NDArray[np.float64]
_LESS = 0.005  # share of new strength that counts as a difference


def damage_findings(
    part: Part,
    faces: Sequence[FaceRun],
    strength: StrengthRun,
    whole: StrengthRun | None,
    life_index: int,
) -> tuple[DamageFinding, ...]:
    """What each kind of damage of a part does.

    Parameters
    ----------
    strength : as it is
    whole : of the same part without damage; None where it has none
    life_index : index of the design life among the ages
    """
    left, sound = _median_left(strength, life_index), _median_left(whole, life_index)
    less = left is not None and sound is not None and sound - left > _LESS
    return tuple(_damage(damages()[name], faces, less, left, sound) for name in part.damage)


def _median_left(run: StrengthRun | None, life_index: int) -> float | None:
    if run is None or run.draws is None:
        return None
    return float(np.median(run.draws.ratio[:, life_index]))


def _damage(
    damage: Damage, faces: Sequence[FaceRun], less: bool, left: float | None, sound: float | None
) -> DamageFinding:
    hit = [run.case.face for run in faces if run.case.face.face in damage.faces]
    feeds = any(face.role != "none" for face in hit)
    governs = feeds and less and damage.zinc_gone
    said = [f"{damage.words}: {'; '.join(_what(damage))}"]
    if not feeds:
        edges = damage.faces == ("edge",)
        where = "its edges do" if edges else "the face that it hits does"
        said.append(f"{where} not count for the strength computed here")
    elif governs:
        left_pct, sound_pct = 100.0 * (left or 0.0), 100.0 * (sound or 0.0)
        said.append(f"it governs the strength: {left_pct:.0f} % is left, {sound_pct:.0f} % without damage")
    elif left is not None:
        said.append("it does not govern the strength")
    return DamageFinding(
        damage.name,
        damage.words,
        tuple(face.words for face in hit),
        damage.film_gone,
        damage.zinc_gone,
        damage.restored_um,
        feeds,
        governs,
        "; ".join(said),
    )


def _what(damage: Damage) -> Iterator[str]:
    if damage.restored_um is not None:
        yield f"credited as {damage.restored_um:g} um of zinc, at most what was there, on faces in reach"
    else:
        yield "film and zinc are gone there"
    if damage.half_width_mm is not None and damage.zinc_gone:
        yield "zinc beside it serves it only as far as it reaches"


def edge_finding(
    part: Part, faces: Sequence[FaceRun], exposure: SiteExposure, life_years: float, system: System
) -> EdgeFinding | None:
    """What becomes of the cut edges of a sheet with a zinc coat; None where there are none in the air."""
    thickness = part.measures.thickness_mm
    outer = next((run for run in faces if run.case.face.face == "outer"), None)
    if is_fastener(part.kind) or thickness is None or outer is None or not outer.case.in_air:
        return None
    zinc = outer.case.protection.zinc
    because = _why_cut(part, "" if zinc is None else zinc.process)
    if zinc is None or not because:
        return None
    run = edge_layers(outer.layers, thickness, outer.case.place, exposure)
    ends, lost = run.layers.protection_years, run.layers.base_loss_um(np.array([life_years]))[:, 0]
    chance, reach = float(np.mean(run.served)), band_of(run.reach_mm)
    shown = show_quantity(thickness, "length_mm", system)
    near = show_quantity(reach.p50, "length_mm", system)
    serves = "zinc reaches across it" if chance > 0.5 else "it counts as bare steel from the start"
    words = f"{because}, {shown} thick; zinc serves bare steel over about {near} here, so {serves}"
    return EdgeFinding(because, thickness, reach, chance, band_of(ends), band_of(lost), words)


def _why_cut(part: Part, process: str) -> str:
    cut = [damages()[name] for name in part.damage if damages()[name].faces == ("edge",)]
    repaired = any(damages()[name].is_repair for name in part.damage)
    if cut and not repaired:
        return "edges cut or drilled on site are bare"
    if process == "mill_dip":
        return "sheet coated at the mill has bare edges where the part was cut from it"
    return ""
