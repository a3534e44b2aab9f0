"""Beside the choice: cheapest today, longest life, what each further year costs, what could turn it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from longhold.choose.choice import Bought, Choice, Market, choose, in_draws
from longhold.forecast.causes import CAUSE_WORDS

__all__ = ["Turn", "frontier", "longest_life", "named_alternatives", "turns"]

_MOST_STEPS = 12


@dataclass(frozen=True)
class Turn:
    """An uncertain input that would change the choice if it were known to lie in one half of its band.

    Attributes
    ----------
    words : the input
    half : "low" or "high" half of its draws
    joints : ids of joints that would get something else, or nothing that satisfies
    """

    words: str
    half: str
    joints: tuple[str, ...]


def named_alternatives(market: Market) -> tuple[Choice, Choice, Choice]:
    """Cheapest today, cheapest over the life, longest life; each meets every demand."""
    return (
        choose(market, name="cheapest today", later_counts=False),
        choose(market),
        longest_life(market),
    )


def longest_life(market: Market) -> Choice:
    """Of the purchases under which the joint that ends first lasts longest, the cheapest over the life."""
    best = [max(one.sure_years for one in some) for some in _allowed(market) if some]
    return choose(market, name="longest life", least_years=min(best, default=0.0))


def frontier(market: Market) -> tuple[Choice, ...]:
    """Least present cost against the age that every joint reaches with the asked chance, rising in age."""
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


def turns(market: Market, choice: Choice) -> tuple[Turn, ...]:
    """Inputs whose low or high half alone would change what some joint gets.

    Parameters
    ----------
    choice : made from the whole market
    """
    return tuple(_turns(market, choice))


def _turns(market: Market, choice: Choice) -> Iterator[Turn]:
    before = _items(choice)
    for (cause, scope), draws in sorted(market.setting.exposure.causes.used.items()):
        middle = np.median(draws)
        for half, mask in (("low", draws <= middle), ("high", draws > middle)):
            if not mask.any():
                continue
            after = _items(choose(in_draws(market, mask)))
            changed = tuple(sorted(one for one in before | after if before.get(one) != after.get(one)))
            if changed:
                yield Turn(_words(cause, scope), half, changed)


def _items(choice: Choice) -> dict[str, tuple[str, ...]]:
    return {
        name: tuple(one.offer.item for one in bought.option.offers)
        for bought in choice.bought
        for name in bought.group.ids
    }


def _words(cause: str, scope: str) -> str:
    _, _, which = scope.partition(":")
    return f"{CAUSE_WORDS[cause]} ({which})" if which else CAUSE_WORDS[cause]


def _allowed(market: Market) -> list[list[Bought]]:
    return [[one for one in some if not one.broken] for some in market.options]
