"""What a moisture simulation takes and tells: cases, runs, water at the faces, steps without an answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import LongholdError
from longhold.wood.faces import FaceExposure
from longhold.wood.transport import WoodSection

__all__ = ["FaceWater", "MoistureCase", "MoistureNotConverged", "MoistureRun"]

Array = NDArray[np.float64]


class MoistureNotConverged(LongholdError):  # noqa: N818 - says what happened
    """A step of the simulation found no answer, even cut into small pieces: nothing is told then.

    Attributes
    ----------
    case : which of the cases, from 0
    hour : hour of the weather, negative within the spin-up
    depth_m : depth of the node that moved most [m from the front face]
    """

    def __init__(self, case: int, hour: float, depth_m: float) -> None:
        self.case, self.hour, self.depth_m = case, hour, depth_m
        super().__init__(
            f"The moisture of case {case} did not converge in hour {hour:g}, {depth_m * 1e3:.2f} mm deep. "
            "Look at the weather of that hour and the figures of the faces, or take more cells."
        )


@dataclass(frozen=True)
class MoistureCase:
    """One run of a batch.

    Attributes
    ----------
    section : the timber; all cases of a batch share thickness, cells and first cell
    front, back : what its two faces meet
    weather : place of its weather among those handed over
    start_pct : moisture at the start [%]; None takes the rest moisture of the mean climate of both faces
    """

    section: WoodSection
    front: FaceExposure
    back: FaceExposure
    weather: int = 0
    start_pct: float | None = None


@dataclass(frozen=True)
class FaceWater:
    """Water accounted for at a face, yearly mean [kg/m2, the same as mm of rain].

    Attributes
    ----------
    arrived_mm : rain that reached the face
    taken_up_mm : liquid that the wood drew in
    run_off_mm : what ran off, or fell as snow or on frozen wood
    evaporated_mm : vapour that the wood gave off, thin water on bare wood included
    dried_mm : thin water that dried from the top of a coat
    condensed_mm : vapour taken from the air
    from_hold_mm : from wet ground (negative: given to it)
    """

    arrived_mm: float
    taken_up_mm: float
    run_off_mm: float
    evaporated_mm: float
    dried_mm: float
    condensed_mm: float
    from_hold_mm: float


@dataclass(frozen=True, eq=False)
class MoistureRun:
    """What a simulation found, over the years after the spin-up.

    Attributes
    ----------
    depth_m : middle of each cell, from the front face [m]
    width_m : width of each cell [m]
    response : per set of the moisture response, mean over the hours of f_T/(1 + exp(B (C - M))) in each cell;
        f_T is 0 while the wood is frozen, else 1, or Arrhenius's factor under the names of
        ``by_temperature``. Yearly loss [um] = saturated rate A [um/yr] times it
    share_above : share of the hours with a moisture above the threshold and unfrozen wood, in each cell
    monthly_pct : mean moisture in January to December, 12 x cells [%]
    mean_pct : mean moisture in each cell [%]
    front, back : water at the faces
    balance_error_share : water that the account misses, over all that passed a face (over a thousandth of
        what the timber holds, where less than that passed)
    history_pct : moisture at the end of each interval asked for, intervals x cells [%], or None
    years : years told
    """

    depth_m: Array
    width_m: Array
    response: Mapping[str, Array]
    share_above: Array
    monthly_pct: Array
    mean_pct: Array
    front: FaceWater
    back: FaceWater
    balance_error_share: float
    history_pct: Array | None
    years: int
