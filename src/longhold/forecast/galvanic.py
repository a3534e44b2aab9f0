"""What a face loses beyond its own loss because a nobler metal touches it, per draw.

The face's own loss says how long and how well the water on it works in a year; the couple says by what
share more the metal dissolves while it does. So extra = own loss times (i_x / i_0), with i_0 the dissolution
of the metal by itself and i_x what the couple adds. See docs/decisions/galvanic.md.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.trace import Trace
from longhold.forecast.beside import Beside
from longhold.forecast.exposure import SiteExposure
from longhold.forecast.galvanic_trace import note_couple, note_several
from longhold.metal.electrolyte import Electrolyte, film, spread, wet_wood
from longhold.metal.mixed_potential import CoupleState, couple, free_potential_v
from longhold.metal.polarization import Curve, cathode_of_metal, curve_of_metal
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
class Met:
    """Two metals in one water, before it is known how much of either is there; arrays of shape (draws,).

    Attributes
    ----------
    water : that joins them
    limit_a_m2 : oxygen that it brings, as a current [A/m2]
    own, other : curves of the metal of the face and of its neighbor
    own_v, other_v : potential of each by itself [V]
    activity_ratio : what the neighbor takes up over the middle of what it may [-]
    reach_mm : of a straight strip of the nobler metal [mm]
    """

    water: Electrolyte
    limit_a_m2: Array
    own: Curve
    other: Curve
    own_v: Array
    other_v: Array
    activity_ratio: Array
    reach_mm: Array


@dataclass(frozen=True)
class Solved:
    """One metal of a face joined to one neighbor; arrays of shape (draws,).

    Attributes
    ----------
    met : the two metals in their water
    own_mm2, other_mm2 : areas that take part [mm2]
    state : the couple
    growth : extra dissolution over that of the metal by itself [-], not negative
    spots_mm2 : of the neighbor, bare while the rest of it has zinc [mm2]
    growth_by_spots : what they add to zinc, over that of the zinc by itself [-], at most ``growth``
    """

    met: Met
    own_mm2: Array
    other_mm2: Array
    state: CoupleState
    growth: Array
    spots_mm2: Array
    growth_by_spots: Array


@dataclass(frozen=True)
class ExtraLoss:
    """What one neighbor adds to the loss of one metal of a face in the first year that it stands beside it.

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
    def early_growth(self) -> Array:
        """What is added as long as no zinc is gone [-]: all, or of a neighbor under zinc its bare spots."""
        return self.solved.growth_by_spots if self.beside.later else self.growth

    @property
    def later_growth(self) -> Array:
        """What is added on top from the age on at which the neighbor's zinc is gone [-]."""
        return np.asarray(self.growth - self.early_growth)

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

    Raises
    ------
    CoupleNotSolved : where no potential of a couple is found
    """
    found = []
    for beside in neighbors:
        solved = solve(metal, beside, touches, place, exposure)
        if solved is None:
            continue
        found.append(ExtraLoss(beside, metal, own_um, solved.growth, solved))
        if trace is not None:
            note_couple(trace, metal, beside, solved, own_um, wet_share(), in_wood=touches != "air")
    if trace is not None:
        note_several(trace, metal, own_um, [one.early_growth for one in found if np.any(one.early_growth)])
    return tuple(found)


def solve(metal: str, beside: Beside, touches: str, place: Place, exposure: SiteExposure) -> Solved | None:
    """Join a metal of a face to a neighbor; None where that is not the nobler one, or out of reach.

    Couples of the same metals, areas and water are solved once for a site.

    Raises
    ------
    CoupleNotSolved : where no potential is found
    """
    if metal == beside.metal:
        return None
    water = "wood" if touches != "air" else "inside" if place.air_face.startswith("inside") else "outside"
    met = exposure.couple_once(
        (metal, beside.metal, water), lambda: _meet(metal, beside.metal, water, exposure)
    )
    if met is None or not np.any(met.reach_mm > beside.away_mm):
        return None
    key = (
        (metal, beside.metal, water, beside.own, beside.other, beside.away_mm),
        (beside.rim, beside.bare_share),
    )
    return exposure.couple_once(key, lambda: _joined(met, beside, in_zinc=metal == "zinc"))


def _meet(metal: str, other_metal: str, water_kind: str, exposure: SiteExposure) -> Met | None:
    where = "wood" if water_kind == "wood" else "film"
    reach_factor, activity_ratio = (
        exposure.causes.lognormal(cause, COUPLE_SCOPE, 1.0, spread(where, what))
        for cause, what in zip(_CAUSES[where], ("reach", "current"), strict=True)
    )
    water = wet_wood(reach_factor**2) if where == "wood" else _film(water_kind, exposure, reach_factor)
    own, other = curve_of_metal(metal), cathode_of_metal(other_metal)
    limit = np.broadcast_to(np.asarray(water.oxygen_limit_a_m2, float), reach_factor.shape)
    own_v = exposure.couple_once((metal, water_kind), lambda: _stands(own, limit))
    other_v = exposure.couple_once((other_metal, "nobler", water_kind), lambda: _stands(other, limit))
    driving = other_v - own_v
    if not np.any(driving > 0.0):
        return None
    reach_mm = 1000.0 * reach_m(water.conductivity_s_m, water.height_m, driving, activity_ratio * limit)
    return Met(water, limit, own, other, own_v, other_v, activity_ratio, reach_mm)


def _stands(curve: Curve, limit_a_m2: Array) -> Array:
    """Potential of a metal by itself [V], sought once where all draws bring the same oxygen."""
    if np.ptp(limit_a_m2) == 0.0:
        return np.broadcast_to(free_potential_v(curve, limit_a_m2[0]), limit_a_m2.shape)
    return free_potential_v(curve, limit_a_m2)


def _joined(met: Met, beside: Beside, *, in_zinc: bool) -> Solved:
    own_mm2, other_mm2 = beside.areas_mm2(met.reach_mm)
    state = _couple_of(met, own_mm2, other_mm2)
    growth = _growth(state)
    spots_mm2 = beside.bare_mm2(met.reach_mm) if in_zinc and beside.later else np.zeros_like(other_mm2)
    by_spots = np.minimum(_growth_by_spots(met, own_mm2, other_mm2, spots_mm2), growth)
    return Solved(met, own_mm2, other_mm2, state, growth, spots_mm2, by_spots)


def _growth_by_spots(met: Met, own_mm2: Array, other_mm2: Array, spots_mm2: Array) -> Array:
    """Extra dissolution of zinc by small bare spots of a zinc-coated neighbor, over its own [-].

    While the neighbor has zinc, that feeds its bare steel too: both stand in one water at one potential, and
    the steel takes from the zinc of both by their areas.
    """
    if not np.any(spots_mm2):
        return np.zeros_like(spots_mm2)
    return _growth(_couple_of(met, own_mm2 + other_mm2 - spots_mm2, spots_mm2))


def _couple_of(met: Met, anode_mm2: Array, cathode_mm2: Array) -> CoupleState:
    ratio = np.where(anode_mm2 > 0.0, met.activity_ratio * cathode_mm2 / np.maximum(anode_mm2, 1e-12), 0.0)
    return couple(met.own, met.other, ratio, met.limit_a_m2, free_v=(met.own_v, met.other_v))


def _growth(state: CoupleState) -> Array:
    """Extra dissolution of the anode over that by itself [-]; 0 where it is the other that suffers."""
    suffers = state.first_suffers & (state.free_a_m2 > 0.0)
    return np.where(suffers, state.extra_a_m2 / state.free_a_m2, 0.0)


def _film(water_kind: str, exposure: SiteExposure, height_factor: Array) -> Electrolyte:
    if water_kind == "inside":
        return film(np.zeros(1), height_factor)
    load = exposure.air_load.chloride_mg_m2_d
    return film(exposure.causes.lognormal("chloride", "site", load.median, load.sd_ln), height_factor)
