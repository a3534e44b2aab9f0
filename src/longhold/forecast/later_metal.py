"""What a neighbor that goes bare later adds: none before, all of it from then on.

The layers of a face go by one law from start to end. So what is added from an age on is spread back over the
whole: the factor on the law is the one with which the layer ends at the same age.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.metal.laws import TimeLaw

__all__ = ["Later", "factor_to_age", "factor_to_depth"]

Array = NDArray[np.float64]
_NEVER_YEARS = 1e9
Later = tuple[ArrayLike, ArrayLike]
"""Growth by a neighbor [-], and the age from which it counts [years]."""


def factor_to_depth(
    law: TimeLaw, depth_um: ArrayLike, started_years: ArrayLike, later: Sequence[Later]
) -> Array:
    """Factor on a law with which a layer is used up at the age that neighbors going bare later make it [-].

    With D the law, g_i what neighbor i adds from its age on, d_i what was lost by then: the layer h ends
    where D + sum of g_i (D - d_i) = h, over the neighbors that are bare by then; the factor is h / D.

    Parameters
    ----------
    law : of the layer without them
    depth_um : h of the layer [um], 0 where there is none
    started_years : age at which the layer is first attacked [years]
    later : of each such neighbor

    >>> law = TimeLaw(1.0, 1.0, np.inf)
    >>> float(factor_to_depth(law, 10.0, 0.0, [(1.0, 4.0)]))  # 4 um alone, the other 6 um at twice the rate
    1.4285714285714286
    """
    depth = np.asarray(depth_um, float)
    by_then = [np.minimum(law.loss_um(_since(start, started_years)), depth) for _, start in later]
    adds = [np.asarray(growth, float) for growth, _ in later]
    alike = np.broadcast_arrays(*by_then, *adds, depth)
    lost, growths = np.stack(alike[: len(later)]), np.stack(alike[len(later) : -1])
    first = np.argsort(lost, axis=0)
    lost, growths = np.take_along_axis(lost, first, 0), np.take_along_axis(growths, first, 0)
    alone = (depth + np.cumsum(growths * lost, axis=0)) / (1.0 + np.cumsum(growths, axis=0))
    ends = np.minimum(depth, alone.min(axis=0))
    return np.where(depth > 0.0, depth / np.where(ends > 0.0, ends, 1.0), 1.0)


def factor_to_age(
    law: TimeLaw, until_years: float, started_years: ArrayLike, later: Sequence[Later]
) -> Array:
    """Factor on a law with which as much is lost by an age as with neighbors going bare on the way [-].

    At that age it is exact; before it, a little is counted too much, as the addition comes late.

    Parameters
    ----------
    law : of the metal without them
    until_years : the age, the last that is asked for
    started_years : age at which the metal is first attacked [years]
    later : of each such neighbor

    >>> law = TimeLaw(1.0, 1.0, np.inf)
    >>> float(factor_to_age(law, 10.0, 0.0, [(1.0, 4.0)]))
    1.6
    """
    total = law.loss_um(np.maximum(until_years - np.asarray(started_years, float), 0.0))
    factor = np.ones(total.shape)
    for growth, start in later:
        before = np.minimum(law.loss_um(_since(start, started_years)), total)
        share = np.where(total > 0.0, 1.0 - before / np.where(total > 0.0, total, 1.0), 0.0)
        factor = factor + np.asarray(growth, float) * share
    return np.asarray(factor)


def _since(years: ArrayLike, started_years: ArrayLike) -> Array:
    """How long after it was first attacked [years]; 0 for earlier, ages past all lives for never."""
    since = np.minimum(years, _NEVER_YEARS) - np.minimum(started_years, _NEVER_YEARS)
    return np.asarray(np.maximum(since, 0.0))
