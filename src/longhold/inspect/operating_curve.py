"""How likely a plan accepts a lot: against the share of bad pieces, and against the true mean."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from longhold.inspect.acceptance import Gauge, Limits

__all__ = ["BadPieces", "MeanCurve", "bad_pieces", "chance_by_bad", "chance_by_mean", "mean_curve"]

Array = NDArray[np.float64]
_CELLS = 4096
_REACH = 7.0


@dataclass(frozen=True)
class BadPieces:
    """Chance that no bad piece is among those measured.

    Attributes
    ----------
    lot, pieces : in the lot, and measured
    bad : bad pieces in the lot
    chance : that the sample holds none of them
    """

    lot: int
    pieces: int
    bad: NDArray[np.int64]
    chance: Array

    @property
    def share(self) -> Array:
        """Share of bad pieces in the lot."""
        return np.asarray(self.bad / self.lot)


@dataclass(frozen=True)
class MeanCurve:
    """What becomes of a lot against its true mean.

    Attributes
    ----------
    mean_um : true mean of the lot [um]
    by_rule : chance that the standard's rule is met by readings without error
    accepted : chance that it is met whatever the gauge's error is
    not_refused : chance that it is not missed for certain; between the two it is measured again
    spread_share : standard deviation between pieces over the mean
    measured : whether the spread was measured; else it is assumed
    """

    mean_um: Array
    by_rule: Array
    accepted: Array
    not_refused: Array
    spread_share: float
    measured: bool

    def at(self, mean_um: float) -> tuple[float, float, float]:
        """Chances at a true mean [um]: by the rule, accepted, not refused."""
        by_rule, accepted, not_refused = (
            float(np.interp(mean_um, self.mean_um, one))
            for one in (self.by_rule, self.accepted, self.not_refused)
        )
        return by_rule, accepted, not_refused

    def mean_at(self, chance: float) -> float | None:
        """True mean at which a lot is accepted with a chance; None where the curve does not reach it."""
        above = np.nonzero(self.accepted >= chance)[0]
        if not len(above) or above[0] == 0:
            return None
        at = above[0]
        pair = slice(at - 1, at + 1)
        return float(np.interp(chance, self.accepted[pair], self.mean_um[pair]))


def chance_by_bad(lot: int, pieces: int, bad: Array | NDArray[np.int64], allowed: int = 0) -> Array:
    """Chance that at most so many bad pieces are among those drawn: hypergeometric.

    Parameters
    ----------
    lot, pieces : in the lot; drawn without putting back, at most the lot
    bad : bad pieces in the lot, 0 to the lot
    allowed : bad pieces with which a sample still passes

    >>> round(float(chance_by_bad(10, 2, np.array([3]))[0]), 4)
    0.4667
    """
    from scipy.stats import hypergeom

    return np.asarray(hypergeom.cdf(allowed, lot, np.asarray(bad), pieces), float)


def bad_pieces(lot: int, pieces: int) -> BadPieces:
    """The chance over shares from none to all; whole pieces, each once."""
    bad = np.unique(np.round(np.linspace(0.0, 1.0, 101) * lot).astype(np.int64))
    return BadPieces(lot, pieces, bad, chance_by_bad(lot, pieces, bad))


def chance_by_mean(
    pieces: int, mean_um: float, spread_um: float, mean_limit_um: float, each_limit_um: float
) -> float:
    """Chance that the mean of some pieces reaches one limit, and every one of them another.

    Parameters
    ----------
    pieces : measured, 1 or more
    mean_um, spread_um : of the pieces of the lot, which are taken as normal [um]; spread over 0
    mean_limit_um, each_limit_um : that mean and single pieces must reach [um]

    Notes
    -----
    The density of one piece, cut off at its limit, is folded with itself as often as there are pieces; what
    lies above the limit of their sum is the chance.

    >>> round(chance_by_mean(1, 50.0, 5.0, 50.0, 40.0), 3)
    0.5
    >>> round(chance_by_mean(4, 50.0, 5.0, 50.0, 0.0), 3)
    0.5
    """
    from scipy.stats import norm

    start = max(each_limit_um, mean_um - _REACH * spread_um)
    end = mean_um + _REACH * spread_um
    if start >= end:
        return 0.0
    edges = np.linspace(start, end, _CELLS + 1)
    mass = np.diff(norm.cdf(edges, mean_um, spread_um))
    size = pieces * _CELLS
    width = edges[1] - edges[0]
    length = 1 << int(np.ceil(np.log2(size + 1)))
    summed = np.fft.irfft(np.fft.rfft(mass, length) ** pieces, length)[: size - pieces + 1]
    least = (pieces * mean_limit_um - pieces * (start + 0.5 * width)) / width
    whole = int(np.ceil(least - 0.5))
    if whole >= len(summed):
        return 0.0
    if whole < 0:
        return float(np.clip(summed.sum(), 0.0, 1.0))
    share = whole + 0.5 - least  # of the cell that the limit cuts
    return float(np.clip(summed[whole + 1 :].sum() + share * summed[whole], 0.0, 1.0))


def mean_curve(
    pieces: int, limits: Limits, gauge: Gauge, *, spread_share: float, measured: bool, points: int = 81
) -> MeanCurve:
    """The chances over true means about the limit.

    Parameters
    ----------
    pieces : measured
    spread_share : standard deviation between pieces over the mean, more than 0
    measured : whether the spread was measured
    """
    means = np.linspace(0.6, 1.6, points) * limits.mean_um
    each = limits.each_um or 0.0
    fails, passes = gauge.bounds(limits.mean_um)
    each_fails, each_passes = gauge.bounds(each) if each else (0.0, 0.0)

    def along(mean_limit: float, each_limit: float) -> Array:
        return np.array(
            [chance_by_mean(pieces, one, spread_share * one, mean_limit, each_limit) for one in means]
        )

    return MeanCurve(
        means,
        along(limits.mean_um, each),
        along(passes, each_passes),
        along(fails, each_fails),
        spread_share,
        measured,
    )
