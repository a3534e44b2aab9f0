"""Findings on damage, repairs and cut edges of one part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.coat_findings import DamageFinding, EdgeFinding
from longhold.assessment.edges import CutEdge
from longhold.assessment.strength_standard import strength_standard
from longhold.base.quantities import System, show_quantity
from longhold.base.recent import once
from longhold.base.tables import load_toml
from longhold.forecast.summary import band_of
from longhold.model.damage import Damage, damages
from longhold.model.parts import Part
from longhold.model.structure import Joint, Structure

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun
    from longhold.assessment.strength_run import StrengthRun

__all__ = ["HeadRole", "damage_findings", "edge_finding", "head_role"]

Array = NDArray[np.float64]
HeadRole = Literal["none", "counts", "as_new"]
"""What a face does for the strength computed: nothing, its loss counts, or it counts but as when new."""


def head_role(joint: Joint, part: Part, structure: Structure) -> HeadRole:
    """What a fastener's head does: it holds where the load pulls, and in the rope effect, there as new."""
    if joint.demand_withdrawal is not None:
        return "counts"
    roped = part.kind == "nail" and part.measures.head_diameter_mm is not None
    return "as_new" if roped and strength_standard(structure) == "en1995" else "none"


def damage_findings(
    part: Part,
    faces: Sequence[FaceRun],
    strength: StrengthRun,
    whole: StrengthRun | None,
    life_index: int,
    *,
    head: HeadRole,
    system: System,
) -> tuple[DamageFinding, ...]:
    """What each kind of damage of a part does.

    That damage does not govern the strength is only said where both were computed, its worst spot in place.

    Parameters
    ----------
    strength : as it is
    whole : of the same part without damage; None where it has none
    life_index : index of the design life among the ages
    head : what the head of a fastener does for the strength that is computed
    """
    told = [damages()[name] for name in part.damage]
    counts = [_counts(one, faces, strength, head) for one in told]
    several = sum(one.zinc_gone and what == "counts" for one, what in zip(told, counts, strict=True)) > 1
    costs = _Costs.of(strength, whole, life_index, several=several)
    return tuple(
        _damage(one, faces, costs, what, life_index, system) for one, what in zip(told, counts, strict=True)
    )


@dataclass(frozen=True)
class _Costs:
    """Strength left at the design life, middle of the draws, and whether damage costs any by then.

    ``several`` where more than one damage is in it: they were computed together.
    """

    left: float
    sound: float
    some: bool
    several: bool

    @staticmethod
    def of(
        strength: StrengthRun, whole: StrengthRun | None, life_index: int, *, several: bool
    ) -> _Costs | None:
        """None where either was not computed."""
        if strength.draws is None or whole is None or whole.draws is None:
            return None
        hurt, sound = (draws.ratio[:, : life_index + 1] for draws in (strength.draws, whole.draws))
        tenth = np.quantile(sound, 0.1, axis=0) - np.quantile(hurt, 0.1, axis=0)
        less = max(float(np.max(np.mean(sound - hurt, axis=0))), float(np.max(tenth)))
        return _Costs(float(np.median(hurt[:, -1])), float(np.median(sound[:, -1])), less > _less(), several)


@once
def _less() -> float:
    return float(load_toml("assessment/damage.toml")["less"]["share"])


def _counts(damage: Damage, faces: Sequence[FaceRun], strength: StrengthRun, head: HeadRole) -> HeadRole:
    if damage.faces == ("edge",):
        return "counts" if strength.edges_count else "none"
    hit = [run.case.face for run in faces if run.case.face.face in damage.faces]
    if any(face.role != "none" for face in hit):
        return "counts"
    return head if any(face.face == "head" for face in hit) else "none"


