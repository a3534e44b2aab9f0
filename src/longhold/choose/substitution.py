"""Something is out of stock: what is bought instead, and what that costs in years and money."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.choose.choice import Bought, Choice, Market, choose, without_stock
from longhold.choose.conflicts import Conflict
from longhold.choose.options import JointGroup
from longhold.choose.programme import MOST_SECONDS

__all__ = ["Change", "Substitution", "substitution"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Change:
    """What one group of joints gets before and after.

    Attributes
    ----------
    group : the joints
    before, after : None where nothing on offer satisfies what is asked
    """

    group: JointGroup
    before: Bought | None
    after: Bought | None

    @property
    def years(self) -> tuple[float, float] | None:
        """Age reached with the target chance, before and after [years]; None where either is missing."""
        if self.before is None or self.after is None:
            return None
        return self.before.sure_years, self.after.sure_years

    @property
    def more_cost(self) -> float | None:
        """What its joints cost more over the life, pieces without whole packs; None likewise."""
        if self.before is None or self.after is None:
            return None
        return self.after.alone - self.before.alone


@dataclass(frozen=True)
class Substitution:
    """Two choices, with and without some items.

    Attributes
    ----------
    items : that are not to be had
    before, after : the choices
    changes : groups of joints that get something else, or nothing any more, in the order of the structure
    """

    items: tuple[str, ...]
    before: Choice
    after: Choice
    changes: tuple[Change, ...]

    @property
    def alike(self) -> bool:
        """Whether both choices serve the same joints, so that their costs can be compared."""
        return {one.group.ids for one in self.before.bought} == {one.group.ids for one in self.after.bought}

    @property
    def lost(self) -> tuple[Conflict, ...]:
        """Why nothing is bought any more for joints that something was bought for before."""
        had = {one.group.ids for one in self.before.bought}
        return tuple(one for one in self.after.left_out if one.group.ids in had)

    @property
    def more_today(self) -> float:
        """What the packs and their kinds cost more."""
        return self.after.today - self.before.today

    @property
    def more_over_life(self) -> Array:
        """What everything costs more over the life, draw by draw."""
        return np.asarray(self.after.over_life - self.before.over_life)


def substitution(
    market: Market,
    items: Collection[str],
    before: Choice | None = None,
    *,
    seconds: float = MOST_SECONDS,
) -> Substitution:
    """Choose with and without some items, on the same draws.

    Parameters
    ----------
    items : out of stock
    before : the choice with them, where it is made already
    seconds : most time for proving one choice least

    Raises
    ------
    InputError : an item is not among the offers
    """
    missing = tuple(dict.fromkeys(items))
    rest = without_stock(market, missing)
    first = before or choose(market, seconds=seconds)
    after = choose(rest, name=f"without {', '.join(missing)}", seconds=seconds)
    had, has = ({one.group.ids: one for one in each.bought} for each in (first, after))
    changes = tuple(
        Change(group, had.get(group.ids), has.get(group.ids))
        for group in market.groups
        if _items(had.get(group.ids)) != _items(has.get(group.ids))
    )
    return Substitution(missing, first, after, changes)


def _items(one: Bought | None) -> tuple[str, ...]:
    return () if one is None else tuple(chosen.offer.item for chosen in one.option.offers)
