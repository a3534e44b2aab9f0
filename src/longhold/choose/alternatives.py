"""Beside the choice: cheapest today, longest life, and what each further year costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from time import monotonic

import numpy as np

from longhold.choose.choice import Bought, Choice, Market, choose
from longhold.choose.programme import MOST_SECONDS
from longhold.choose.thresholds import threshold

__all__ = ["Frontier", "frontier", "longest_life", "named_alternatives", "told_once"]

_NO_MONEY = 1e-6


@dataclass(frozen=True)
class Frontier:
    """Least present cost against age.

    Attributes
    ----------
    choices : one for each age that costs something else, rising in age and cost
    ages : ages that were looked at
    unproved : at how many of them time ran out before the least cost was proved
    """

    choices: tuple[Choice, ...]
    ages: int = 0
    unproved: int = 0


def named_alternatives(market: Market, *, seconds: float = MOST_SECONDS) -> tuple[Choice, Choice, Choice]:
    """Cheapest today, cheapest over the life, longest life; each meets every demand."""
    return (
        choose(market, name="cheapest today", later_counts=False, seconds=seconds),
        choose(market, seconds=seconds),
        longest_life(market, seconds=seconds),
    )


def told_once(choices: Sequence[Choice]) -> tuple[tuple[tuple[str, ...], Choice], ...]:
    """Different purchases among some choices, each with all names that it goes by.

    Of choices that are one purchase the last is told: its bound is that over the life where there is one.
    """
    found: list[list[Choice]] = []
    for one in choices:
        alike = next((some for some in found if _same(one, some[0])), None)
        if alike is None:
            found.append([one])
        else:
            alike.append(one)
    return tuple((tuple(one.name for one in some), some[-1]) for some in found)


def longest_life(market: Market, *, seconds: float = MOST_SECONDS) -> Choice:
    """Of the purchases under which the joint that ends first lasts longest, the cheapest over the life.

    Ages past the last one that is looked at are told as one, and count as one.
    """
    best = [max(_told(one, market) for one in some) for some in _allowed(market) if some]
    return choose(market, name="longest life", least_years=min(best, default=0.0), seconds=seconds)


def frontier(market: Market, *, demanded: bool = True, seconds: float = MOST_SECONDS) -> Frontier:
    """Least present cost against the age that every joint reaches with the target chance.

    Parameters
    ----------
    demanded : whether every joint must reach the design life with that chance; without, what a shorter life
        would cost over the same years is told too
    seconds : most time for all ages together; each gets an equal share of what is left

    Joints that nothing on offer satisfies are left out, so that every point serves the same joints. Ages past
    the last one that is looked at count as one.
    """
    end = monotonic() + seconds
    served = _served(market)
    if not demanded:
        served = replace(served, options=tuple(map(tuple, _without_target(served))))
    allowed = _allowed(served)
    most = min((max(_told(one, market) for one in some) for some in allowed), default=0.0)
    ages = sorted({_told(one, market) for some in allowed for one in some if _told(one, market) <= most})
    if len(ages) > (steps := int(threshold("most_ages"))):
        ages = [ages[index] for index in np.linspace(0, len(ages) - 1, steps).astype(int)]
    made = []
    for done, age in enumerate(ages):
        share = max(end - monotonic(), 0.0) / (len(ages) - done)
        made.append(choose(served, name=f"{age:.0f} years", least_years=age, seconds=share))
    unproved = sum(not one.purchase.proved for one in made)
    return Frontier(tuple(_rising(made)), len(ages), unproved)


def _told(one: Bought, market: Market) -> float:
    """Age that is told of an option: none past the last one that is looked at [years]."""
    return min(one.sure_years, float(market.setting.ages[-1]))


def _rising(made: Sequence[Choice]) -> list[Choice]:
    """Without what costs no less than another that reaches the same age or more."""
    kept: list[Choice] = []
    for one in sorted(made, key=lambda one: (-one.sure_years, one.purchase.cost)):
        if not kept or one.purchase.cost < kept[-1].purchase.cost - _NO_MONEY * abs(one.purchase.cost):
            kept.append(one)
    return kept[::-1]


def _served(market: Market) -> Market:
    """The market of those joints alone that something on offer satisfies."""
    pairs = zip(market.groups, market.options, strict=True)
    kept = [(group, some) for group, some in pairs if any(not one.broken for one in some)]
    return replace(market, groups=tuple(group for group, _ in kept), options=tuple(some for _, some in kept))


def _same(one: Choice, other: Choice) -> bool:
    """Whether they buy the same packs, and each joint is promised the same."""
    promised = [{each.group.ids: id(each.option.trial) for each in some.bought} for some in (one, other)]
    return promised[0] == promised[1] and dict(one.purchase.packs) == dict(other.purchase.packs)


def _allowed(market: Market) -> list[list[Bought]]:
    return [[one for one in some if not one.broken] for some in market.options]


def _without_target(market: Market) -> list[list[Bought]]:
    return [[replace(one, broken=one.broken - {"target"}) for one in some] for some in market.options]
