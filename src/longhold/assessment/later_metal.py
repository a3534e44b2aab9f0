"""When parts of a joint lose their zinc, for the parts beside them that still have some."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.faces import FaceRun
from longhold.base.tables import load_toml
from longhold.forecast.beside import Beside
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.face import FaceCase, face_layers
from longhold.forecast.galvanic import ExtraLoss
from longhold.forecast.summary import band_of
from longhold.metal.rising_root import CoupleNotSolved
from longhold.wood.simulation import MoistureNotConverged

__all__ = ["dated", "later_words"]

Array = NDArray[np.float64]
BesideFaces = Mapping[tuple[str, str], tuple[Beside, ...]]
Cases = Mapping[str, Sequence[FaceCase]]


def dated(beside: BesideFaces, cases: Cases, exposure: SiteExposure, until_years: float) -> BesideFaces:
    """What touches each face, with the age from which each neighbor shows the metal under its zinc.

    The part that goes bare first is hurt by the others' bare spots alone, as they have zinc; the next one is
    hurt by the first, and so on: with n parts, n - 1 rounds settle it.

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


def later_words(runs: Sequence[FaceRun], life_years: float) -> tuple[str, ...]:
    """What the steel under the zinc of neighbors takes within the design life, each neighbor once.

    Bare spots of a neighbor that still has zinc are told from half a percent on, in the middle of the draws;
    the end of its zinc from a tenth of the draws on.
    """
    return tuple(dict.fromkeys(said for run in runs for said in _of_face(run, life_years)))


def _of_face(run: FaceRun, life_years: float) -> Iterator[str]:
    zinc_ends = np.minimum(run.early.sound_years, life_years)
    for extras, until in ((run.extras.zinc, zinc_ends), (run.extras.base, life_years)):
        for extra in extras:
            if not extra.beside.later:
                continue
            start = np.asarray(extra.beside.from_years, float)
            if np.mean(start > 0.0) >= _told()["share"]:
                yield from _by_spots(extra, _medium(run.case.face.touches))
            if np.mean(start < until) < _told()["share"]:
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
                    f"the {extra.beside.metal} under it takes from its {metal}: counted from then on"
                )


def _by_spots(extra: ExtraLoss, medium: str) -> Iterator[str]:
    """What bare spots and cut edges of a neighbor do while it still has zinc."""
    added = band_of(100.0 * extra.early_growth)
    if added.p50 < _told()["least_pct"]:
        return
    yield (
        f"cut edges and bare spots of the {extra.beside.words} beside it, which the zinc of both feeds, add "
        f"{added.p50:.0f} % ({added.p10:.0f} to {added.p90:.0f} %) to the loss of its {extra.metal} near "
        f"there in the {'air' if medium == 'air' else 'timber'}: counted from the start"
    )


def _told() -> Mapping[str, float]:
    """From where on a neighbor is told of: share of the draws, and per cent that it adds."""
    found: Mapping[str, float] = load_toml("assessment/told.toml")["later_metal"]
    return found
