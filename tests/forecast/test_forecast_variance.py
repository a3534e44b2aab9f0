"""Variance shares against the Ishigami function, whose indices are known in closed form.

Ishigami and Homma (1990), a = 7, b = 0.1: first order 0.3139, 0.4424, 0; total 0.5576, 0.4424, 0.2437
(Saltelli et al., Global Sensitivity Analysis: The Primer, 2008).
"""

from __future__ import annotations

import numpy as np
import pytest

from longhold.forecast.variance import variance_shares


def ishigami(x):
    return np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0])


def test_ishigami():
    count = 100_000
    draw = lambda stream: np.random.default_rng([3, stream]).uniform(-np.pi, np.pi, (count, 3))  # noqa: E731
    found = {one.name: one for one in variance_shares("abc", ishigami, draw)}
    assert [found[n].alone for n in "abc"] == pytest.approx([0.3139, 0.4424, 0.0], abs=0.02)
    assert [found[n].with_others for n in "abc"] == pytest.approx([0.5576, 0.4424, 0.2437], abs=0.02)


def test_an_answer_that_does_not_vary_has_no_shares():
    found = variance_shares("ab", lambda x: np.ones(len(x)), lambda s: np.ones((50, 2)) * s)
    assert all(one.with_others == 0.0 for one in found)
