"""What a face loses beyond its own loss because a nobler metal touches it, per draw.

The face's own loss says how long and how well the water on it works in a year; the couple says by what
share more the metal dissolves while it does. So extra = own loss times (i_x / i_0), with i_0 the dissolution
of the metal by itself and i_x what the couple adds. See docs/decisions/galvanic.md.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.base.trace import Trace
from longhold.forecast.beside import Beside
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.galvanic_trace import note_couple
from longhold.metal.electrolyte import Electrolyte, film, spread, wet_wood
from longhold.metal.mixed_potential import CoupleState, couple, free_potential_v
from longhold.metal.polarization import Curve, curve_of_metal
from longhold.metal.reach import reach_m
from longhold.model.surroundings import Place

__all__ = ["COUPLE_SCOPE", "ExtraLoss", "Solved", "extra_losses", "solve"]

Array = NDArray[np.float64]
COUPLE_SCOPE = "couple"
"""Scope of the draws that only joints of mixed metals hang on."""
_CAUSES = {
    "film": ("couple_reach", "couple_current"),
    "wood": ("couple_wood_reach", "couple_wood_current"),
}


@dataclass(frozen=True)
class Solved:
    """One metal of a face joined to one neighbor; arrays of shape (draws,).

    Attributes
    ----------
    water : that joins them
    own, other : curves of the two
    reach_mm : of a straight strip of the nobler metal [mm]
    own_mm2, other_mm2 : areas that take part [mm2]
    state : the couple
    growth : extra dissolution over that of the metal by itself [-], not negative
    """

    water: Electrolyte
    own: Curve
    other: Curve
    reach_mm: Array
    own_mm2: Array
    other_mm2: Array
    state: CoupleState
    growth: Array


@dataclass(frozen=True)
class ExtraLoss:
    """What one neighbor adds to the loss of one metal of a face in the first year.

    Attributes
    ----------
    beside : the neighbor
    metal : that loses, by its name in the table of curves
    own_um : loss of the first year of the metal by itself [um], shape (draws,)
    growth : what is added, over that [-], not negative
    solved : how it came about
    """

    beside: Beside
    metal: str
    own_um: Array
    growth: Array
    solved: Solved

    @property
    def um(self) -> Array:
        """Extra loss of the first year [um], shape (draws,)."""
        return np.asarray(self.own_um * self.growth)


def extra_losses(
    metal: str,
    own_um: Array,
    touches: str,
    place: Place,
    neighbors: tuple[Beside, ...],
    exposure: SiteExposure,
    wet_share: Callable[[], float],
    trace: Trace | None = None,
) -> tuple[ExtraLoss, ...]:
    """What each nobler neighbor adds to a metal of a face; neighbors that do not harm it are left out.

    Parameters
    ----------
    metal : of the face, a name of the table of curves
    own_um : its loss of the first year by itself [um], shape (draws,)
    touches : air, timber_contact or timber_embedded
    wet_share : share of the year in which the face is wet, asked for only where it is written down
    """
    found = []
    for beside in neighbors:
        solved = solve(metal, beside, touches, place, exposure)
        if solved is None:
            continue
        extra = ExtraLoss(beside, metal, own_um, solved.growth, solved)
        found.append(extra)
        if trace is not None:
            note_couple(trace, metal, beside, solved, own_um, wet_share(), in_wood=touches != "air")
    return tuple(found)


def solve(metal: str, beside: Beside, touches: str, place: Place, exposure: SiteExposure) -> Solved | None:
    """Join a metal of a face to a neighbor; None where that is not the nobler one, or out of reach."""
    if metal == beside.metal:
        return None
    where = "film" if touches == "air" else "wood"
    reach_factor, current_factor = (
        exposure.causes.lognormal(cause, COUPLE_SCOPE, 1.0, spread(where, what))
        for cause, what in zip(_CAUSES[where], ("reach", "current"), strict=True)
    )
    water = _film(place, exposure, reach_factor) if where == "film" else wet_wood(reach_factor**2)
    own, other = curve_of_metal(metal), curve_of_metal(beside.metal)
    other = replace(other, oxygen_share=other.oxygen_share * current_factor)
    limit = np.broadcast_to(np.asarray(water.oxygen_limit_a_m2, float), reach_factor.shape)
    own_v, other_v = free_potential_v(own, limit), free_potential_v(other, limit)
    driving = other_v - own_v
    if not np.any(driving > 0.0):
        return None
    reach_mm = 1000.0 * reach_m(
        water.conductivity_s_m, water.height_m, driving, np.asarray(other.oxygen_share) * limit
    )
    if not np.any(reach_mm > beside.away_mm):
        return None
    own_mm2, other_mm2 = beside.areas_mm2(reach_mm)
    ratio = np.where(own_mm2 > 0.0, other_mm2 / np.maximum(own_mm2, 1e-12), 0.0)
    state = couple(own, other, ratio, limit, free_v=(own_v, other_v))
    growth = np.where(state.first_suffers & (state.free_a_m2 > 0.0), state.extra_a_m2 / state.free_a_m2, 0.0)
    return Solved(water, own, other, reach_mm, own_mm2, other_mm2, state, growth)


def _film(place: Place, exposure: SiteExposure, height_factor: Array) -> Electrolyte:
    if place.air_face.startswith("inside"):
        return film(np.zeros(1), height_factor)
    load = exposure.air_load.chloride_mg_m2_d
    return film(exposure.causes.lognormal("chloride", "site", load.median, load.sd_ln), height_factor)
