"""How far zinc protects bare steel beside it: cut edges and bare spots, where water joins the two."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.forecast.exposure import SiteExposure
from longhold.forecast.galvanic import COUPLE_SCOPE
from longhold.metal.electrolyte import film, spread
from longhold.metal.layers import FaceLayers
from longhold.metal.parameters import film_figure
from longhold.metal.reach import reach_m
from longhold.model.surroundings import Place

__all__ = ["EdgeRun", "edge_layers", "served_zinc_um", "throw_mm"]

Array = NDArray[np.float64]


def throw_mm(place: Place, exposure: SiteExposure) -> Array:
    """Width of a strip of bare steel that zinc beside it serves in air [mm], shape (draws,).

    w = h sqrt(2 k dE / (4 F D C)), with the film of water of a place: salty near the sea, rain elsewhere.
    """
    height_factor = exposure.causes.lognormal("couple_reach", COUPLE_SCOPE, 1.0, spread("film", "reach"))
    load = exposure.air_load.chloride_mg_m2_d
    chloride: Array = np.zeros(1)
    if not place.air_face.startswith("inside"):
        chloride = exposure.causes.lognormal("chloride", "site", load.median, load.sd_ln)
    water = film(chloride, height_factor)
    return 1000.0 * reach_m(
        water.conductivity_s_m, water.height_m, film_figure("driving_v"), np.asarray(water.oxygen_limit_a_m2)
    )


def served_zinc_um(
    zinc_um: ArrayLike, half_width_mm: float | None, in_air: bool, place: Place, exposure: SiteExposure
) -> Array:
    """Zinc that still counts for a bare spot [um]: what zinc beside it serves, less what that costs it.

    Zinc within the reach w serves half the width b of the spot as well as itself, and is gone sooner by
    1 + b / w. A spot wider than the reach counts as bare at once, and so does every spot in timber or soil,
    where no reach of zinc was read.
    """
    zinc = np.asarray(zinc_um, float)
    if half_width_mm is None or not in_air:
        return np.zeros_like(zinc)
    reach = throw_mm(place, exposure)
    return np.where(half_width_mm <= reach, zinc / (1.0 + half_width_mm / np.maximum(reach, 1e-9)), 0.0)


@dataclass(frozen=True)
class EdgeRun:
    """The cut edge of a sheet, by draw.

    Attributes
    ----------
    thickness_mm : of the bare steel [mm]
    reach_mm : of the zinc on the outer face [mm], shape (draws,); 0 where the edge is not in the air
    layers : of the edge; the film is not credited there
    """

    thickness_mm: float
    reach_mm: Array
    layers: FaceLayers

    @property
    def served(self) -> NDArray[np.bool_]:
        """Whether zinc reaches across the edge, by draw."""
        return np.asarray(self.thickness_mm <= self.reach_mm)


def edge_layers(
    outer: FaceLayers, thickness_mm: float, place: Place, exposure: SiteExposure, *, in_air: bool = True
) -> EdgeRun:
    """The cut edge of a sheet whose outer face is given.

    The other face lies against timber, where no reach of zinc was read: the zinc of the outer face alone
    serves the edge, over its whole thickness t, and is gone sooner by 1 + t / w. An edge thicker than the
    reach w counts as bare steel at once, and so does every edge that is not in the air.
    """
    none = np.zeros(exposure.causes.count)
    reach = throw_mm(place, exposure) if in_air else none
    zinc = np.asarray(outer.zinc_um, float) / (1.0 + thickness_mm / np.maximum(reach, 1e-9))
    left = np.where(thickness_mm <= reach, zinc, 0.0)
    return EdgeRun(thickness_mm, reach, FaceLayers(none, left, outer.zinc_law, outer.base_law))
