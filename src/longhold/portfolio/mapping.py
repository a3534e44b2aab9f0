"""Joints to what their combinations came to: array by array, nothing drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from longhold.base.marks import Mark
from longhold.portfolio.classes import SiteClasses, mark_of_rounding
from longhold.portfolio.drawing import Combination

__all__ = ["MARKS", "NOT_ASSESSED", "OUTCOMES", "Drawn", "Found", "drawn_of", "found_for", "weakest_at"]

Array = NDArray[np.float64]
Whole = NDArray[np.int32]
_TINY = np.finfo(float).tiny
NOT_ASSESSED = "not assessed"
OUTCOMES = ("fails", "refer", "holds", NOT_ASSESSED)
"""What a joint comes to, in the order of ``Found.outcome``."""
MARKS = ("", *(mark.value for mark in Mark))
"""Marks, the weakest last, in the order of ``Found.mark``; the first stands for what rests on nothing."""


@dataclass(frozen=True)
class _Numbers:
    """What combinations, or pairs of site and kind, come to in numbers.

    Attributes
    ----------
    life, protection, strength : ages [years], shape (count, 3)
    chance, protection_chance, strength_chance, below_years : shape (count,)
    renewals : expected in each year, shape (count, years)
    """

    life: Array
    protection: Array
    strength: Array
    chance: Array
    protection_chance: Array
    strength_chance: Array
    below_years: Array
    renewals: Array


@dataclass(frozen=True)
class Drawn(_Numbers):
    """All combinations as arrays.

    Attributes
    ----------
    row : of each combination by rung and kind, shape (rungs, kinds); -1 where none was wanted
    decides, code, refer, fault : words of each
    unsettled, leaves_pits_out : of each
    mark : place of each in ``MARKS``
    """

    row: Whole
    decides: NDArray[np.object_]
    code: NDArray[np.object_]
    refer: NDArray[np.object_]
    fault: NDArray[np.object_]
    unsettled: NDArray[np.bool_]
    leaves_pits_out: NDArray[np.bool_]
    mark: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.chance)


@dataclass(frozen=True)
class Found(_Numbers):
    """What pairs of site and kind come to, between the rungs that stand for each site.

    Attributes
    ----------
    outcome : place in ``OUTCOMES``
    nearest : row of the combination that counts most, for words
    mark : place in ``MARKS`` of the weakest mark that it rests on, the rounding of sites included
    fault : why it is not assessed; empty where it is
    """

    outcome: NDArray[np.int8]
    mark: NDArray[np.int8]
    nearest: NDArray[np.intp]
    fault: NDArray[np.object_]


def drawn_of(combinations: Sequence[Combination], rungs: int, kinds: int) -> Drawn:
    """Combinations to arrays."""
    row = np.full((rungs, kinds), -1, dtype=np.int32)
    for place, one in enumerate(combinations):
        row[one.rung, one.kind] = place
    years = max((len(one.renewals) for one in combinations), default=0)
    renewals = np.zeros((len(combinations), years))
    for place, one in enumerate(combinations):
        renewals[place, : len(one.renewals)] = one.renewals

    def column(name: str) -> Array:
        return np.array([getattr(one, name) for one in combinations], dtype=float)

    def band(name: str) -> Array:
        bands = [getattr(one, name) for one in combinations]
        return np.array([(one.p10, one.p50, one.p90) for one in bands], dtype=float).reshape(-1, 3)

    def words(name: str) -> NDArray[np.object_]:
        return np.array([getattr(one, name) for one in combinations], dtype=object)

    return Drawn(
        row=row,
        life=band("life"),
        protection=band("protection"),
        strength=band("strength"),
        chance=column("chance"),
        protection_chance=column("protection_chance"),
        strength_chance=column("strength_chance"),
        below_years=column("below_years"),
        renewals=renewals,
        decides=words("decides"),
        code=words("code"),
        refer=words("refer"),
        fault=words("fault"),
        unsettled=np.array([one.unsettled for one in combinations], dtype=bool),
        leaves_pits_out=np.array([one.leaves_pits_out for one in combinations], dtype=bool),
        mark=np.array([MARKS.index(one.mark) for one in combinations], dtype=np.int8),
    )


def found_for(site: Whole, kind: Whole, target: Array, classes: SiteClasses, drawn: Drawn) -> Found:
    """What joints of these kinds at these sites come to.

    Chances and renewals are means of those of the rungs that stand for the site, by their shares; ages are so
    by their inverse, the yearly wear, of which an end that never comes has none. What is not known of the
    rung that counts most is not known; another of which it is not known is left out.

    Parameters
    ----------
    site, kind : of each pair, shape (pairs,)
    target : chance asked for, shape (pairs,)
    """
    share = classes.share[site]
    rows = np.where(share > 0.0, drawn.row[classes.stand_ins[site], kind[:, None]], -1)
    nearest = rows[:, 0].astype(np.intp)
    chance = _mean(drawn.chance, rows, share)
    code = drawn.code[nearest]
    faults = drawn.fault[nearest]
    outcome = np.select(
        [faults != "", (code == "fail") | (chance < target), drawn.unsettled[nearest] | np.isnan(chance)],
        [OUTCOMES.index(NOT_ASSESSED), OUTCOMES.index("fails"), OUTCOMES.index("refer")],
        default=OUTCOMES.index("holds"),
    )

    def age(name: str) -> Array:
        return _mean_age(getattr(drawn, name), rows, share)

    return Found(
        life=age("life"),
        protection=age("protection"),
        strength=age("strength"),
        chance=chance,
        protection_chance=_mean(drawn.protection_chance, rows, share),
        strength_chance=_mean(drawn.strength_chance, rows, share),
        below_years=age("below_years"),
        renewals=_mean(drawn.renewals, rows, share),
        outcome=outcome.astype(np.int8),
        mark=np.where(faults != "", np.int8(0), _weakest_of_all(drawn.mark, rows, classes)),
        nearest=nearest,
        fault=faults,
    )


def weakest_at(places: NDArray[np.int8]) -> Mark | None:
    """The weakest of marks given by their places in ``MARKS``; None where nothing is known."""
    most = int(places.max(initial=0))
    return Mark(MARKS[most]) if most else None


def _weakest_of_all(marks: NDArray[np.int8], rows: Whole, classes: SiteClasses) -> NDArray[np.int8]:
    rule = np.int8(MARKS.index(mark_of_rounding().value) if classes.rounded else 0)
    return np.asarray(np.maximum(np.where(rows >= 0, marks[rows], np.int8(0)).max(axis=1), rule))


def _mean(values: Array, rows: Whole, share: Array) -> Array:
    """Mean over the rungs of which a value is known; unknown where that of the first is."""
    first = values[rows[:, 0]]
    total, weight = np.zeros_like(first), np.zeros_like(first)
    for column, part in zip(rows.T, share.T, strict=True):
        own = values[column]
        counts = np.where(np.isnan(own), 0.0, part.reshape(-1, *[1] * (values.ndim - 1)))
        total += np.multiply(own, counts, out=np.zeros_like(own), where=counts > 0.0)
        weight += counts
    return np.asarray(np.where((weight > 0.0) & ~np.isnan(first), total / np.maximum(weight, _TINY), np.nan))


def _mean_age(values: Array, rows: Whole, share: Array) -> Array:
    alone = share[:, 0].reshape(-1, *[1] * (values.ndim - 1)) == 1.0
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(alone, values[rows[:, 0]], 1.0 / _mean(1.0 / values, rows, share)))
