"""Everything that is told of a choice: it, its alternatives, its frontier, what could turn or replace it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from longhold.choose.alternatives import Frontier, frontier, named_alternatives
from longhold.choose.choice import Choice, Market
from longhold.choose.programme import MOST_SECONDS
from longhold.choose.substitution import Substitution, substitution
from longhold.choose.turning import Turns, turns

__all__ = ["Deliberation", "deliberate"]


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
    frontier: Frontier
    substitution: Substitution | None
    turns: Turns | None

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
    seconds : most time for proving one choice least, for all ages together, and for all inputs together
    progress : called, while inputs are looked at, with those done and in all

    Raises
    ------
    InputError : an item is not among the offers
    """
    today, chosen, longest = named_alternatives(market, seconds=seconds)
    return Deliberation(
        market,
        today,
        chosen,
        longest,
        frontier(market, demanded=False, seconds=seconds),
        substitution(market, without, chosen, seconds=seconds) if without else None,
        turns(market, chosen, seconds=seconds, progress=progress) if turning else None,
    )
