"""How the potential falls off along the wet path of a couple, for a picture beside the reach that counts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.tables import load_toml
from longhold.forecast.galvanic import Solved
from longhold.metal.profile import potential_along
from longhold.metal.rising_root import CoupleNotSolved

__all__ = ["WetPath", "wet_path"]

Array = NDArray[np.float64]
_POINTS = 41


@dataclass(frozen=True)
class WetPath:
    """Along a straight path on the nobler metal, by the middle values.

    Attributes
    ----------
    cathode : name of the nobler metal
    from_mm : distance from the metal that loses [mm]
    below_v : how far its potential is drawn below that of the nobler metal by itself [V]
    takes_up_a_m2 : oxygen that it takes up for the other metal there [A/m2]
    reach_mm : up to which nobler metal is counted in full [mm]
    worth_mm : length that would take up as much at the start as the whole path does [mm]
    """

    cathode: str
    from_mm: tuple[float, ...]
    below_v: tuple[float, ...]
    takes_up_a_m2: tuple[float, ...]
    reach_mm: float
    worth_mm: float


def wet_path(solved: Solved, cathode: str) -> WetPath | None:
    """The profile behind a couple; None where the two stand at one potential, or none is found.

    The path starts at the potential at which the two meet. Its length, in reaches, is our own choice
    (tables/assessment/wet_path.toml).
    """
    met = solved.met
    limit, free_v = float(met.limit_a_m2[0]), float(met.other_v[0])
    start_v, reach_m = float(solved.state.anode_v[0]), float(met.reach_mm[0]) / 1000.0
    active = float(met.activity_ratio[0])
    conductance = _first(met.water.conductivity_s_m) * _first(met.water.height_m)
    if start_v >= free_v or reach_m <= 0.0:
        return None

    def net(potential_v: Array) -> Array:
        taken = met.other.takes_up_a_m2(potential_v, limit) - met.other.dissolves_a_m2(potential_v)
        return np.asarray(active * taken, float)

    length_m = float(load_toml("assessment/wet_path.toml")["path"]["length_reaches"]) * reach_m
    try:
        found = potential_along(net, start_v, free_v, conductance, length_m)
    except CoupleNotSolved:
        return None
    at = np.linspace(0, len(found.from_m) - 1, _POINTS).round().astype(int)
    worth_m = found.current_a_m / float(found.takes_up_a_m2[0])
    return WetPath(
        cathode=cathode.replace("_", " "),
        from_mm=tuple((1000.0 * found.from_m[at]).tolist()),
        below_v=tuple((free_v - found.potential_v[at]).tolist()),
        takes_up_a_m2=tuple(found.takes_up_a_m2[at].tolist()),
        reach_mm=1000.0 * reach_m,
        worth_mm=1000.0 * worth_m,
    )


def _first(values: object) -> float:
    return float(np.asarray(values, float).flat[0])
