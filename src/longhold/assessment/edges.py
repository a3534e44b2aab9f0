"""Cut edges of one sheet: why they are bare, and what becomes of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import Assumption
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.throw import EdgeRun, edge_layers
from longhold.model.damage import damages
from longhold.model.parts import Part
from longhold.model.sizes import is_fastener
from longhold.model.structure import Joint

if TYPE_CHECKING:
    from longhold.assessment.faces import FaceRun

__all__ = ["CutEdge", "cut_edge", "edge_words"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CutEdge:
    """The cut edges of a sheet, by draw.

    Attributes
    ----------
    because : why they are cut
    on_site : whether somebody told that they were cut or drilled on site: they then end the part's protection
    in_air : whether zinc beside them can reach across
    restored_um : zinc of a repair [um], at most what was there; None without one
    run : reach and layers
    """

    because: str
    on_site: bool
    in_air: bool
    restored_um: float | None
    run: EdgeRun


def cut_edge(part: Part, faces: Sequence[FaceRun], exposure: SiteExposure) -> CutEdge | None:
    """The cut edges of a sheet that some layer protects; None where it has none."""
    thickness = part.measures.thickness_mm
    outer = next((run for run in faces if run.case.face.face == "outer"), None)
    if is_fastener(part.kind) or thickness is None or outer is None:
        return None
    protection = outer.case.protection
    told = [damages()[name] for name in part.damage]
    on_site = any(one.faces == ("edge",) for one in told)
    mill_dip = protection.zinc is not None and protection.zinc.process == "mill_dip"
    if not protection.layers or not (on_site or mill_dip):
        return None
    in_air = outer.case.in_air
    run = edge_layers(outer.layers, thickness, outer.case.place, exposure, in_air=in_air)
    restored = [one.restored_um for one in told if one.restored_um is not None] if on_site else []
    if restored:
        kept = np.maximum(run.layers.zinc_um, np.minimum(outer.layers.zinc_um, min(restored)))
        run = replace(run, layers=replace(run.layers, zinc_um=kept))
    because = (
        "edges cut or drilled on site are bare"
        if on_site
        else "sheet coated at the mill has bare edges where the part was cut from it"
    )
    if restored:
        because = "edges cut or drilled on site are repaired"
    return CutEdge(because, on_site, in_air, min(restored) if restored else None, run)


def edge_words(joint: Joint, part: Part, edge: CutEdge | None) -> tuple[Assumption, ...]:
    """That edges as sold do not end the protection of a part, as an assumption."""
    if edge is None or edge.on_site:
        return ()
    because = f"{edge.because}; nearly every part of sheet is sold so, and it is told when they lose steel"
    return (Assumption(f"joints.{joint.id}.{part.id}, edges", "do not end its protection", because),)
