"""Everything that is told of a choice: it, its alternatives, its frontier, what could turn or replace it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from longhold.choose.alternatives import frontier, named_alternatives
from longhold.choose.choice import Choice, Market
from longhold.choose.programme import MOST_SECONDS
from longhold.choose.substitution import Substitution, substitution
from longhold.choose.turning import Turn, turns

__all__ = ["Deliberation", "deliberate"]

_STEPS = 4


@dataclass(frozen=True)
class Deliberation:
    """A choice with what stands beside it.

    Attributes
    ----------
    market : from which all was chosen
    today, chosen, longest : cheapest today, cheapest over the life, longest life
    frontier : least present cost against the age that every joint reaches, shorter lives than asked too
    substitution : with and without items out of stock; None where none was asked
    turns : inputs that could change the choice; None where it was not asked
    """

    market: Market
    today: Choice
    chosen: Choice
    longest: Choice
    frontier: tuple[Choice, ...]
    substitution: Substitution | None
    turns: tuple[Turn, ...] | None

    @property
    def named(self) -> tuple[Choice, Choice, Choice]:
        """The three alternatives."""
        return self.today, self.chosen, self.longest


def deliberate(
    market: Market,
    *,
    without: Collection[str] = (),
    turning: bool = False,
    seconds: float = MOST_SECONDS,
    progress: Callable[[int, int], None] | None = None,
) -> Deliberation:
    """Choose, and look at what stands beside the choice.

    Parameters
    ----------
    without : items out of stock, for a second choice beside the first
    turning : whether to look for inputs that could change the choice
    seconds : most time for proving one choice least
    progress : called with (steps done, steps in all)

    Raises
    ------
    InputError : an item is not among the offers
    """
    step = progress or _unseen
    step(0, _STEPS)
    today, chosen, longest = named_alternatives(market, seconds=seconds)
    step(1, _STEPS)
    ages = frontier(market, demanded=False)
    step(2, _STEPS)
    instead = substitution(market, without, chosen) if without else None
    step(3, _STEPS)
    return Deliberation(
        market, today, chosen, longest, ages, instead, turns(market, chosen) if turning else None
    )


def _unseen(done: int, total: int) -> None:
    """Nobody asks how far it is."""
