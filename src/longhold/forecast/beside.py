"""A nobler metal beside a face: what touches it, and how much of either the water joins."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import inf, pi
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.metal.reach import ring_radius_m
from longhold.model.protection import Protection, metal_family

__all__ = ["Beside", "Patch", "Rim", "couple_metal", "metal_once_bare"]

Array = NDArray[np.float64]
_STEELS = {"carbon_steel", "weathering_steel"}


def couple_metal(protection: Protection) -> str:
    """The metal that a part shows to its neighbors when new, by its name in the table of curves.

    A zinc coating counts as zinc, as in the rule of one metal family; a topcoat hides nothing.
    """
    return "zinc" if metal_family(protection) == "zinc" else metal_once_bare(protection)


def metal_once_bare(protection: Protection) -> str:
    """The metal under its layers, by its name in the table of curves."""
    return "steel" if protection.base_metal in _STEELS else protection.base_metal


@dataclass(frozen=True)
class Patch:
    """Bare metal near the place where two parts touch, as far as the water reaches.

    Attributes
    ----------
    kind : disc, a head seen from above; ring, of sheet or washer around it; cylinder, a shank in timber
    radius_mm : of the head or the shank [mm]
    limit_mm : outer radius of a ring, length of a cylinder [mm]; infinite where it is not known
    side_mm : of a head, the height of its side [mm]
    """

    kind: Literal["disc", "ring", "cylinder"]
    radius_mm: float
    limit_mm: float = inf
    side_mm: float = 0.0

    def area_mm2(self, reach_mm: ArrayLike) -> Array:
        """Area that takes part [mm2], for the reach of a straight strip [mm]: from the line of contact
        outward over sheet, up the side and inward over a head, along a shank.

        >>> round(float(Patch("ring", 4.0).area_mm2(5.8)))
        206
        """
        reach = np.asarray(reach_mm, float)
        if self.kind == "disc":
            side = np.minimum(reach, self.side_mm)
            left = np.maximum(self.radius_mm - (reach - side), 0.0)
            return np.asarray(2.0 * pi * self.radius_mm * side + pi * (self.radius_mm**2 - left**2))
        if self.kind == "ring":
            outer = np.minimum(1000.0 * ring_radius_m(self.radius_mm / 1000.0, reach / 1000.0), self.limit_mm)
            return np.asarray(pi * np.maximum(outer**2 - self.radius_mm**2, 0.0))
        return np.asarray(2.0 * pi * self.radius_mm * np.minimum(reach, self.limit_mm))


@dataclass(frozen=True)
class Rim:
    """Bare steel at the rim of the hole that a fastener goes through.

    Attributes
    ----------
    radius_mm, height_mm : of the hole; of its rim, the thickness of the sheet [mm]
    covered_mm : way under the head from its edge to the rim [mm]; 0 where the fastener meets the rim itself
    """

    radius_mm: float
    height_mm: float
    covered_mm: float = 0.0

    def area_mm2(self, reach_mm: ArrayLike) -> Array:
        """Rim that takes part [mm2]: what lies under the head comes off the reach, and the rim counts by
        the share that is left.

        >>> [round(float(Rim(2.0, 1.5, covered).area_mm2(4.0)), 1) for covered in (0.0, 2.0, 4.0)]
        [18.8, 9.4, 0.0]
        """
        reach = np.asarray(reach_mm, float)
        left = np.maximum(reach - self.covered_mm, 0.0)
        share = np.where(reach > 0.0, left / np.maximum(reach, 1e-300), 0.0)
        return np.asarray(2.0 * pi * self.radius_mm * np.minimum(self.height_mm, left) * share)


@dataclass(frozen=True)
class Beside:
    """A part of another metal that touches a face.

    Attributes
    ----------
    part : its id
    words : what it is, for people
    metal : what it shows, a name of the table of curves
    own, other : metal of the face, and of that part, near where they touch
    away_mm : timber between the two [mm]
    later : whether it shows this metal only once its zinc is gone
    from_years : age from which it shows this metal [years], shape (draws,); infinite while that is not known
    rim : of a hole in a part that otherwise has zinc, bare from the start; None where it is not
    bare_share : of this metal within reach, bare from the start in spots [-], 0 to 1
    """

    part: str
    words: str
    metal: str
    own: Patch
    other: Patch
    away_mm: float = 0.0
    later: bool = False
    from_years: ArrayLike = field(default=0.0, compare=False)
    rim: Rim | None = None
    bare_share: float = 0.0

    @property
    def at_middle(self) -> Beside:
        """The same with one age, the middle of the draws."""
        return replace(self, from_years=float(np.median(np.asarray(self.from_years, float))))

    def areas_mm2(self, reach_mm: ArrayLike) -> tuple[Array, Array]:
        """Areas of both that take part [mm2], the other's with what distance leaves of it.

        Timber between them takes its length off the reach, and the nobler metal counts by the share that is
        left; from the whole reach on it does not count.
        """
        reach = np.asarray(reach_mm, float)
        left = np.maximum(reach - self.away_mm, 0.0)
        share = np.where(reach > 0.0, left / np.maximum(reach, 1e-300), 0.0)
        return self.own.area_mm2(left), np.asarray(share * self.other.area_mm2(left))

    def bare_mm2(self, reach_mm: ArrayLike) -> Array:
        """Metal that takes part while the rest is under zinc [mm2], of what does once the zinc is gone."""
        whole = self.areas_mm2(reach_mm)[1]
        rim = np.zeros_like(whole) if self.rim is None else self.rim.area_mm2(reach_mm)
        return np.asarray(np.minimum(rim + self.bare_share * whole, whole))
