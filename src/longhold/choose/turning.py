"""Which uncertain input could change the choice, if it were known better."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from longhold.choose.choice import Bought, Choice, Market, choose, in_draws
from longhold.choose.programme import MOST_SECONDS
from longhold.choose.thresholds import threshold
from longhold.forecast.causes import CAUSE_WORDS

__all__ = ["Turn", "Turns", "turns"]

_NO_MONEY = 1e-6


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


@dataclass(frozen=True)
class Turns:
    """What was found of the uncertain inputs.

    Attributes
    ----------
    found : inputs that would change the choice
    inputs : uncertain inputs in all
    undecided : those for which time ran out, in words
    """

    found: tuple[Turn, ...]
    inputs: int
    undecided: tuple[str, ...] = ()


def turns(
    market: Market,
    choice: Choice,
    *,
    seconds: float = MOST_SECONDS,
    progress: Callable[[int, int], None] | None = None,
) -> Turns:
    """Inputs whose low or high half alone would change what some joint gets.

    Parameters
    ----------
    choice : made from the whole market
    seconds : most time for all inputs together; each gets an equal share of what is left
    progress : called with inputs done and in all

    A choice that stays allowed in the half and costs no more there than the best one is not turned, whatever
    else costs the same. A joint counts only where the input moves its chance or its costs by more than chance
    alone would between two halves of so many draws: near the target chance any split of the draws turns a
    choice to and fro.
    """
    end = monotonic() + seconds
    inputs = sorted(market.setting.exposure.causes.used.items())
    found: list[Turn] = []
    undecided: list[str] = []
    for done, ((cause, scope), draws) in enumerate(inputs):
        if progress is not None:
            progress(done, len(inputs))
        left = end - monotonic()
        if left <= 0:
            undecided.append(_words(cause, scope))
            continue
        middle = np.median(draws)
        share = left / (len(inputs) - done) / 2
        proved = True
        for half, mask in (("low", draws <= middle), ("high", draws > middle)):
            if mask.any():
                turn, sure = _turn(market, choice, mask, _words(cause, scope), half, share)
                found += [turn] if turn else []
                proved &= sure or turn is not None
        if not proved:
            undecided.append(_words(cause, scope))
    return Turns(tuple(found), len(inputs), tuple(dict.fromkeys(undecided)))


def _turn(
    market: Market, choice: Choice, mask: NDArray[np.bool_], words: str, half: str, seconds: float
) -> tuple[Turn | None, bool]:
    """What choosing anew in some draws turns, if anything, and whether the choice there was proved least."""
    before = _by_joint(choice)
    there = in_draws(market, mask)
    kept = _held(there, choice)
    after = choose(there, seconds=seconds)
    sure = after.purchase.proved
    more = sum(one.mean_later for one in kept) - sum(one.mean_later for one in choice.bought)
    fails = any(one.broken for one in kept)
    now = _by_joint(after)
    extra = {name for name in now if name not in before}
    saved = choice.purchase.cost + more - after.purchase.cost
    if not fails and not extra and saved <= _NO_MONEY * abs(after.purchase.cost):
        return None, sure
    moved = _moved(market, mask, choice, after)
    changed = tuple(
        sorted(name for name in before | now if name in moved and before.get(name) != now.get(name))
    )
    if not changed:
        return None, sure
    return Turn(words, half, changed, 0.0 if fails or extra else saved, fails), sure


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
    if min(len(here), len(there)) < threshold("fewest_draws"):
        return False
    error = np.sqrt(here.var() / len(here) + there.var() / len(there))
    return bool(abs(here.mean() - there.mean()) > threshold("most_errors") * error)


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
