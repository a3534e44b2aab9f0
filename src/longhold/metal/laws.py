"""Loss of metal over the years: a power of time, straight on after a stated age."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["TimeLaw"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TimeLaw:
    """Depth lost D(t) = r t^b up to an age, then straight on at the slope reached there.

    ISO 9224 has this form for open air with the age 20 years; embedded metal uses it with no such
    age (infinity), where b = 1 is the linear law and b < 1 the power law.

    Attributes
    ----------
    first_year_um : r, loss in the first year [um], shape (draws,) or a number, not negative
    exponent : b [-], in (0, 1], same shape
    straight_after_years : age at which the law goes straight [years], more than 0, may be infinite

    >>> law = TimeLaw(2.0, 0.5, 20.0)
    >>> float(law.loss_um(4.0))
    4.0
    >>> float(law.years_to(4.0))
    4.0
    """

    first_year_um: ArrayLike
    exponent: ArrayLike
    straight_after_years: float

    def loss_um(self, years: ArrayLike) -> Array:
        """Depth lost [um] at ages [years]; ages below zero lose nothing. Shapes broadcast."""
        r, b = np.asarray(self.first_year_um, float), np.asarray(self.exponent, float)
        t = np.maximum(np.asarray(years, float), 0.0)
        curved = r * np.minimum(t, self.straight_after_years) ** b
        if np.isinf(self.straight_after_years):
            return np.asarray(curved)
        return np.asarray(curved + self._slope(r, b) * np.maximum(t - self.straight_after_years, 0.0))

    def years_to(self, loss_um: ArrayLike) -> Array:
        """Age [years] at which a depth [um] is lost; infinite where nothing is lost. Shapes broadcast."""
        r, b = np.asarray(self.first_year_um, float), np.asarray(self.exponent, float)
        depth = np.asarray(loss_um, float)
        with np.errstate(divide="ignore", invalid="ignore"):
            curved = np.where(depth <= 0, 0.0, (depth / r) ** (1.0 / b))
            if np.isinf(self.straight_after_years):
                return np.asarray(curved)
            at_kink = r * self.straight_after_years**b
            straight = self.straight_after_years + (depth - at_kink) / self._slope(r, b)
            return np.asarray(np.where(depth <= at_kink, curved, np.where(r > 0, straight, np.inf)))

    def scaled(self, factor: ArrayLike) -> TimeLaw:
        """The same law with its first-year loss multiplied."""
        return TimeLaw(np.asarray(self.first_year_um) * factor, self.exponent, self.straight_after_years)

    def _slope(self, r: Array, b: Array) -> Array:
        return np.asarray(r * b * self.straight_after_years ** (b - 1.0))
