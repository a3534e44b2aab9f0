"""Money at other times: present value under a real rate that may fall with the years."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem

__all__ = ["DiscountRate", "uniform_present_value"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class DiscountRate:
    """A real rate, in steps over the years (ISO 15686-5, ASTM E917).

    Attributes
    ----------
    steps : (year from which it holds, rate a year [-]); the first from year 0, years rising, rates above -1

    >>> declining = DiscountRate(((0.0, 0.035), (30.0, 0.03)))
    >>> round(1000 * float(declining.factor(40.0)), 1)
    265.1
    """

    steps: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        years = [year for year, _ in self.steps]
        if not self.steps or years[0] != 0.0 or any(b <= a for a, b in pairwise(years)):
            raise InputError(
                Problem("discount", self.steps, "must start at year 0 and rise from step to step.")
            )
        if any(not -1.0 < rate < 1.0 for _, rate in self.steps):
            raise InputError(Problem("discount", self.steps, "has a rate not between -1 and 1 a year."))

    @classmethod
    def flat(cls, rate: float) -> DiscountRate:
        """One rate [-] for all years.

        >>> round(1000 * float(DiscountRate.flat(0.07).factor(25.0)), 2)
        184.25
        """
        return cls(((0.0, rate),))

    def factor(self, years: ArrayLike) -> Array:
        """Present value of one unit of money paid at ages [years], zero or more; infinite ages give 0."""
        t = np.asarray(years, float)
        exponent = np.zeros_like(t)
        ends = [year for year, _ in self.steps[1:]] + [np.inf]
        for (start, rate), end in zip(self.steps, ends, strict=True):
            held = np.clip(t, start, end) - start
            if rate:  # a rate of zero over an endless time must not turn into 0 times infinity
                exponent = exponent + held * np.log1p(rate)
        return np.asarray(np.where(np.isinf(t), 0.0, np.exp(-exponent)))


def uniform_present_value(rate: DiscountRate, years: int) -> float:
    """Present value of one unit of money paid at the end of every year, so many times.

    >>> round(uniform_present_value(DiscountRate.flat(0.03), 25), 4)
    17.4131
    """
    return float(rate.factor(np.arange(1.0, years + 1.0)).sum())
