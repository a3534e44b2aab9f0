"""What an option is worth: its years, its chance and its later costs, over all draws or some of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from longhold.choose.life_cost import LaterCosts, present_ends, present_visits
from longhold.choose.money import DiscountRate
from longhold.choose.options import JointGroup, Option
from longhold.forecast.summary import age_reached, chance_of
from longhold.model.costs import Costs
from longhold.model.structure import Structure

__all__ = ["Bought", "LaterKinds", "Outlook", "bought", "in_some_draws", "outlook_of"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Outlook:
    """What becomes of one joint under some hardware; options that promise the same share it.

    Attributes
    ----------
    years : when the deciding end comes, by draw [years]
    ends : ends of life within the design life, each by its present value, by draw
    chance : of reaching the design life
    sure_years : age reached with the target chance [years], infinite where past all ages
    """

    years: Array
    ends: Array
    chance: float
    sure_years: float

    @cached_property
    def mean_ends(self) -> float:
        """Mean of ``ends`` over the draws."""
        return float(self.ends.mean())


@dataclass(frozen=True)
class LaterKinds:
    """Later costs by their kind (terms of ISO 15686-5), present value by draw.

    Attributes
    ----------
    material, labor : of taking joints apart and fixing them anew
    inspection : visits, the same in every draw
    failure : ends that nobody noticed in time
    """

    material: Array
    labor: Array
    inspection: Array
    failure: Array


@dataclass(frozen=True)
class Bought:
    """What one group of joints may get.

    Attributes
    ----------
    group, option : the joints, and the offers for them
    broken : demands that it does not meet, by name
    outlook : of one joint; None where no forecast can be computed
    each : what later years cost at one joint
    visits : inspections within the design life, each by its present value
    looked_at : joints of the group that one inspection looks at, every part of them
    material : price of the pieces of one joint, as shares of packs
    labor : of fixing one joint anew
    """

    group: JointGroup
    option: Option
    broken: frozenset[str]
    outlook: Outlook | None
    each: LaterCosts
    visits: float
    looked_at: int
    material: float = 0.0
    labor: float = 0.0

    @property
    def alone(self) -> float:
        """Price of the pieces of all its joints and the mean of their later costs."""
        return self.group.quantity * self.material + self.mean_later

    @property
    def sure_years(self) -> float:
        """Age that its joints reach with the target chance [years], infinite where past all ages."""
        return 0.0 if self.outlook is None else self.outlook.sure_years

    @property
    def chance(self) -> float:
        """Chance of its joints to reach the design life; 0 where no forecast can be computed."""
        return 0.0 if self.outlook is None else self.outlook.chance

    @property
    def later(self) -> Array:
        """Present value of later costs of all its joints, by draw."""
        kinds = self.later_kinds
        return np.asarray(kinds.material + kinds.labor + kinds.inspection + kinds.failure)

    @property
    def mean_later(self) -> float:
        """Mean of ``later`` over the draws."""
        if self.outlook is None:
            return 0.0
        return self.later_but_material + self.group.quantity * self.material * self.outlook.mean_ends

    @property
    def later_but_material(self) -> float:
        """The same without the pieces of later renewals: whatever items keep the promise, it stays."""
        if self.outlook is None:
            return 0.0
        an_end = self.labor + self.each.expected_failure
        return self.group.quantity * an_end * self.outlook.mean_ends + self.inspection

    @property
    def inspection(self) -> float:
        """Present value of all inspections, the same whatever is bought."""
        return self.looked_at * self.each.visit * self.visits

    @property
    def later_kinds(self) -> LaterKinds:
        """Later costs of all its joints by their kind."""
        if self.outlook is None:
            return LaterKinds(*(np.zeros(1) for _ in range(4)))
        number, ends = self.group.quantity, self.outlook.ends
        return LaterKinds(
            number * self.material * ends,
            number * self.labor * ends,
            np.full_like(ends, self.inspection),
            number * self.each.expected_failure * ends,
        )


def outlook_of(
    option: Option, structure: Structure, costs: Costs, draws: NDArray[np.bool_] | None = None
) -> Outlook | None:
    """Outlook of one joint under an option, over all draws or some of them; None where none is computed."""
    years = option.trial.years
    if years is None:
        return None
    if draws is not None:
        years = years[draws]
    life = structure.design_life
    return Outlook(
        years,
        present_ends(years, DiscountRate.flat(costs.rate), life),
        chance_of(years, life),
        age_reached(years, structure.target_chance),
    )


def bought(
    group: JointGroup,
    option: Option,
    outlook: Outlook | None,
    structure: Structure,
    costs: Costs,
    material: float,
) -> Bought:
    """An option with what it costs later.

    Parameters
    ----------
    outlook : of one joint, over all draws or some of them: the target is judged by it
    material : price of the pieces of one joint
    """
    labor = costs.labor_per_joint * float(getattr(costs.access, group.joint.access))
    each = LaterCosts(
        renewal=material + labor,
        visit=costs.visit_per_joint,
        visit_every_years=costs.visit_every_years,
        failure=costs.failure,
        unnoticed=costs.unnoticed,
    )
    rate = DiscountRate.flat(costs.rate)
    visits = present_visits(costs.visit_every_years, rate, structure.design_life)
    looked_at = sum(min(number, costs.visit_most_alike) for number in group.quantities)
    return in_some_draws(
        Bought(group, option, option.broken, None, each, visits, looked_at, material, labor),
        outlook,
        structure.target_chance,
    )


def in_some_draws(one: Bought, outlook: Outlook | None, target_chance: float) -> Bought:
    """The same option judged by an outlook over other draws."""
    broken = one.broken - {"target"}
    if outlook is not None and outlook.chance < target_chance:
        broken |= {"target"}
    return replace(one, broken=broken, outlook=outlook)
