"""Beside the choice: cheapest today, longest life, and what each further year costs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from longhold.choose.choice import Bought, Choice, Market, choose
from longhold.choose.programme import MOST_SECONDS

__all__ = ["frontier", "longest_life", "named_alternatives"]

_MOST_STEPS = 12


def named_alternatives(market: Market, *, seconds: float = MOST_SECONDS) -> tuple[Choice, Choice, Choice]:
    """Cheapest today, cheapest over the life, longest life; each meets every demand."""
    return (
        choose(market, name="cheapest today", later_counts=False, seconds=seconds),
        choose(market, seconds=seconds),
        longest_life(market, seconds=seconds),
    )


def longest_life(market: Market, *, seconds: float = MOST_SECONDS) -> Choice:
    """Of the purchases under which the joint that ends first lasts longest, the cheapest over the life."""
    best = [max(one.sure_years for one in some) for some in _allowed(market) if some]
    return choose(market, name="longest life", least_years=min(best, default=0.0), seconds=seconds)


def frontier(market: Market, *, demanded: bool = True) -> tuple[Choice, ...]:
    """Least present cost against the age that every joint reaches with the asked chance, rising in age.

    Parameters
    ----------
    demanded : whether every joint must reach the design life with that chance; without, what a shorter life
        would cost over the same years is told too
    """
    if not demanded:
        market = replace(market, options=tuple(map(tuple, _without_target(market))))
    allowed = [some for some in _allowed(market) if some]
    most = min((max(one.sure_years for one in some) for some in allowed), default=0.0)
    ages = sorted({one.sure_years for some in allowed for one in some if one.sure_years <= most})
    if len(ages) > _MOST_STEPS:
        ages = [ages[index] for index in np.linspace(0, len(ages) - 1, _MOST_STEPS).astype(int)]
    found: list[Choice] = []
    for age in ages:
        made = choose(market, name=f"{age:.0f} years", least_years=age)
        if not found or made.sure_years > found[-1].sure_years:
            found.append(made)
    return tuple(found)


def _allowed(market: Market) -> list[list[Bought]]:
    return [[one for one in some if not one.broken] for some in market.options]


def _without_target(market: Market) -> list[list[Bought]]:
    return [[replace(one, broken=one.broken - {"target"}) for one in some] for some in market.options]
