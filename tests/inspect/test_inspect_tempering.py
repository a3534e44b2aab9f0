"""The sampler against a closed form and against a general sampler."""

from __future__ import annotations

import emcee
import numpy as np
import pytest
from numpy.typing import NDArray

from longhold.inspect.tempering import temper

Array = NDArray[np.float64]


def test_linear_readings_give_the_conjugate_normal() -> None:
    """Closed form: normal causes, linear readings with normal errors (Bishop 2006, section 3.3)."""
    generator = np.random.default_rng(1)
    causes, readings, sd = 12, 8, 0.4
    slopes = generator.standard_normal((readings, causes)) / 2.0
    read = slopes @ generator.standard_normal(causes) + sd * generator.standard_normal(readings)

    def fit(cloud: Array) -> Array:
        apart = ((cloud @ slopes.T - read) / sd) ** 2
        return np.asarray(-0.5 * apart.sum(axis=1) - readings * np.log(sd * np.sqrt(2.0 * np.pi)))

    spread = np.linalg.inv(np.eye(causes) + slopes.T @ slopes / sd**2)
    middle = spread @ slopes.T @ read / sd**2
    marginal = slopes @ slopes.T + sd**2 * np.eye(readings)
    log_evidence = -0.5 * (
        read @ np.linalg.solve(marginal, read)
        + np.linalg.slogdet(marginal)[1]
        + readings * np.log(2.0 * np.pi)
    )
    found = temper(fit, causes, draws=4000, generator=np.random.default_rng(2))
    sds = np.sqrt(np.diag(spread))
    assert (found.draws.mean(axis=0) - middle) / sds == pytest.approx(0.0, abs=0.1)
    assert found.draws.std(axis=0) / sds == pytest.approx(1.0, abs=0.06)
    apart = np.corrcoef(found.draws, rowvar=False) - spread / np.outer(sds, sds)
    assert np.abs(apart).max() < 0.08
    assert found.log_evidence == pytest.approx(log_evidence, abs=0.5)
    assert found.distinct > 0.9


def test_bent_readings_give_what_a_general_sampler_gives() -> None:
    """Against emcee's affine-invariant ensemble: a reading that saturates, and a switch between two laws."""

    def fit(cloud: Array) -> Array:
        rate = np.exp(0.5 * cloud[:, 0] + 0.3 * cloud[:, 1])
        left = np.maximum(20.0 - 8.0 * rate * np.where(cloud[:, 2] > 0.3, 1.6, 1.0), 0.0)
        return np.asarray(-0.5 * ((left - 4.0) / 2.0) ** 2)

    found = temper(fit, 3, draws=4000, generator=np.random.default_rng(3)).draws

    def log_density(cloud: Array) -> Array:
        return np.asarray(fit(cloud) - 0.5 * (cloud**2).sum(axis=1))

    walkers = 60
    sampler = emcee.EnsembleSampler(walkers, 3, log_density, vectorize=True)
    sampler.random_state = np.random.RandomState(4).get_state()
    sampler.run_mcmc(np.random.default_rng(5).standard_normal((walkers, 3)), 3000)
    general = sampler.get_chain(discard=500, thin=10, flat=True)
    shares = (0.1, 0.5, 0.9)
    assert np.quantile(found, shares, axis=0) == pytest.approx(np.quantile(general, shares, axis=0), abs=0.1)


def test_readings_that_say_nothing_leave_the_draws_as_they_are() -> None:
    start = np.random.default_rng(6).standard_normal((500, 3))
    generator = np.random.default_rng(7)
    found = temper(lambda cloud: np.zeros(len(cloud)), 3, draws=500, generator=generator, start=start)
    assert found.log_evidence == pytest.approx(0.0, abs=1e-12)
    assert found.draws.mean(axis=0) == pytest.approx(0.0, abs=0.15)
    assert found.draws.std(axis=0) == pytest.approx(1.0, abs=0.1)
