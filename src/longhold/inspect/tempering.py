"""Draws of what readings leave of standard normal causes, by importance sampling in small steps.

The cloud starts as the draws of the forecast. The readings are let in little by little; after each step draws
are weighted and picked again, then moved so that copies part. Moves are proposals that keep a normal
distribution as it is (preconditioned Crank-Nicolson), fitted to the cloud, and accepted by Metropolis and
Hastings' rule, so that every step leaves the draws distributed as it should.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular
from scipy.optimize import brentq

__all__ = ["Tempered", "temper"]

Array = NDArray[np.float64]
LogLikelihood = Callable[[Array], Array]

_KEPT_SHARE = 0.5
_STEPS = (1.0, 0.5, 0.2)
_UNMOVED, _UNMOVED_AT_LAST, _MOST_MOVES = 0.25, 0.05, 60
_RIDGE = 1e-3


@dataclass(frozen=True)
class Tempered:
    """Draws as the readings leave them.

    Attributes
    ----------
    draws : shape (draws, causes)
    log_likelihood : of each draw
    log_evidence : logarithm of the chance of the readings, over all draws before them
    stages : steps in which the readings were let in
    accepted : share of the moves of the last stage that were accepted
    distinct : share of the draws that differ from all others
    """

    draws: Array
    log_likelihood: Array
    log_evidence: float
    stages: int
    accepted: float
    distinct: float


def temper(
    log_likelihood: LogLikelihood,
    causes: int,
    *,
    draws: int,
    generator: np.random.Generator,
    start: Array | None = None,
) -> Tempered:
    """Draw standard normal causes as readings leave them.

    Parameters
    ----------
    log_likelihood : of draws of shape (n, causes), each finite
    causes : number of them, 1 or more
    draws : in the cloud; ten for each cause and more
    start : draws before the readings, shape (draws, causes); None draws them

    Source: Del Moral, Doucet and Jasra 2006 (tempering); Cotter, Roberts, Stuart and White 2013 (moves).
    """
    cloud = generator.standard_normal((draws, causes)) if start is None else np.array(start)
    fit = log_likelihood(cloud)
    heat, log_evidence, stages, accepted = 0.0, 0.0, 0, 1.0
    gains = dict.fromkeys(_STEPS, np.inf)
    while heat < 1.0:
        rise = _next_rise(fit, heat)
        log_weights = rise * fit
        log_evidence += float(np.logaddexp.reduce(log_weights) - np.log(draws))
        heat = min(heat + rise, 1.0)
        picked = _picked(log_weights, generator)
        cloud, fit = cloud[picked], fit[picked]
        stages += 1
        unmoved = 1.0
        for _ in range(_MOST_MOVES):
            step = max(gains, key=lambda one: gains[one])
            cloud, fit, accepted = _moved(cloud, fit, heat, step, log_likelihood, generator)
            gains[step] = accepted * step**2
            unmoved *= 1.0 - gains[step]
            if unmoved <= (_UNMOVED if heat < 1.0 else _UNMOVED_AT_LAST):
                break
    distinct = len(np.unique(cloud, axis=0)) / draws
    return Tempered(cloud, fit, log_evidence, stages, accepted, distinct)


def _next_rise(fit: Array, heat: float) -> float:
    """How far the readings may be let in further so that half of the draws still count."""
    rest = 1.0 - heat

    def short(rise: float) -> float:
        log_weights = rise * fit
        counted = 2.0 * np.logaddexp.reduce(log_weights) - np.logaddexp.reduce(2.0 * log_weights)
        return float(np.exp(counted)) / len(fit) - _KEPT_SHARE

    return rest if short(rest) >= 0.0 else float(brentq(short, 0.0, rest))


def _picked(log_weights: Array, generator: np.random.Generator) -> NDArray[np.intp]:
    weights = np.exp(log_weights - np.logaddexp.reduce(log_weights))
    count = len(weights)
    marks = (generator.random() + np.arange(count)) / count
    return np.minimum(np.searchsorted(np.cumsum(weights), marks), count - 1)


def _moved(
    cloud: Array,
    fit: Array,
    heat: float,
    step: float,
    log_likelihood: LogLikelihood,
    generator: np.random.Generator,
) -> tuple[Array, Array, float]:
    count, causes = cloud.shape
    middle = cloud.mean(axis=0)
    # the ridge toward the draws before the readings keeps directions that few draws span
    spread = (1.0 - _RIDGE) * np.atleast_2d(np.cov(cloud, rowvar=False)) + _RIDGE * np.eye(causes)
    root = cholesky(spread, lower=True)
    noise = generator.standard_normal(cloud.shape) @ root.T
    proposed = middle + np.sqrt(1.0 - step**2) * (cloud - middle) + step * noise
    proposed_fit = log_likelihood(proposed)
    gain = heat * (proposed_fit - fit) + _excess(proposed, middle, root) - _excess(cloud, middle, root)
    taken = np.log(generator.random(count)) < gain
    moved = np.where(taken[:, None], proposed, cloud)
    return moved, np.where(taken, proposed_fit, fit), float(taken.mean())


def _excess(cloud: Array, middle: Array, root: Array) -> Array:
    """Log density before the readings, less that of the normal distribution that the moves keep."""
    apart = solve_triangular(root, (cloud - middle).T, lower=True)
    return np.asarray(0.5 * (apart**2).sum(axis=0) - 0.5 * (cloud**2).sum(axis=1))
