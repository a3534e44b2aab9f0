"""When parts of a joint lose their zinc, for the parts beside them that still have some."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import pi

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.faces import FaceRun
from longhold.forecast.beside import Beside
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, face_layers
from longhold.forecast.galvanic import ExtraLoss, Solved, growth_by_bare_spots
from longhold.forecast.summary import band_of
from longhold.metal.mixed_potential import CoupleNotSolved
from longhold.model.damage import damages
from longhold.model.parts import Part
from longhold.model.protection import Protection
from longhold.wood.simulation import MoistureNotConverged

__all__ = ["dated", "later_words"]

Array = NDArray[np.float64]
BesideFaces = Mapping[tuple[str, str], tuple[Beside, ...]]
Neighbor = tuple[Part, Protection]
Cases = Mapping[str, Sequence[FaceCase]]
_TOLD_FROM = 0.1  # of the draws


def dated(beside: BesideFaces, cases: Cases, exposure: SiteExposure, until_years: float) -> BesideFaces:
    """What touches each face, with the age from which each neighbor shows the metal under its zinc.

    The part that goes bare first is not hurt by the others, which have zinc; the next one is hurt by the
    first, and so on: with n parts, n - 1 rounds settle it.

    Parameters
    ----------
    beside : by id of the part and face
    cases : faces of each part, by its id; none where it is not computed: its neighbors then have bare metal
        beside them from the start
    until_years : last age that is asked for
    """
    names = {one.part for near in beside.values() for one in near if one.later}
    media = {(name, case.face.face): _medium(case.face.touches) for name in cases for case in cases[name]}
    for _ in range(max(len(names) - 1, 1) if names else 0):
        bare = {name: _bare_years(name, cases[name], beside, exposure, until_years) for name in names}
        beside = {
            key: tuple(_from(one, bare, media.get(key, "air")) for one in near)
            for key, near in beside.items()
        }
    return beside


def _from(one: Beside, bare: Mapping[str, Mapping[str, Array]], medium: str) -> Beside:
    return replace(one, from_years=bare[one.part].get(medium, 0.0)) if one.later else one


def _bare_years(
    name: str, cases: Sequence[FaceCase], beside: BesideFaces, exposure: SiteExposure, until_years: float
) -> Mapping[str, Array]:
    """Age at which the first face of a part in the air, and in the wood, is bare all over, not in spots.

    Empty where a face is not computed: it counts as bare from the start.
    """
    found: dict[str, Array] = {}
    for case in cases:
        near = beside.get((name, case.face.face), ())
        try:
            ends = face_layers(replace(case, beside=near), exposure, until_years).whole_face_years
        except (CoupleNotSolved, MoistureNotConverged):
            return {}
        medium = _medium(case.face.touches)
        found[medium] = np.minimum(found[medium], ends) if medium in found else ends
    return found


def _medium(touches: str) -> str:
    return "air" if touches == "air" else "wood"


def later_words(
    runs: Sequence[FaceRun], life_years: float, neighbors: Mapping[str, Neighbor]
) -> tuple[str, ...]:
    """Which neighbors show a nobler metal within the design life while a part still has what they take.

    Told from a tenth of the draws on, each neighbor once.

    Parameters
    ----------
    neighbors : other parts of the joint with what protects them, by id
    """
    return tuple(dict.fromkeys(said for run in runs for said in _of_face(run, life_years, neighbors)))


def _of_face(run: FaceRun, life_years: float, neighbors: Mapping[str, Neighbor]) -> Iterator[str]:
    zinc_ends = np.minimum(run.early.sound_years, life_years)
    for extras, until in ((run.extras.zinc, zinc_ends), (run.extras.base, life_years)):
        for extra in extras:
            start = np.asarray(extra.beside.from_years, float)
            if not extra.beside.later or np.mean(start < until) < _TOLD_FROM:
                continue
            metal, words = extra.metal.replace("_", " "), extra.beside.words
            if np.ndim(start) == 0:
                yield (
                    f"how long the zinc of the {words} beside it lasts is not computed: none counts, and "
                    f"bare {extra.beside.metal} beside its {metal} is counted from the start"
                )
            else:
                yield (
                    f"once the zinc of the {words} beside it is gone, in about {np.median(start):.0f} years, "
                    f"the {extra.beside.metal} under it takes from its {metal}: counted from then on. "
                    f"{_before(extra, neighbors.get(extra.beside.part))}"
                )


def _before(extra: ExtraLoss, neighbor: Neighbor | None) -> str:
    """What bare spots and cut edges of a neighbor do while it still has zinc."""
    bare = 0.0 if neighbor is None else _bare_steel_mm2(extra.beside, *neighbor, extra.solved)
    if not bare or extra.metal != "zinc":
        return "Before that it shows no bare steel that is told"
    added = band_of(100.0 * growth_by_bare_spots(extra.solved, bare))
    return (
        "Before that its bare spots and cut edges within reach, which the zinc of both feeds, would add "
        f"{added.p50:.0f} % ({added.p10:.0f} to {added.p90:.0f} %) to the loss of its zinc there: computed, "
        "and not counted"
    )


def _bare_steel_mm2(beside: Beside, part: Part, protection: Protection, solved: Solved) -> float:
    """Steel of a zinc-coated part that is bare near where it touches: the rim of the hole, and damage told.

    Sheet coated at the mill is bare at every hole; what is dipped after making is bare where it was drilled
    on site. Damage takes its share of what is within reach; where it is the whole face, its zinc is gone.
    """
    told = [damages()[name] for name in part.damage]
    mill_dip = protection.zinc is not None and protection.zinc.process == "mill_dip"
    cut = mill_dip or any(one.name == "drilled_hole" for one in told)
    thickness = part.measures.thickness_mm
    rim = 2.0 * pi * beside.other.radius_mm * thickness if cut and thickness else 0.0
    shares = [one.area_share for one in told if one.zinc_gone and one.area_share < 1.0]
    return rim + max(shares, default=0.0) * float(np.median(solved.other_mm2))
