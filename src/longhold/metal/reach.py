"""How far along a wet path one metal still serves another: what resists makes distant metal count less."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["reach_m", "ring_radius_m"]

Array = NDArray[np.float64]
_WIDE = 1e-4  # the series is off by 1e-13 there, as is the closed form


def reach_m(
    conductivity_s_m: ArrayLike, height_m: ArrayLike, driving_v: ArrayLike, current_a_m2: ArrayLike
) -> Array:
    """Length of a strip that a driving voltage serves: w = sqrt(2 k h dE / i) [m].

    Metal that takes up an even current i sends it along the film; from the far edge of a strip w the drop is
    i w^2 / (2 k h), which may use up dE. Where oxygen diffusing through the film limits the current,
    i = 4 F D C / h and w = h sqrt(2 k dE / (4 F D C)).

    Parameters
    ----------
    conductivity_s_m, height_m : k [S/m] and h [m] of the layer that carries the current
    driving_v : dE, difference of the free potentials [V], not negative
    current_a_m2 : i taken up by a unit of the surface [A/m2], more than 0

    >>> from longhold.metal.polarization import oxygen_limit_a_m2
    >>> round(1000.0 * float(reach_m(1.07, 1e-4, 0.3, oxygen_limit_a_m2(1e-4, 2.0e-9, 0.25))), 1)
    5.8
    """
    k, h, v, i = (np.asarray(one, float) for one in (conductivity_s_m, height_m, driving_v, current_a_m2))
    return np.asarray(np.sqrt(2.0 * k * h * np.maximum(v, 0.0) / i))


def ring_radius_m(inner_m: ArrayLike, strip_m: ArrayLike) -> Array:
    """Outer radius of the ring that a disc serves, where a straight edge would serve a strip [m].

    Current that crowds towards a small disc meets more resistance than along a strip: with w the reach of
    the strip, R^2 ln(R / r) - (R^2 - r^2) / 2 = w^2. With y = (R / r)^2 and q = w / r that is
    y (ln y - 1) = 2 q^2 - 1, so that ln y - 1 is Lambert's W of (2 q^2 - 1) / e. A wide disc gives R = r + w.

    Parameters
    ----------
    inner_m : r of the disc [m], more than 0
    strip_m : w [m], not negative

    >>> round(1000.0 * float(ring_radius_m(0.004, 0.0058)), 1)
    9.0
    """
    from scipy.special import lambertw

    r, w = np.broadcast_arrays(np.asarray(inner_m, float), np.asarray(strip_m, float))
    ratio = w / r
    # W has a branch point at q = 0, beside which its digits are lost: a series takes its place there
    wide = ratio < _WIDE
    power = lambertw((2.0 * np.where(wide, 1.0, ratio) ** 2 - 1.0) / np.e).real
    return np.asarray(r * np.where(wide, 1.0 + ratio - ratio**2 / 6.0, np.exp((1.0 + power) / 2.0)))
