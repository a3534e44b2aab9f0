"""Draws of the causes as readings leave them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from longhold.forecast.causes import CauseKey, Causes, Learned
from longhold.inspect.expected import Forward
from longhold.inspect.likelihood import log_likelihood
from longhold.inspect.observed import Observed
from longhold.inspect.tempering import Tempered, temper

__all__ = ["corrected", "gauge_error"]

Array = NDArray[np.float64]
_GAUGE = "gauge"


def corrected(forward: Forward, first: Causes) -> tuple[Learned, Tempered]:
    """Let readings correct the draws of the causes that they bear on.

    Parameters
    ----------
    forward : to each reading, all of them computed
    first : the draws before them
    """
    forward.expected(first)
    for one in forward.observed:
        gauge_error(one, first)
    keys = list(first.used)
    start = np.stack([first.used[key] for key in keys], axis=1)

    def fit(cloud: Array) -> Array:
        return _fit(forward, keys, cloud)

    generator = np.random.default_rng(_entropy(forward.observed, first.seed))
    tempered = temper(fit, len(keys), draws=first.count, generator=generator, start=start)
    own = [one for one in forward.observed if one.joint is not None and one.joint.quantity == 1]
    learned = Learned(
        {key: tempered.draws[:, i] for i, key in enumerate(keys)},
        {one.joint.id: one.own_key for one in own if one.joint is not None},
    )
    return learned, tempered


def gauge_error(one: Observed, causes: Causes) -> Array | float:
    """Standard normal error that all readings of one gauge share; none where each is a measurement of its own."""
    if one.joint is None or one.reading.value is None:
        return 0.0
    return causes.normal(_GAUGE, one.gauge)


def _fit(forward: Forward, keys: Sequence[CauseKey], cloud: Array) -> Array:
    causes = Causes(0, len(cloud), {key: cloud[:, i] for i, key in enumerate(keys)})
    total = np.zeros(len(cloud))
    for one, expected in zip(forward.observed, forward.expected(causes), strict=True):
        assert expected is not None
        total += log_likelihood(one, expected, gauge_error(one, causes))
    return total


def _entropy(observed: Sequence[Observed], seed: int) -> np.random.SeedSequence:
    words = "|".join(one.reading.model_dump_json() for one in observed)
    digest = np.frombuffer(hashlib.sha256(words.encode()).digest(), dtype=np.uint32)
    return np.random.SeedSequence([seed, *digest.tolist()])
