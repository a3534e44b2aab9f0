"""What one joint costs over the design life after it is built, draw by draw (ISO 15686-5)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.choose.money import DiscountRate

__all__ = ["LaterCosts", "later_cost"]

Array = NDArray[np.float64]
_MOST_RENEWALS = 400


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


def later_cost(life_years: Array, costs: LaterCosts, rate: DiscountRate, horizon_years: float) -> Array:
    """Present value of what a joint costs after it is built, shape (draws,).

    The joint is renewed with the same hardware each time its life ends before the horizon; the renewed one
    lasts as long as the first in the same draw.

    Parameters
    ----------
    life_years : when the deciding end comes, by draw [years]; infinite where it does not
    costs : of one joint
    rate : real discount rate
    horizon_years : over which costs count, usually the design life

    >>> import numpy as np
    >>> costs = LaterCosts(renewal=100.0)
    >>> later_cost(np.array([20.0, np.inf]), costs, DiscountRate.flat(0.0), 50.0).tolist()
    [200.0, 0.0]
    """
    life = np.maximum(np.asarray(life_years, float), horizon_years / _MOST_RENEWALS)
    end = costs.renewal + costs.unnoticed * costs.failure
    total = np.zeros_like(life)
    shortest = float(np.min(life, initial=np.inf))
    count = 0 if not np.isfinite(shortest) else int(min(horizon_years / shortest, _MOST_RENEWALS))
    for times in range(1, count + 1):
        when = np.where(life * times < horizon_years, life * times, np.inf)
        total += end * rate.factor(when)
    if costs.visit_every_years > 0:
        visits = np.arange(costs.visit_every_years, horizon_years, costs.visit_every_years)
        total += costs.visit * float(rate.factor(visits).sum())
    return np.asarray(total)
