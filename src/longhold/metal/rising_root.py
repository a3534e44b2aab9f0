"""Where functions that never fall cross zero, for many draws at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import LongholdError

__all__ = ["CoupleNotSolved", "find_rising_root"]

Array = NDArray[np.float64]
_CLOSE = 1e-9  # of a root, on the scale of what is sought


class CoupleNotSolved(LongholdError):  # noqa: N818 - says what happened
    """No potential was found at which the currents of metals in water are equal."""


def find_rising_root(function: Callable[..., Array], low: Array, high: Array, *args: Array) -> Array:
    """Where a function that never falls crosses zero between two bounds, element by element.

    Where it is zero or more at the lower bound, that bound; where it is zero or less at the upper one, that.

    Parameters
    ----------
    function : of x and further arrays, works on whole arrays
    low, high : bounds, arrays of one shape, low below high
    args : passed on, of that shape

    Raises
    ------
    CoupleNotSolved : where the function has no value at a bound, or the search does not close in on a root

    >>> find_rising_root(lambda x, a: x**3 - a, np.zeros(2), np.full(2, 3.0), np.array([8.0, 64.0])).tolist()
    [2.0, 3.0]
    """
    from scipy.optimize.elementwise import find_root

    at_low, at_high = function(low, *args), function(high, *args)
    if np.any(np.isnan(at_low) | np.isnan(at_high)):
        raise CoupleNotSolved("the currents of these metals have no value: an input is no number")
    within = (at_low < 0.0) & (at_high > 0.0)
    edge = np.where(at_low >= 0.0, low, high)
    if not np.any(within):
        return edge
    result = find_root(function, (low, high), args=args)
    width = np.abs(result.bracket[1] - result.bracket[0])
    closed = result.success & ((result.f_x == 0.0) | (width <= _CLOSE * (1.0 + np.abs(result.x))))
    if np.any(within & ~closed):
        raise CoupleNotSolved("the search for the potential of these metals did not close in on one")
    return np.where(within, result.x, edge)
