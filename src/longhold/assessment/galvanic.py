"""What mixed metals cost a joint: for each pair the extra loss of the part that suffers, or why none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.beside import bridging_contact, why_apart
from longhold.assessment.faces import FaceRun
from longhold.assessment.wet_path import WetPath, wet_path
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.galvanic import ExtraLoss, Solved, solve
from longhold.forecast.summary import Band, band_of
from longhold.metal.couples import Couple
from longhold.model.parts import Part
from longhold.model.structure import Joint

__all__ = ["CoupleCurves", "CoupleLoss", "MetalExtra", "couple_losses"]

Array = NDArray[np.float64]
_POINTS = 33
_BEYOND_V = 0.08  # drawn past the free potentials


@dataclass(frozen=True)
class MetalExtra:
    """What one neighbor adds to one metal of one face.

    Attributes
    ----------
    face, words : which face
    in_wood : whether it lies against or in timber; the figure is then extrapolated
    metal : that loses, such as "zinc" or "steel"
    um_yr : extra loss of the first year [um]
    own_um_yr : loss of that metal by itself in the first year [um]
    area_ratio : nobler metal within reach over this metal within reach [-]
    reach_mm : along the wet path [mm]
    near_only : whether the face is larger than what is within reach: the figure, which is counted for all
        of it, then holds near the neighbor only
    """

    face: str
    words: str
    in_wood: bool
    metal: str
    um_yr: Band
    own_um_yr: Band
    area_ratio: Band
    reach_mm: Band
    near_only: bool


@dataclass(frozen=True)
class CoupleCurves:
    """The couple of the middle values for a picture; current densities over the area of the anode [A/m2].

    Attributes
    ----------
    words : where, for people
    anode, cathode : names of the two metals
    potential_v : against calomel [V]
    dissolves : of the anode
    takes_up_alone, takes_up_joined : oxygen taken up by the anode, and by both
    free, joined : potential [V] and dissolution [A/m2] of the anode by itself, and in the couple
    along : the wet path on the cathode; None where none is found
    """

    words: str
    anode: str
    cathode: str
    potential_v: tuple[float, ...]
    dissolves: tuple[float, ...]
    takes_up_alone: tuple[float, ...]
    takes_up_joined: tuple[float, ...]
    free: tuple[float, float]
    joined: tuple[float, float]
    along: WetPath | None = None


@dataclass(frozen=True)
class CoupleLoss:
    """What one pair of different metals does.

    Attributes
    ----------
    couple : the pair and which of them suffers
    isolated : whether insulation is stated, and nothing lies against either part that may bridge it
    reason : why nothing is computed, for people; empty where it is, and where it is isolated
    left_out : what joins the two besides and is not computed, for people; empty where there is nothing
    extras : by face and metal, in the order of the faces; zinc before the metal under it
    curves : of the metal shown first, at the face that loses most more; None where nothing is computed
    """

    couple: Couple
    isolated: bool
    reason: str
    extras: tuple[MetalExtra, ...]
    curves: CoupleCurves | None
    left_out: str = ""

    @property
    def small_anode(self) -> bool:
        """Whether at some face what suffers meets more than its own area of nobler metal, as shown."""
        return any(round(one.area_ratio.p50, 1) > 1.0 for one in self.extras)


def couple_losses(
    joint: Joint,
    couples: Sequence[Couple],
    runs: Mapping[str, Sequence[FaceRun]],
    refer: Mapping[str, Sequence[str]],
    middle: SiteExposure,
) -> tuple[CoupleLoss, ...]:
    """For each pair of different metals, the extra loss of the one that suffers, or why none is computed.

    Parameters
    ----------
    runs, refer : faces of each part with their draws, and why some are not computed, by id of the part
    middle : with the middle values, for the picture
    """
    parts = {part.id: part for part in joint.parts}
    return tuple(_loss(joint, one, parts, runs, refer, middle) for one in couples)


def _loss(
    joint: Joint,
    couple: Couple,
    parts: Mapping[str, Part],
    runs: Mapping[str, Sequence[FaceRun]],
    refer: Mapping[str, Sequence[str]],
    middle: SiteExposure,
) -> CoupleLoss:
    other = couple.second if couple.suffers == couple.first else couple.first
    against = bridging_contact(parts[couple.suffers], parts[other])
    if parts[couple.suffers].isolated or parts[other].isolated:
        if not against:
            return CoupleLoss(couple, True, "", (), None)
        bridged = (
            f"insulation is stated, but {against} lies against them and may bridge it, by metal in it too"
        )
        return CoupleLoss(couple, False, bridged, (), None)
    reason = why_apart(joint, parts[couple.suffers], parts[other])
    if not reason and not runs[couple.suffers]:
        reason = next(iter(refer[couple.suffers]), "the loss of that part is not computed")
    found = [] if reason else list(_extras(runs[couple.suffers], other))
    if not reason and not found and against:
        reason = f"what passes between metals through {against} is not known"
    if not reason and not found:
        reason = "the two lie too far apart for the water between them"
    extras = tuple(_said(run, extra) for run, extra in found)
    left_out = f"what passes through {against} is not known" if found and against else ""
    return CoupleLoss(couple, False, reason, extras, _curves(found, middle) if found else None, left_out)


def _extras(runs: Sequence[FaceRun], other: str) -> Iterator[tuple[FaceRun, ExtraLoss]]:
    for run in runs:
        for extra in (*run.extras.zinc, *run.extras.base):
            if extra.beside.part == other and not extra.beside.later:
                yield run, extra


def _said(run: FaceRun, extra: ExtraLoss) -> MetalExtra:
    solved, face = extra.solved, run.case.face
    ratio = solved.other_mm2 / np.maximum(solved.own_mm2, 1e-12)
    return MetalExtra(
        face=face.face,
        words=face.words,
        in_wood=face.touches != "air",
        metal=extra.metal.replace("_", " "),
        um_yr=band_of(extra.um),
        own_um_yr=band_of(extra.own_um),
        area_ratio=band_of(ratio),
        reach_mm=band_of(solved.met.reach_mm),
        near_only=extra.beside.own.kind == "ring",
    )


def _curves(found: Sequence[tuple[FaceRun, ExtraLoss]], middle: SiteExposure) -> CoupleCurves | None:
    first = [pair for pair in found if pair[1].metal == found[0][1].metal]
    run, extra = max(first, key=lambda pair: float(np.median(pair[1].um)))
    solved = solve(extra.metal, extra.beside, run.case.face.touches, run.case.place, middle)
    if solved is None:
        return None
    words = f"{run.case.face.words}, beside the {extra.beside.words}"
    return _drawn(solved, words, extra.metal, extra.beside.metal)


def _drawn(solved: Solved, words: str, anode: str, cathode: str) -> CoupleCurves:
    met = solved.met
    limit = float(met.limit_a_m2[0])
    ratio = float(solved.other_mm2[0] / max(float(solved.own_mm2[0]), 1e-12))
    joined_v, free_a = float(solved.state.anode_v[0]), float(solved.state.free_a_m2[0])
    free_v = float(met.own_v[0])
    potential = np.linspace(free_v - _BEYOND_V, max(joined_v, free_v) + _BEYOND_V, _POINTS)
    dissolves = met.own.dissolves_a_m2(potential)
    alone = met.own.takes_up_a_m2(potential, limit)
    more = met.other.takes_up_a_m2(potential, limit) - met.other.dissolves_a_m2(potential)
    joined = alone + ratio * np.maximum(more, 0.0)
    return CoupleCurves(
        words=words,
        anode=anode.replace("_", " "),
        cathode=cathode.replace("_", " "),
        potential_v=tuple(potential.tolist()),
        dissolves=tuple(dissolves.tolist()),
        takes_up_alone=tuple(alone.tolist()),
        takes_up_joined=tuple(joined.tolist()),
        free=(free_v, free_a),
        joined=(joined_v, free_a + float(solved.state.extra_a_m2[0])),
        along=wet_path(solved, cathode),
    )
