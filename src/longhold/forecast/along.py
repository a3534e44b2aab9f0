"""Loss along a fastener: each face of the timber has its own peak, from which it falls with depth.

A profile is rising depths from a face [mm] and the loss there over that at the worst depth [-], as
``loss_profile`` gives it; the loss at the worst depth comes by draw and age.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.base.tables import load_toml

__all__ = [
    "Passage",
    "Profile",
    "hinge_zone_diameters",
    "losses_along",
    "losses_in_slices",
    "mean_between_faces",
    "peak_within",
]

Array = NDArray[np.float64]
_STEP_MM = 1.0
_MOST_SLICES = 60
_SAME_MM = 0.01


class Profile(NamedTuple):
    """How the loss of a shank falls from a face.

    Attributes
    ----------
    depth_mm : from the face, rising [mm]
    relative : loss there over that at the worst depth [-]
    """

    depth_mm: Array
    relative: Array

    def at(self, depth_mm: Array) -> Array:
        """Relative loss at depths; beyond the last as at the last."""
        return np.asarray(np.interp(depth_mm, self.depth_mm, self.relative))


def peak_within(zone_mm: float, profile: Profile) -> float:
    """Largest loss within a zone from the face over that at the worst depth [-], 0 to 1.

    A dowel bends within some two diameters of the joint line: what is lost deeper does not thin its hinge.

    >>> peak_within(5.0, Profile(np.array([0.0, 10.0]), np.array([0.2, 1.0])))
    0.6
    """
    inside = profile.depth_mm[profile.depth_mm <= zone_mm]
    depths = np.concatenate([[0.0], inside, [max(zone_mm, 0.0)]])
    return float(np.max(profile.at(depths)))


def mean_between_faces(length_mm: float, near: Profile, near_um: Array, far: Profile, far_um: Array) -> Array:
    """Mean loss along a length that has a face at each end, the larger of both at every depth [um].

    Parameters
    ----------
    length_mm : between the faces [mm]
    near, far : how the loss falls from the one face and from the other
    near_um, far_um : loss at the worst depth of each, of the same shape [um]

    >>> flat = Profile(np.array([0.0]), np.array([1.0]))
    >>> mean_between_faces(38.0, flat, np.array([2.0]), flat, np.array([3.0])).tolist()
    [3.0]
    """
    depths = _middles(0.0, length_mm)
    shares = zip(near.at(depths), far.at(length_mm - depths), strict=True)
    total = np.zeros(np.broadcast(near_um, far_um).shape)
    for one, other in shares:
        total += np.maximum(one * near_um, other * far_um)
    return np.asarray(total / len(depths))


class Passage(NamedTuple):
    """How a dowel passes two members.

    Attributes
    ----------
    diameter_mm : nominal, as new [mm]
    side_mm : thickness of a wooden side [mm]; None under a sheet
    reach_mm : length that bears in the main timber [mm]
    main_mm : thickness of the main timber [mm]
    double : whether the main timber lies between two sides
    """

    diameter_mm: float
    side_mm: float | None
    reach_mm: float
    main_mm: float
    double: bool


def hinge_zone_diameters() -> float:
    """How far from the joint line a dowel may bend, in its diameters."""
    return float(load_toml("forecast/limits.toml")["hinge"]["diameters"])


def losses_along(
    passage: Passage, line: Profile, line_um: Array, outer: Profile, outer_um: Array
) -> tuple[Array, Array]:
    """Loss where a dowel bends, near the joint line, and mean loss along the timber that takes more [um].

    Parameters
    ----------
    passage : the dowel through its members
    line, outer : how the loss falls from the joint line and from the outer face
    line_um, outer_um : loss at the worst depth of each, of the same shape [um]

    Source: own.

    >>> flat, two = Profile(np.array([0.0]), np.array([1.0])), np.array([2.0])
    >>> [one.tolist() for one in losses_along(Passage(4.0, 38.0, 50.0, 90.0, False), flat, two, flat, two)]
    [[2.0], [2.0]]
    """
    bearing = _along_main(passage, line, line_um, outer, outer_um)
    if passage.side_mm is not None:
        side = mean_between_faces(passage.side_mm, outer, outer_um, line, line_um)
        bearing = np.maximum(bearing, side)
    hinge_mm = hinge_zone_diameters() * passage.diameter_mm
    return np.asarray(peak_within(hinge_mm, line) * line_um), bearing


def _along_main(passage: Passage, line: Profile, line_um: Array, outer: Profile, outer_um: Array) -> Array:
    """Mean loss along what bears in the main timber, whose far face has a peak if the dowel gets there."""
    if passage.reach_mm < passage.main_mm - _SAME_MM:
        return mean_between_faces(passage.reach_mm, line, line_um, line, np.zeros_like(line_um))
    if passage.double:
        return mean_between_faces(passage.reach_mm, line, line_um, line, line_um)
    return mean_between_faces(passage.reach_mm, line, line_um, outer, outer_um)


def losses_in_slices(start_mm: float, end_mm: float, profile: Profile, worst_um: Array) -> Iterator[Array]:
    """Loss in slices of equal length between two depths from a face [um].

    >>> flat = Profile(np.array([0.0]), np.array([1.0]))
    >>> [one.tolist() for one in losses_in_slices(0.0, 2.0, flat, np.array([7.0]))]
    [[7.0], [7.0]]
    """
    for share in profile.at(_middles(start_mm, end_mm)):
        yield share * worst_um


def _middles(start_mm: float, end_mm: float) -> Array:
    count = int(np.clip(np.ceil((end_mm - start_mm) / _STEP_MM), 1, _MOST_SLICES))
    edges = np.linspace(start_mm, max(end_mm, start_mm), count + 1)
    return np.asarray((edges[:-1] + edges[1:]) / 2.0)
