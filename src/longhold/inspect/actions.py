"""What may be done with a joint that stands: what it costs, draw by draw, and how safe it is until then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from longhold.choose.money import DiscountRate
from longhold.forecast.scatter import film_rows
from longhold.inspect.lives import JointLife
from longhold.inspect.spreads import spread
from longhold.model.costs import Costs

__all__ = ["ACTION_WORDS", "Action", "Prospect", "prospect"]

Array = NDArray[np.float64]
Action = Literal["keep", "paint", "strengthen", "renew_now", "renew_next"]
ACTION_WORDS: Mapping[Action, str] = {
    "keep": "keep until the next visit",
    "paint": "clean and paint with zinc-rich paint now",
    "strengthen": "add new hardware beside the old now",
    "renew_now": "renew now",
    "renew_next": "renew at the next visit",
}
_SHORTEST_SHARE = 1 / 200


@dataclass(frozen=True)
class Prospect:
    """One joint at a date, with what may be done.

    Attributes
    ----------
    life : of the joint
    below_now, below_next : chance that its end has come, and that it will have by the next visit if it is
        kept; None where none is computed
    costs : of each thing that may be done, present value for one joint by draw; empty where none is computed
    below : chance that its end comes before the next visit, for each of them
    """

    life: JointLife
    below_now: float | None
    below_next: float | None
    costs: Mapping[Action, Array]
    below: Mapping[Action, float]


def prospect(life: JointLife, age: float, next_years: float, horizon_years: float, costs: Costs) -> Prospect:
    """What may be done with a joint at some age, what it costs up to a horizon, and how safe it is.

    Renewed hardware is like the old and lasts as long in the same draw. An end that has come already is found
    at the next visit; each end goes unnoticed with the share and the cost that are stated.

    Parameters
    ----------
    age : of the structure [years]
    next_years : from then to the next visit [years]
    horizon_years : from then, over which costs count [years]
    """
    if life.years is None:
        return Prospect(life, None, None, {}, {})
    left = np.maximum(life.years - age, 0.0)
    reach = float(getattr(costs.access, life.joint.access))
    ends = _Ends(
        life.years, horizon_years, DiscountRate.flat(costs.rate), costs.labor_per_joint * reach, costs
    )
    met = np.where(left > 0.0, left, next_years)
    found: dict[Action, Array] = {"keep": ends.cost(met)}
    below: dict[Action, float] = {"keep": _share(left <= next_years)}
    if life.paint_helps:
        longer = np.where(left > 0.0, left + film_rows()["air"]["median_years"], 0.0)
        found["paint"] = spread("paint_labor") * ends.renewal + ends.cost(
            np.where(longer > 0.0, longer, next_years)
        )
        below["paint"] = _share(longer <= next_years)
    if costs.fixing_per_joint > 0.0:
        found["strengthen"] = costs.fixing_per_joint * reach + ends.cost(life.years)
        below["strengthen"] = _share(life.years <= next_years)
    found["renew_now"] = ends.renewal + ends.cost(life.years)
    below["renew_now"] = _share(life.years <= next_years)
    found["renew_next"] = ends.renewed_after(next_years, left)
    below["renew_next"] = below["keep"]
    return Prospect(life, _share(left <= 0.0), below["keep"], found, below)


@dataclass(frozen=True)
class _Ends:
    """Renewing with the same hardware at every end up to a horizon."""

    life_years: Array
    horizon_years: float
    rate: DiscountRate
    renewal: float
    costs: Costs

    @property
    def unnoticed(self) -> float:
        return self.costs.unnoticed * self.costs.failure

    def cost(self, first_years: Array) -> Array:
        """Present value of all ends before the horizon.

        Parameters
        ----------
        first_years : from the date to the first end that is met [years]
        """
        life = np.maximum(self.life_years, _SHORTEST_SHARE * self.horizon_years)
        total, when = np.zeros_like(life), np.array(first_years)
        while np.any(early := when < self.horizon_years):
            total[early] += (self.renewal + self.unnoticed) * self.rate.factor(when[early])
            when = when + life
        return total

    def renewed_after(self, next_years: float, left_years: Array) -> Array:
        """The same with a renewal at the next visit, whatever happens before it."""
        before = np.where(left_years <= next_years, self.unnoticed * self.rate.factor(left_years), 0.0)
        renewed = self.renewal * float(self.rate.factor(next_years))
        return np.asarray(before + renewed + self.cost(next_years + self.life_years))


def _share(which: NDArray[np.bool_]) -> float:
    return float(np.mean(which))
