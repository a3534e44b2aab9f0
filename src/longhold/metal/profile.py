"""Potential along a wet path on the nobler metal: the farther from the other metal, the less of it counts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.metal.rising_root import CoupleNotSolved

__all__ = ["PathProfile", "potential_along"]

Array = NDArray[np.float64]
_POINTS = 1601
_STEPS = 200
_CLOSE_V = 1e-9
_HALVINGS = 20
_SLOPE_V = 1e-7  # over which the slope of a curve is taken


@dataclass(frozen=True)
class PathProfile:
    """A wet path of finite length on a cathode; arrays over the places on it.

    Attributes
    ----------
    from_m : distance from the anode [m]
    potential_v : of the metal there [V]
    takes_up_a_m2 : net current that it takes up there [A/m2]
    """

    from_m: Array
    potential_v: Array
    takes_up_a_m2: Array

    @property
    def current_a_m(self) -> float:
        """Current that the whole path takes up, for a metre of its width [A/m]."""
        return float(np.trapezoid(self.takes_up_a_m2, self.from_m))


def potential_along(
    net_a_m2: Callable[[Array], Array],
    start_v: float,
    free_v: float,
    conductance_s: float,
    length_m: float,
) -> PathProfile:
    """Solve k h E'' = -i(E) with E(0) given and no current past the end, E'(length) = 0.

    Parameters
    ----------
    net_a_m2 : i, what a metal takes up less what it dissolves, from its potential [V]; 0 at ``free_v`` and
        rising below it
    start_v : potential at the anode [V], at most ``free_v``
    free_v : potential of the metal by itself [V]
    conductance_s : k h, conductivity times height of what carries the current [S], more than 0
    length_m : of the path [m], more than 0

    Raises
    ------
    CoupleNotSolved : where no potential along the path is found

    Where i is proportional to free_v - E, E follows a hyperbolic cosine; where it is constant, a parabola
    that ends at the reach sqrt(2 k h (free_v - start_v) / i).

    >>> found = potential_along(lambda e: (0.0 - e) / 2.0, -0.1, 0.0, 0.02, 0.4)
    >>> round(float(found.potential_v[-1]), 4), round(-0.1 / float(np.cosh(0.4 / 0.2)), 4)
    (-0.0266, -0.0266)
    """
    x = np.linspace(0.0, length_m, _POINTS)
    step = (x[1] - x[0]) ** 2 / conductance_s
    below = np.full(_POINTS, free_v - start_v)
    for _ in range(_STEPS):
        change = _newton(net_a_m2, below, free_v, step)
        moved = _no_farther_off(net_a_m2, below, change, free_v, step)
        done = float(np.max(np.abs(moved - below))) < _CLOSE_V
        below = moved
        if done:
            e = free_v - below
            return PathProfile(x, e, np.asarray(net_a_m2(e), float))
    raise CoupleNotSolved("the potential along the wet path did not settle")


def _no_farther_off(
    net_a_m2: Callable[[Array], Array], below: Array, change: Array, free_v: float, step: float
) -> Array:
    """As much of a change as leaves u no farther from the balance: a whole one may overshoot on a bend."""
    off = float(np.linalg.norm(_off_balance(net_a_m2, below, free_v, step)))
    moved = below
    for halvings in range(_HALVINGS):
        moved = np.clip(below + 0.5**halvings * change, 0.0, below[0])
        if float(np.linalg.norm(_off_balance(net_a_m2, moved, free_v, step))) <= off:
            break
    return np.asarray(moved)


def _off_balance(net_a_m2: Callable[[Array], Array], below: Array, free_v: float, step: float) -> Array:
    """Of u'' = i / (k h) what is left over at each place; the last point mirrors the one before it."""
    i = np.asarray(net_a_m2(free_v - below), float)
    off = np.zeros(len(below))
    off[1:-1] = below[:-2] - 2.0 * below[1:-1] + below[2:] - step * i[1:-1]
    off[-1] = 2.0 * below[-2] - 2.0 * below[-1] - step * i[-1]
    return off


def _newton(net_a_m2: Callable[[Array], Array], below: Array, free_v: float, step: float) -> Array:
    """Change of u = free_v - E towards u'' = i / (k h)."""
    from scipy.linalg import solve_banded

    i = np.asarray(net_a_m2(free_v - below), float)
    slope = np.maximum((np.asarray(net_a_m2(free_v - below - _SLOPE_V), float) - i) / _SLOPE_V, 0.0)
    number = len(below)
    band = np.zeros((3, number))
    band[1] = -2.0 - step * slope
    band[0, 2:], band[2, :-2] = 1.0, 1.0
    band[1, 0], band[0, 1], band[2, -2] = 1.0, 0.0, 2.0
    return np.asarray(solve_banded((1, 1), band, -_off_balance(net_a_m2, below, free_v, step)))
