"""Which uncertain input could change the choice, if it were known better."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.choose.choice import Bought, Choice, Market, choose, in_draws
from longhold.forecast.causes import CAUSE_WORDS

__all__ = ["Turn", "turns"]

_NO_MONEY = 1e-6
_FEWEST = 30
_MOST_ERRORS = (
    4.0  # own choice: some fifty inputs are tried at many joints, so three would be passed by chance
)


@dataclass(frozen=True)
class Turn:
    """An uncertain input that would change the choice if it were known to lie in one half of its band.

    Attributes
    ----------
    words : the input
    half : "low" or "high" half of its draws
    joints : ids of joints that would get something else, or nothing that satisfies
    saved : mean present cost that choosing anew saves in that half; where ``fails`` the choice as it stands
        is no longer allowed, and nothing is said
    fails : whether the choice as it stands breaks a demand in that half
    """

    words: str
    half: str
    joints: tuple[str, ...]
    saved: float = 0.0
    fails: bool = False


def turns(market: Market, choice: Choice) -> tuple[Turn, ...]:
    """Inputs whose low or high half alone would change what some joint gets.

    Parameters
    ----------
    choice : made from the whole market

    A choice that stays allowed in the half and costs no more there than the best one is not turned, whatever
    else costs the same. A joint counts only where the input moves its chance or its costs by more than chance
    alone would between two halves of so many draws: near the asked chance any split of the draws turns a
    choice to and fro.
    """
    return tuple(_turns(market, choice))


def _turns(market: Market, choice: Choice) -> Iterator[Turn]:
    before = _by_joint(choice)
    for (cause, scope), draws in sorted(market.setting.exposure.causes.used.items()):
        middle = np.median(draws)
        for half, mask in (("low", draws <= middle), ("high", draws > middle)):
            if not mask.any():
                continue
            there = in_draws(market, mask)
            kept = _held(there, choice)
            after = choose(there)
            more = sum(one.mean_later for one in kept) - sum(one.mean_later for one in choice.bought)
            fails = any(one.broken for one in kept)
            extra = {name for name in _by_joint(after) if name not in before}
            saved = choice.purchase.cost + more - after.purchase.cost
            if not fails and not extra and saved <= _NO_MONEY * abs(after.purchase.cost):
                continue
            now = _by_joint(after)
            moved = _moved(market, mask, choice, after)
            changed = tuple(
                sorted(name for name in before | now if name in moved and before.get(name) != now.get(name))
            )
            if changed:
                yield Turn(_words(cause, scope), half, changed, 0.0 if fails or extra else saved, fails)


def _moved(market: Market, mask: NDArray[np.bool_], *choices: Choice) -> set[str]:
    """Ids of joints some of whose options in these choices fare otherwise in one half than in the other."""
    life = market.structure.design_life
    wanted = {id(one.option) for choice in choices for one in choice.bought}
    found: set[str] = set()
    for some in market.options:
        for one in some:
            if id(one.option) not in wanted or one.outlook is None:
                continue
            if any(_differs(v, mask) for v in (one.outlook.years >= life, one.outlook.ends)):
                found.update(one.group.ids)
    return found


def _differs(values: NDArray[np.generic], mask: NDArray[np.bool_]) -> bool:
    """Whether two parts of some draws differ in their mean by more than their scatter explains."""
    here, there = (np.asarray(one, float) for one in (values[mask], values[~mask]))
    if min(len(here), len(there)) < _FEWEST:
        return False
    error = np.sqrt(here.var() / len(here) + there.var() / len(there))
    return bool(abs(here.mean() - there.mean()) > _MOST_ERRORS * error)


def _held(market: Market, choice: Choice) -> list[Bought]:
    """The options of a choice as they look in another market of the same offers."""
    wanted = {id(one.option) for one in choice.bought}
    return [one for some in market.options for one in some if id(one.option) in wanted]


def _by_joint(choice: Choice) -> dict[str, tuple[str, ...]]:
    return {
        name: tuple(one.offer.item for one in bought.option.offers)
        for bought in choice.bought
        for name in bought.group.ids
    }


def _words(cause: str, scope: str) -> str:
    _, _, which = scope.partition(":")
    return f"{CAUSE_WORDS[cause]} ({which})" if which and "|" not in which else CAUSE_WORDS[cause]
