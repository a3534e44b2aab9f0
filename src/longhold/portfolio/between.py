"""Between which drawn sites the answers of a site lie, and how much of each."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

__all__ = ["shares_between"]

Array = NDArray[np.float64]
Whole = NDArray[np.int32]
_SUM_TO_ONE = 1e4  # weight of the row that makes shares add up to one, far above every distance


def shares_between(
    sites: Array, rungs: Array, among: Sequence[Whole], nearest: int, pull: float, least: float
) -> tuple[Whole, Array]:
    """Shares of the rungs about each site of which the mean lies where the site does, as near as may be.

    Found by non-negative least squares: no rung counts less than nothing, so that no answer lies beyond those
    that were drawn. Of what fits alike, nearer rungs are taken.

    Parameters
    ----------
    sites, rungs : where they lie, in steps of the rule, shape (sites, axes) and (rungs, axes)
    among : numbers of the rungs that may count for each site
    nearest : most rungs that are tried for a site, the nearest ones
    pull : how much being far counts beside not fitting, a share of the distance
    least : shares below it are left out

    Returns
    -------
    numbers of rungs and their shares, the greatest first, both of shape (sites, most rungs of any site);
    shares add up to 1, and are 0 where a site has fewer
    """
    found = [_shares(at, rungs, own, nearest, pull, least) for at, own in zip(sites, among, strict=True)]
    most = max((len(numbers) for numbers, _ in found), default=1)
    numbers = np.zeros((len(found), most), dtype=np.int32)
    shares = np.zeros((len(found), most))
    for place, (own, share) in enumerate(found):
        numbers[place] = own[0]
        numbers[place, : len(own)], shares[place, : len(own)] = own, share
    return numbers, shares


def _shares(
    at: Array, rungs: Array, own: Whole, nearest: int, pull: float, least: float
) -> tuple[Whole, Array]:
    apart = rungs[own] - at
    away = np.sqrt((apart**2).sum(axis=1))
    close = np.argsort(away, kind="stable")[:nearest]
    if away[close[0]] == 0.0:
        return own[close[:1]], np.ones(1)
    wanted = np.vstack([apart[close].T, pull * np.diag(away[close]), np.full(len(close), _SUM_TO_ONE)])
    shares, _ = nnls(wanted, np.r_[np.zeros(len(wanted) - 1), _SUM_TO_ONE])
    shares[shares < min(least, shares.max()) * shares.sum()] = 0.0
    order = np.argsort(-shares, kind="stable")[: np.count_nonzero(shares)]
    return own[close[order]], shares[order] / shares.sum()
