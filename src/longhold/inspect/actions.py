"""What may be done with a joint that stands: what it costs, draw by draw, and how safe it is until then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from longhold.choose.money import DiscountRate
from longhold.inspect.lives import JointLife
from longhold.inspect.spreads import spread
from longhold.inspect.thresholds import threshold
from longhold.model.costs import Costs

__all__ = ["ACTION_WORDS", "Action", "Prospect", "prospect"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Action = Literal["keep", "paint", "strengthen", "renew_now", "renew_next"]
ACTION_WORDS: Mapping[Action, str] = {
    "keep": "keep until the next visit",
    "paint": "clean and paint with zinc-rich paint now",
    "strengthen": "add new hardware beside the old now",
    "renew_now": "renew now",
    "renew_next": "renew at the next visit",
}


@dataclass(frozen=True)
class Prospect:
    """One joint at a date, with what may be done.

    Attributes
    ----------
    life : of the joint
    ended_now : whether its end has come, by draw; None where none is computed
    below_load : whether it is below its stated load now, by draw; None where none is held against it
    costs : of each thing that may be done, present value for one joint by draw; empty where none is computed
    ended : whether its end comes before the next visit, by draw, for each of them
    """

    life: JointLife
    ended_now: Flags | None
    below_load: Flags | None
    costs: Mapping[Action, Array]
    ended: Mapping[Action, Flags]

    @property
    def below_now(self) -> float | None:
        """Chance that its end has come; None where none is computed."""
        return None if self.ended_now is None else _share(self.ended_now)

    @property
    def below_load_now(self) -> float | None:
        """Chance that it is below its stated load; None where none is held against it."""
        return None if self.below_load is None else _share(self.below_load)

    @property
    def below_next(self) -> float | None:
        """Chance that its end will have come by the next visit if it is kept; None where none is computed."""
        return self.below.get("keep")

    @property
    def below(self) -> Mapping[Action, float]:
        """Chance that its end comes before the next visit, for each thing that may be done."""
        return {action: _share(ended) for action, ended in self.ended.items()}


def prospect(life: JointLife, age: float, next_years: float, horizon_years: float, costs: Costs) -> Prospect:
    """What may be done with a joint at some age, what it costs up to a horizon, and how safe it is.

    Renewed hardware is like the old and lasts as long in the same draw. An end that has come already is
    found at the next visit. Each end goes unnoticed with the share and the cost that are stated; one that is
    noticed is followed by renewal there and then, so that renewing at the next visit differs from keeping
    only in draws whose end lies beyond it. Paint adds its life to faces in the air that have not lost metal
    yet; faces that it does not reach end as they would. Hardware costs what is stated, paint its labor alone.

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
    labor, material = costs.labor_per_joint * reach, costs.material_per_joint
    ends = _Ends(life.years, horizon_years, DiscountRate.flat(costs.rate), labor + material, costs)
    kept = ends.cost(np.where(left > 0.0, left, next_years))
    soon, soon_if_new = left <= next_years, life.years <= next_years
    found: dict[Action, Array] = {"keep": kept}
    ended: dict[Action, Flags] = {"keep": soon}
    if life.paint_helps and life.bare_years is not None and life.paint_years is not None:
        painted = life.bare_years + life.paint_years
        first = painted if life.hidden_years is None else np.minimum(painted, life.hidden_years)
        longer = np.where(left > 0.0, np.maximum(first, life.years) - age, 0.0)
        met = np.where(longer > 0.0, longer, next_years)
        found["paint"] = spread("paint_labor") * labor + ends.cost(met)
        ended["paint"] = longer <= next_years
    if costs.fixing_per_joint > 0.0:
        found["strengthen"] = costs.fixing_per_joint * reach + material + ends.cost(life.years)
        ended["strengthen"] = soon_if_new
    found["renew_now"] = ends.renewal + ends.cost(life.years)
    ended["renew_now"] = soon_if_new
    at_next = ends.renewal * float(ends.rate.factor(next_years)) + ends.cost(next_years + life.years)
    found["renew_next"] = np.where(soon, kept, at_next)
    ended["renew_next"] = soon
    below_load = None if life.load_years is None else life.load_years <= age
    return Prospect(life, left <= 0.0, below_load, found, ended)


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
        life = np.maximum(self.life_years, threshold("shortest_life") * self.horizon_years)
        total, when = np.zeros_like(life), np.array(first_years)
        while np.any(early := when < self.horizon_years):
            total[early] += (self.renewal + self.unnoticed) * self.rate.factor(when[early])
            when = when + life
        return total


def _share(which: Flags) -> float:
    return float(np.mean(which))
