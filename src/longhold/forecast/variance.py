"""Which input explains the spread of an answer: variance-based shares."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["VarianceShare", "variance_shares"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class VarianceShare:
    """Share of an answer's variance that one input carries.

    Attributes
    ----------
    name : of the input
    alone : first-order share: what knowing it would take away on average
    with_others : total share: with every interaction it takes part in
    """

    name: str
    alone: float
    with_others: float


def variance_shares(
    names: Sequence[str], answer: Callable[[Array], Array], draw: Callable[[int], Array]
) -> tuple[VarianceShare, ...]:
    """First-order and total shares of the variance of an answer, largest total first.

    Two independent samples A and B of the inputs; A with one column from B for each input. First order by
    Saltelli (2010), total by Jansen (1999): V_i = mean(f_B (f_ABi - f_A)), T_i = mean((f_A - f_ABi)^2) / 2.

    Parameters
    ----------
    names : of the inputs, in the order of the columns
    answer : from inputs of shape (count, inputs) to values of shape (count,)
    draw : from a stream number to independent inputs of shape (count, inputs); the error of a share is
        about 1/sqrt(count)
    """
    a, b = draw(0), draw(1)
    f_a, f_b = answer(a), answer(b)
    variance = float(np.var(np.concatenate([f_a, f_b])))
    found = []
    for column, name in enumerate(names):
        mixed = a.copy()
        mixed[:, column] = b[:, column]
        f_mixed = answer(mixed)
        alone = float(np.mean(f_b * (f_mixed - f_a))) / variance if variance else 0.0
        total = float(np.mean((f_a - f_mixed) ** 2)) / 2.0 / variance if variance else 0.0
        found.append(VarianceShare(name, min(max(alone, 0.0), 1.0), min(max(total, 0.0), 1.0)))
    return tuple(sorted(found, key=lambda one: -one.with_others))
