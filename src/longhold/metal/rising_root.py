"""Where functions that never fall cross zero, for many draws at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import LongholdError

__all__ = ["CoupleNotSolved", "find_rising_root"]

Array = NDArray[np.float64]
_CLOSE = 4.0 * np.finfo(float).eps  # of a root, over itself
_STEPS = 200  # halving alone needs some sixty


class CoupleNotSolved(LongholdError):  # noqa: N818 - says what happened
    """No potential was found at which the currents of metals in water are equal."""


def find_rising_root(function: Callable[..., Array], low: Array, high: Array, *args: Array) -> Array:
    """Where a function that never falls crosses zero between two bounds, element by element.

    Where it is zero or more at the lower bound, that bound; where it is zero or less at the upper one, that.
    Inverse quadratic steps where they can be trusted, halves elsewhere, to the last digits (T. R.
    Chandrupatla, Advances in Engineering Software 28(3), 1997). The same is in scipy, where the passage of
    arrays through its loop takes longer than the functions that we put in; a test holds the two together.

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
    at_low, at_high = function(low, *args), function(high, *args)
    if np.any(np.isnan(at_low) | np.isnan(at_high)):
        raise CoupleNotSolved("the currents of these metals have no value: an input is no number")
    root = np.where(at_low >= 0.0, low, high)
    within = np.flatnonzero((at_low < 0.0) & (at_high > 0.0))
    if within.size:
        taken = (one.ravel()[within] for one in (low, high, at_low, at_high, *args))
        root.ravel()[within] = _closed_in(function, *taken)
    return root


def _closed_in(function: Callable[..., Array], low: Array, high: Array, *rest: Array) -> Array:
    """The root between two bounds of which one lies below and one above it, shape (elements,)."""
    f_old, f_new, *args = rest
    old, new = low, high
    root = np.empty_like(low)
    left = np.arange(low.size)
    step = np.full(low.shape, 0.5)
    for _ in range(_STEPS):
        x = new + step * (old - new)
        f = function(x, *args)
        if np.isnan(f).any():
            break
        same = (f > 0.0) == (f_new > 0.0)
        before, f_before = np.where(same, new, old), np.where(same, f_new, f_old)
        old, f_old = np.where(same, old, new), np.where(same, f_old, f_new)
        new, f_new = x, f
        nearer = np.where(np.abs(f_new) < np.abs(f_old), new, old)
        least = _CLOSE * np.abs(nearer) / np.abs(old - new)
        done = (f_new == 0.0) | (least > 0.5)
        if done.any():
            root[left[done]] = np.where(f_new == 0.0, new, nearer)[done]
            on = ~done
            if not on.any():
                return root
            left, old, new, before, least = left[on], old[on], new[on], before[on], least[on]
            f_old, f_new, f_before = f_old[on], f_new[on], f_before[on]
            args = [one[on] for one in args]
        step = np.clip(_trusted(old, new, before, f_old, f_new, f_before), least, 1.0 - least)
    raise CoupleNotSolved("the search for the potential of these metals did not close in on one")


def _trusted(old: Array, new: Array, before: Array, f_old: Array, f_new: Array, f_before: Array) -> Array:
    """Share of the way from the newest point to that across the root: where a parabola says, or half."""
    xi = (new - old) / (before - old)
    phi = (f_new - f_old) / (f_before - f_old)
    bends_little = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        parabola = f_new / (f_old - f_new) * f_before / (f_old - f_before) + (before - new) / (
            old - new
        ) * f_new / (f_before - f_new) * f_old / (f_before - f_old)
    return np.where(bends_little & np.isfinite(parabola), parabola, 0.5)
