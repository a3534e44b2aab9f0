"""What is said of the moisture of a joint's timber, and of the metal in it depth by depth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from longhold.assessment.findings import Assumption
from longhold.base.marks import Mark
from longhold.base.sources import Source
from longhold.base.trace import Section
from longhold.forecast.summary import Band
from longhold.model.structure import Joint
from longhold.model.surroundings import Climate
from longhold.wood.timber_runs import Situation

__all__ = ["DepthCurve", "MetalLoss", "ShownYear", "WoodBlock", "WoodFinding", "governing"]


@dataclass(frozen=True)
class DepthCurve:
    """Loss of the first year against depth from the face.

    Attributes
    ----------
    depth_mm : from the face that the metal enters [mm]
    p10_um, p50_um, p90_um : over the draws, depth by depth [um]
    early_um, late_um : by each of the two moisture responses, everything else at its middle [um]
    """

    depth_mm: tuple[float, ...]
    p10_um: tuple[float, ...]
    p50_um: tuple[float, ...]
    p90_um: tuple[float, ...]
    early_um: tuple[float, ...]
    late_um: tuple[float, ...]


@dataclass(frozen=True)
class MetalLoss:
    """Loss of one metal in or on one timber.

    Attributes
    ----------
    metal : the metal, or zinc
    parts : ids of the parts that carry it
    faces : which of their faces, in words
    on_face : whether it lies on the timber as a plate does, rather than in it
    worst_um : loss of the first year where it is worst, or in a thin layer under a plate [um]; each draw has
        its own worst depth, so this is no lower than the curve; it is what the assessment counts
    worst_mm : depth where the middle of the draws is worst [mm]; None for plates and steady moisture
    worst_above_share : share of the hours above the threshold there; under a plate within its thin layer
    curve : None for plates and steady moisture
    calculation : middle values put in
    """

    metal: str
    parts: tuple[str, ...]
    faces: tuple[str, ...]
    on_face: bool
    worst_um: Band
    worst_mm: float | None
    worst_above_share: float
    curve: DepthCurve | None
    calculation: Section


@dataclass(frozen=True)
class ShownYear:
    """One simulated year, for a picture.

    Attributes
    ----------
    days : days that each column covers; the last also covers what is left of the year
    depth_mm : middle of each cell [mm]
    moisture_pct : mean moisture, columns x cells [%]
    """

    days: int
    depth_mm: tuple[float, ...]
    moisture_pct: tuple[tuple[float, ...], ...]


@dataclass(frozen=True)
class WoodBlock:
    """One timber as rain reaches it in one way, and the metal in it.

    Attributes
    ----------
    timber : its name in the structure
    timber_words : species and preservative
    thickness_mm : across it, from the face that the metal enters [mm]; for end grain the length looked at
    situation : how rain reaches it; None where its moisture is steady
    situation_words : the same, or why it is steady
    counts : whether the assessment takes this timber for the joint; of two it takes the one that takes more
    depth_mm : middle of each simulated cell [mm]; one value where the moisture is steady
    monthly_pct : mean moisture in January to December at each depth, over all simulated years [%]
    above_share : share of the hours above the threshold, unfrozen, at each depth
    losses : of each metal, largest middle first
    year : a picture of one year; None where none was asked for or the moisture is steady
    end_grain : whether the metal meets its end grain
    """

    timber: str
    timber_words: str
    thickness_mm: float
    situation: Situation | None
    situation_words: str
    counts: bool
    depth_mm: tuple[float, ...]
    monthly_pct: tuple[tuple[float, ...], ...]
    above_share: tuple[float, ...]
    losses: tuple[MetalLoss, ...]
    year: ShownYear | None = None
    end_grain: bool = False

    def at(self, values: tuple[float, ...], depth_mm: float) -> float:
        """A value between the simulated cells, or the nearest cell's beyond the last."""
        from numpy import interp

        return float(interp(depth_mm, self.depth_mm, values))


@dataclass(frozen=True)
class WoodFinding:
    """The answer for the wood of one joint.

    Attributes
    ----------
    joint : as described
    structure_name, site_name : of the structure
    climate : months that the weather keeps
    threshold_pct : moisture above which hours are counted [%]
    blocks : by timber and situation; what the assessment counts comes first
    refer : why something is not computed
    left_out : what the simulation leaves out
    notes : where it and what is published differ
    assumptions : what was taken on the way
    mark : weakest mark that it rests on
    version, seed, draws : what is needed to repeat it
    sources : every source that a number came from, with the marks it was used under
    """

    joint: Joint
    structure_name: str
    site_name: str
    climate: Climate
    threshold_pct: float
    blocks: tuple[WoodBlock, ...]
    refer: tuple[str, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    mark: Mark
    version: str
    seed: int
    draws: int
    sources: tuple[tuple[Source, tuple[Mark, ...]], ...]


def governing(blocks: Sequence[WoodBlock]) -> tuple[WoodBlock, MetalLoss] | None:
    """The block and metal to name first: zinc where there is any, where most of it goes."""
    counted = [(block, one) for block in blocks if block.counts for one in block.losses]
    first = [pair for pair in counted if pair[1].metal == "zinc"] or counted
    return max(first, key=lambda pair: pair[1].worst_um.p50, default=None)
