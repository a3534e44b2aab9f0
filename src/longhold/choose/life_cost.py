"""What one joint costs over the design life after it is built, draw by draw (ISO 15686-5)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.choose.money import DiscountRate
from longhold.choose.thresholds import threshold

__all__ = ["LaterCosts", "later_cost", "present_ends", "present_visits"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LaterCosts:
    """What later years cost at one joint, in one currency, in money of today.

    Attributes
    ----------
    renewal : taking the joint apart and fixing it anew, material included
    visit : one inspection
    visit_every_years : between inspections; 0 for none
    failure : what an end that nobody noticed in time costs
    unnoticed : share of ends that nobody notices in time, 0 to 1
    """

    renewal: float
    visit: float = 0.0
    visit_every_years: float = 0.0
    failure: float = 0.0
    unnoticed: float = 0.0

    @property
    def expected_failure(self) -> float:
        """What failures cost at each end on average."""
        return self.unnoticed * self.failure


def present_ends(life_years: Array, rate: DiscountRate, horizon_years: float) -> Array:
    """How many ends of life come before a horizon, each counted by its present value, shape (draws,).

    The joint is renewed with the same hardware each time its life ends before the horizon; the renewed one
    lasts as long as the first in the same draw. What is left of the last one at the horizon counts nothing.

    >>> present_ends(np.array([20.0, np.inf]), DiscountRate.flat(0.0), 50.0).tolist()
    [2.0, 0.0]
    """
    most = threshold("most_renewals")
    life = np.maximum(np.asarray(life_years, float), horizon_years / most)
    total = np.zeros_like(life)
    shortest = float(np.min(life, initial=np.inf))
    count = 0 if not np.isfinite(shortest) else int(min(horizon_years / shortest, most))
    for times in range(1, count + 1):
        when = life * times
        early = when < horizon_years
        total[early] += rate.factor(when[early])
    return np.asarray(total)


def present_visits(every_years: float, rate: DiscountRate, horizon_years: float) -> float:
    """How many inspections come before a horizon, each by its present value; 0 where none are made."""
    if every_years <= 0:
        return 0.0
    return float(rate.factor(np.arange(every_years, horizon_years, every_years)).sum())


def later_cost(life_years: Array, costs: LaterCosts, rate: DiscountRate, horizon_years: float) -> Array:
    """Present value of what a joint costs after it is built, shape (draws,).

    Parameters
    ----------
    life_years : when the deciding end comes, by draw [years]; infinite where it does not
    costs : of one joint
    rate : real discount rate
    horizon_years : over which costs count (the period of analysis), usually the design life

    >>> costs = LaterCosts(renewal=100.0)
    >>> later_cost(np.array([20.0, np.inf]), costs, DiscountRate.flat(0.0), 50.0).tolist()
    [200.0, 0.0]
    """
    ends = present_ends(life_years, rate, horizon_years)
    visits = costs.visit * present_visits(costs.visit_every_years, rate, horizon_years)
    return np.asarray((costs.renewal + costs.expected_failure) * ends + visits)
