"""Random series with a memory, made quickly."""

from __future__ import annotations

import numpy as np

from longhold.air.metals import Array

__all__ = ["with_memory"]

_BLOCK = 64


def with_memory(rng: np.random.Generator, length: int, correlation: float) -> Array:
    """A stationary standard normal series, x[i] = correlation x[i-1] + sqrt(1 - correlation^2) noise.

    Made block by block with one triangular product, so that only every 64th step is a step of Python.

    Parameters
    ----------
    rng : random generator, passed in
    length : number of values
    correlation : correlation with the value before, 0 up to but not 1

    >>> x = with_memory(np.random.default_rng(1), 50_000, 0.8)
    >>> round(float(np.corrcoef(x[1:], x[:-1])[0, 1]), 1)
    0.8
    """
    blocks = -(-length // _BLOCK)
    noise = np.sqrt(1.0 - correlation**2) * rng.standard_normal((blocks, _BLOCK))
    step = np.subtract.outer(np.arange(_BLOCK), np.arange(_BLOCK))
    kernel = np.where(step >= 0, correlation ** np.maximum(step, 0), 0.0)
    # no matrix product: its last digits hang on the number of threads, and results are to be the same bytes
    within = np.einsum("ij,kj->ik", noise, kernel)
    fade = correlation ** np.arange(1, _BLOCK + 1)
    carried = np.empty(blocks)
    last = float(rng.standard_normal())
    for block in range(blocks):
        carried[block] = last
        last = float(within[block, -1] + fade[-1] * last)
    return np.asarray((within + carried[:, None] * fade).ravel()[:length])
