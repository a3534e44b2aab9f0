"""What to do with each joint that stands: safe first, then at least expected cost."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from longhold.assessment.setting import curve_ages, setting_for
from longhold.base.errors import InputError, Problem
from longhold.base.version import VERSION
from longhold.forecast.causes import Learned
from longhold.forecast.summary import BEYOND_YEARS
from longhold.inspect.actions import Action, Prospect, prospect
from longhold.inspect.lives import joint_lives
from longhold.inspect.spreads import spread
from longhold.model.costs import Costs
from longhold.model.structure import Structure

__all__ = [
    "Answer",
    "Asked",
    "Decision",
    "Decisions",
    "Turned",
    "age_on",
    "decide",
    "decided",
    "must_be_made_safe",
    "safe_actions",
    "turned",
]

_DAYS_A_YEAR = 365.25
Answer = Literal["make_safe", "refer"] | Action


@dataclass(frozen=True)
class Asked:
    """The question: when, until when, at what risk.

    Attributes
    ----------
    on : date of the decision
    next_years : to the next visit [years]
    limit : greatest chance of being below before the next visit at which a joint is kept, 0 to 1; None takes
        ours
    """

    on: datetime.date
    next_years: float
    limit: float | None = None

    @property
    def most_below(self) -> float:
        """The limit, ours where none is stated."""
        return spread("below_limit") if self.limit is None else self.limit


@dataclass(frozen=True)
class Decision:
    """What to do with one joint, or joints alike.

    Attributes
    ----------
    prospect : what may be done, with costs and chances
    answer : one of it, or make_safe, or refer
    mean_costs : expected cost of each thing that may be done, for one joint
    """

    prospect: Prospect
    answer: Answer
    mean_costs: dict[Action, float]


@dataclass(frozen=True)
class Decisions:
    """Decisions on all joints of a structure.

    Attributes
    ----------
    structure, asked, age : what was asked of what, and how old it is then [years]
    horizon_years : from then, over which costs count: to the end of the design life, or the next visit
    each : joints alike together, in the order of the structure
    """

    structure: Structure
    asked: Asked
    costs: Costs
    age: float
    horizon_years: float
    each: tuple[Decision, ...]
    version: str
    seed: int
    draws: int


def decide(
    structure: Structure,
    costs: Costs,
    asked: Asked,
    *,
    learned: Learned | None = None,
    draws: int = 2000,
    seed: int = 1,
) -> Decisions:
    """Decide on every joint of a structure.

    A structural joint under a stated load whose chance of being below it already exceeds the limit is to be
    made safe, whatever else of it is not computed; it is no question of money. Else the cheapest of what
    keeps the chance until the next visit within the limit is taken; where nothing does, renewing now.

    Parameters
    ----------
    learned : what readings leave of the draws

    Raises
    ------
    InputError : no build date, a date before it, a visit that is not ahead, a limit that is no chance
    """
    age = age_on(structure, asked)
    ages = curve_ages(max(structure.design_life, age + asked.next_years))
    setting = setting_for(structure, ages, draws=draws, seed=seed, learned=learned)
    horizon = max(structure.design_life - age, asked.next_years)
    lives = joint_lives(setting)
    each = tuple(
        decided(prospect(one, age, asked.next_years, horizon, costs), asked.most_below) for one in lives
    )
    count = draws if learned is None else learned.count
    return Decisions(structure, asked, costs, age, horizon, each, VERSION, seed, count)


def age_on(structure: Structure, asked: Asked) -> float:
    """Age of a structure at the date of a question [years].

    Raises
    ------
    InputError : as ``decide``
    """
    problems = []
    built = structure.build_date
    if built is None:
        problems.append(Problem("build_date", None, "is not stated.", "State when it was built."))
    elif asked.on <= built:
        problems.append(
            Problem("on", str(asked.on), f"must lie after {built}, when the structure was built.")
        )
    if not 0.0 < asked.next_years <= 100.0:
        problems.append(Problem("next", asked.next_years, "must be more than 0 and at most 100 years."))
    if not 0.0 < asked.most_below < 1.0:
        problems.append(Problem("limit", asked.limit, "must be a chance between 0 and 1, such as 0.05."))
    if problems or built is None:
        raise InputError(*problems)
    age = (asked.on - built).days / _DAYS_A_YEAR
    if age > BEYOND_YEARS:
        told = f"lies {age:.0f} years after {built}, when the structure was built."
        raise InputError(
            Problem("on", str(asked.on), told, f"At most {BEYOND_YEARS:.0f} years are computed.")
        )
    return age


def safe_actions(one: Prospect, below: Mapping[Action, float], most_below: float) -> tuple[Action, ...]:
    """What keeps the chance of being below before the next visit within a limit; else renewing now.

    Where protection decides, no strength hangs on the next years, and nothing is ruled out.

    Parameters
    ----------
    below : chance of being below before the next visit, for each thing that may be done
    """
    if not one.life.by_strength:
        return tuple(one.costs)
    safe = tuple(action for action in one.costs if below[action] <= most_below)
    return safe or (("renew_now",) if one.costs else ())


def must_be_made_safe(one: Prospect, most_below: float) -> bool:
    """Whether a structural joint is already below its stated load with more than a chance."""
    below = one.below_load_now
    return one.life.by_strength and below is not None and below > most_below


def decided(one: Prospect, most_below: float) -> Decision:
    """What to do with one joint, safe first, then at least expected cost: see ``decide``."""
    means = {action: float(cost.mean()) for action, cost in one.costs.items()}
    if must_be_made_safe(one, most_below):
        return Decision(one, "make_safe", means)
    if one.below_now is None or one.life.refer:
        return Decision(one, "refer", means)
    cheapest = min(safe_actions(one, one.below, most_below), key=lambda action: means[action])
    return Decision(one, cheapest, means)


@dataclass(frozen=True)
class Turned:
    """A joint for which readings turn the decision: what was to be done without them, and with them."""

    joint: str
    before: Answer
    after: Answer


def turned(before: Decisions, after: Decisions) -> tuple[Turned, ...]:
    """Joints for which decisions differ, in the order of the structure."""
    was, now = (
        {id_: one.answer for one in found.each for id_ in one.prospect.life.ids} for found in (before, after)
    )
    return tuple(
        Turned(joint.id, was[joint.id], now[joint.id])
        for joint in after.structure.joints
        if was[joint.id] != now[joint.id]
    )