def _damage(
    damage: Damage,
    faces: Sequence[FaceRun],
    costs: _Costs | None,
    counts: HeadRole,
    life_index: int,
    system: System,
) -> DamageFinding:
    hit = [run for run in faces if run.case.face.face in damage.faces]
    feeds = counts == "counts"
    governs = feeds and damage.zinc_gone and costs is not None and costs.some
    said = [f"{damage.words}: {'; '.join((*_what(damage), *_spot_words(damage, hit, life_index, system)))}"]
    said += _governs_words(damage, counts, governs, costs)
    return DamageFinding(
        damage.name,
        damage.words,
        tuple(run.case.face.words for run in hit),
        damage.film_gone,
        damage.zinc_gone,
        damage.restored_um,
        feeds,
        governs,
        "; ".join(said),
    )


def _governs_words(damage: Damage, counts: HeadRole, governs: bool, costs: _Costs | None) -> Iterator[str]:
    if counts == "as_new":
        yield "whether it governs the strength is not computed: the hold of its head is taken as new"
    elif counts == "none":
        if damage.faces == ("edge",):
            yield "what it costs in strength is not computed without width and holes of the part"
        else:
            yield "the face that it hits does not count for the strength computed here"
    elif costs is None:
        yield "whether it governs the strength is not computed"
    else:
        left, sound = (f"{100.0 * share:.0f} %" for share in (costs.left, costs.sound))
        if governs:
            it = "with the other damage it" if costs.several else "it"
            yield f"{it} governs the strength: {left} is left, {sound} without damage"
        elif damage.zinc_gone:
            yield f"it does not govern the strength: {left} is left with its worst spot all across"


def _spot_words(damage: Damage, hit: Sequence[FaceRun], life_index: int, system: System) -> Iterator[str]:
    """What is lost where it is worst, where that differs from the rest of the face."""
    if not damage.zinc_gone:
        return
    for run in hit:
        spot, mean = (band_of(um[:, life_index]).p90 for um in (run.thinnest_um, run.base_loss_um))
        shown, rest = (show_quantity(um, "film_um", system, 2) for um in (spot, mean))
        if damage.area_share < 1.0 and shown != rest:
            face = run.case.face.words
            yield (
                f"up to {shown} of steel is gone there by the design life in 9 draws of 10, "
                f"{rest} over the {face}"
            )


def _what(damage: Damage) -> Iterator[str]:
    if damage.restored_um is not None:
        yield f"credited as {damage.restored_um:g} um of zinc, at most what was there, on faces in reach"
    else:
        yield "film and zinc are gone there"
    if damage.half_width_mm is not None and damage.zinc_gone:
        yield "zinc beside it serves it only as far as it reaches"


def edge_finding(edge: CutEdge | None, life_years: float, system: System) -> EdgeFinding | None:
    """What becomes of the cut edges of a sheet with a coat; None where there are none."""
    if edge is None:
        return None
    run = edge.run
    ends, lost = run.layers.protection_years, run.layers.base_loss_um(np.array([life_years]))[:, 0]
    chance, reach = float(np.mean(run.served)), band_of(run.reach_mm)
    shown = show_quantity(run.thickness_mm, "length_mm", system)
    words = f"{edge.because}, {shown} thick; {_served_words(edge, chance, reach.p50, system)}; " + (
        "they end the protection of the part"
        if edge.on_site
        else "edges as sold do not end the protection of the part"
    )
    return EdgeFinding(
        edge.because, run.thickness_mm, reach, chance, band_of(ends), band_of(lost), edge.on_site, words
    )


def _served_words(edge: CutEdge, chance: float, reach_mm: float, system: System) -> str:
    if edge.restored_um is not None:
        return f"credited as {edge.restored_um:g} um of zinc, at most what was there"
    if not edge.in_air:
        return "how far zinc reaches there is not known, so it counts as bare steel from the start"
    near = show_quantity(reach_mm, "length_mm", system)
    serves = (
        "the zinc of one face reaches across it" if chance > 0.5 else "it counts as bare steel from the start"
    )
    return f"zinc serves bare steel over about {near} here, so {serves}"
