"""Draws of the causes as readings leave them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from longhold.forecast.causes import CauseKey, Causes, Learned
from longhold.inspect.expected import Forward
from longhold.inspect.likelihood import log_likelihood
from longhold.inspect.observed import Observed, OnPart
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
    forward.computed(first)
    for one in forward.observed:
        gauge_error(one, first)
    keys = sorted(first.used)  # met in the order of a set of parts, which differs from process to process
    start = np.stack([first.used[key] for key in keys], axis=1)

    def fit(cloud: Array) -> Array:
        return _fit(forward, keys, cloud)

    generator = np.random.default_rng(_entropy(forward.observed, first.seed))
    tempered = temper(fit, len(keys), draws=first.count, generator=generator, start=start)
    on_parts = (one for one in forward.observed if isinstance(one, OnPart))
    own_keys = {one.joint.id: one.own_key for one in on_parts if one.joint.quantity == 1}
    return Learned({key: tempered.draws[:, i] for i, key in enumerate(keys)}, own_keys), tempered


def gauge_error(one: Observed, causes: Causes) -> Array | float:
    """Standard normal error that all readings of one gauge share; none for a grade or a year of salt."""
    if not isinstance(one, OnPart) or one.reading.value is None:
        return 0.0
    return causes.normal(_GAUGE, one.gauge)


def _fit(forward: Forward, keys: Sequence[CauseKey], cloud: Array) -> Array:
    causes = Causes(0, len(cloud), {key: cloud[:, i] for i, key in enumerate(keys)})
    total = np.zeros(len(cloud))
    for one, expected in zip(forward.observed, forward.computed(causes), strict=True):
        total += log_likelihood(one, expected, gauge_error(one, causes))
    return total


def _entropy(observed: Sequence[Observed], seed: int) -> np.random.SeedSequence:
    words = "|".join(one.reading.model_dump_json() for one in observed)
    digest = np.frombuffer(hashlib.sha256(words.encode()).digest(), dtype=np.uint32)
    return np.random.SeedSequence([seed, *digest.tolist()])
