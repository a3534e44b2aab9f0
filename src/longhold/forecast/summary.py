"""Draws to what people read: three quantiles, curves, chances, the cause that matters most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from longhold.base.tables import load_toml

__all__ = [
    "BEYOND_YEARS",
    "Band",
    "Curve",
    "age_reached",
    "band_if_known",
    "band_of",
    "chance_of",
    "curve_of",
    "strongest_cause",
]

Array = NDArray[np.float64]
_ROUNDING = 1e-9

BEYOND_YEARS = float(load_toml("forecast/limits.toml")["beyond"]["years"])
"""Ages past this are told as "more than": no law here was ever checked against metal that old."""


@dataclass(frozen=True)
class Band:
    """P10, P50 and P90 of a quantity; infinite where it does not happen."""

    p10: float
    p50: float
    p90: float

    @property
    def width(self) -> float:
        """P90 less P10."""
        return self.p90 - self.p10


@dataclass(frozen=True)
class Curve:
    """A quantity against age [years] with its band."""

    years: tuple[float, ...]
    p10: tuple[float, ...]
    p50: tuple[float, ...]
    p90: tuple[float, ...]


def band_of(draws: Array) -> Band:
    """Quantiles of draws of shape (draws,); infinities are allowed and keep their rank."""
    ordered = np.sort(draws)
    low, middle, high = (float(_rank(ordered, share)) for share in (0.1, 0.5, 0.9))
    return Band(low, middle, high)


def curve_of(years: Array, draws: Array) -> Curve:
    """Quantiles by age of draws of shape (draws, ages)."""
    low, middle, high = np.quantile(draws, [0.1, 0.5, 0.9], axis=0)
    return Curve(*(tuple(float(v) for v in row) for row in (years, low, middle, high)))


def chance_of(years: Array, age: float) -> float:
    """Share of the draws whose end comes no earlier than an age: the chance of reaching it.

    An end at the very age counts as reached.

    >>> chance_of(np.array([40.0, 50.0, np.inf]), 50.0) == 2 / 3
    True
    """
    return float(np.mean(years >= age))


def age_reached(years: Array, chance: float) -> float:
    """The greatest age that is reached with at least some chance [years]; infinite where no draw ends.

    >>> age_reached(np.array([10.0, 20.0, 30.0, 40.0]), 0.75)
    20.0
    """
    count = len(years)
    needed = min(max(ceil(chance * count - _ROUNDING), 1), count)
    return float(np.partition(years, count - needed)[count - needed])


def strongest_cause(outcome: Array, causes: Mapping[str, Array]) -> tuple[str, float] | None:
    """The cause whose rank goes best with the rank of an outcome, and the share of variance it explains.

    The share is the squared rank correlation: a screen for monotone effects, not a full variance
    decomposition. None where the outcome does not vary.
    """
    if not causes or np.all(outcome == outcome[0]):
        return None
    ranked = _ranks(outcome)
    shares = {name: _squared_correlation(ranked, _ranks(draws)) for name, draws in causes.items()}
    name = max(shares, key=lambda cause: shares[cause])
    return name, shares[name]


def band_if_known(outcome: Array, cause: Array, slices: int = 10) -> Band:
    """The band that would be left if a cause were known, averaged over where it may lie.

    Draws are sorted by the cause and cut into slices; each slice's own quantiles are averaged. A quantile
    that is infinite in any slice stays infinite.
    """
    order = np.argsort(cause, kind="stable")
    bands = [band_of(outcome[part]) for part in np.array_split(order, slices)]
    return Band(*(float(np.mean([getattr(b, q) for b in bands])) for q in ("p10", "p50", "p90")))


def _rank(ordered: Array, share: float) -> float:
    position = share * (len(ordered) - 1)
    below, above = int(np.floor(position)), int(np.ceil(position))
    if below == above or ordered[below] == ordered[above]:
        return float(ordered[below])
    return float(ordered[below] + (position - below) * (ordered[above] - ordered[below]))


def _ranks(values: Array) -> Array:
    order = np.argsort(values, kind="stable")
    ranks = np.empty(len(values))
    ranks[order] = np.arange(len(values))
    _, inverse, counts = np.unique(values, return_inverse=True, return_counts=True)
    mean_rank = np.bincount(inverse, weights=ranks) / counts
    return np.asarray(mean_rank[inverse])


def _squared_correlation(a: Array, b: Array) -> float:
    a, b = a - a.mean(), b - b.mean()
    scale = float(np.sqrt((a @ a) * (b @ b)))
    return 0.0 if scale == 0 else float((a @ b) / scale) ** 2
