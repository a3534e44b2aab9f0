"""A few readings that are worth most together: each is weighed beside those already taken."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import rankdata

from longhold.inspect.information import Choice, information
from longhold.inspect.thresholds import threshold

__all__ = ["Kind", "Offered", "Taken", "Target", "least_settled", "scores", "select", "tells_of"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Target:
    """A joint whose decision readings may turn: what may be done, and scores of its life by draw."""

    choice: Choice
    life: Array


@dataclass(frozen=True)
class Kind:
    """Joints alike: the one that is read, the others, and how many in all; None where nothing is decided."""

    read: Target | None
    others: Target | None
    quantity: int


@dataclass(frozen=True)
class Offered:
    """A reading that may be taken: of which kind of joint, its cost, and its scores by draw."""

    kind: int
    cost: float
    scores: Array


class Taken(NamedTuple):
    """A reading that is taken, and what it adds to those before it: saving, joints turned, shown unsafe."""

    number: int
    worth: float
    turned: float
    unsafe: float


class _Value(NamedTuple):
    worth: float
    turned: float
    unsafe: float


def scores(values: Array) -> Array:
    """Normal scores of ranks, so that what is endless or far off carries nothing away."""
    return np.asarray(ndtri((rankdata(values) - 0.5) / len(values)))


def tells_of(reading: Array, target: Target) -> bool:
    """Whether scores of a reading and of a joint's life hang together by more than chance."""
    return bool(abs(reading @ target.life) > threshold("sure_sds") * np.sqrt(len(reading)))


def least_settled(kinds: Sequence[Kind], most: int, *, by_money: bool) -> list[int]:
    """Numbers, in order, of the kinds of joints at which a reading may tell most; all where they are few.

    No reading tells more of a joint than its life itself, so kinds are sorted by what knowing that would show
    unsafe, save and turn.

    Parameters
    ----------
    most : number of kinds that are taken
    by_money : whether a cost of a failure is stated
    """
    if len(kinds) <= most:
        return list(range(len(kinds)))

    def rank(number: int) -> tuple[float, ...]:
        kind = kinds[number]
        known = _total(
            (target, many, target.life)
            for target, many in ((kind.read, 1), (kind.others, kind.quantity - 1))
            if target is not None and many
        )
        worth = (-known.worth, -known.turned) if by_money else (-known.turned, -known.worth)
        return (-float(known.unsafe >= threshold("least_unsafe")), *worth)

    return sorted(sorted(range(len(kinds)), key=rank)[:most])


def select(kinds: Sequence[Kind], offered: Sequence[Offered], *, by_money: bool) -> list[Taken]:
    """Take readings one after the other, each time the one that adds most; end where none adds.

    What several readings say together of a joint is the mean of its life's scores that they explain
    (linear regression). A reading adds where it saves more than it costs, or shows joints unsafe that
    those before it do not, or, where money does not sort, turns what is done with more joints.

    Parameters
    ----------
    offered : best first by themselves; the first few are tried
    by_money : whether a cost of a failure is stated
    """
    taken: list[Taken] = []
    held = _Value(0.0, 0.0, 0.0)
    left = list(range(len(offered)))[: int(threshold("most_tried"))]
    while left and len(taken) < threshold("most_taken"):
        chosen = [offered[one.number] for one in taken]
        values = {number: _value(kinds, [*chosen, offered[number]]) for number in left}
        gains = {
            number: Taken(number, *(now - was for now, was in zip(value, held, strict=True)))
            for number, value in values.items()
        }
        adding = [one for one in gains.values() if _adds(one, offered[one.number].cost, by_money)]
        if not adding:
            break
        best = min(adding, key=lambda one: _rank(one, offered[one.number].cost, by_money))
        taken.append(best)
        held = values[best.number]
        left.remove(best.number)
    return taken


def _adds(one: Taken, cost: float, by_money: bool) -> bool:
    turns = not by_money and one.turned >= threshold("least_turned")
    return one.worth > cost or one.unsafe >= threshold("least_unsafe") or turns


def _rank(one: Taken, cost: float, by_money: bool) -> tuple[float, ...]:
    # draws cannot tell less than half a joint apart: what costs less comes first there
    if by_money:
        return (cost - one.worth, -one.turned)
    return (-round(one.turned / threshold("turned_step")), cost - one.worth)


def _value(kinds: Sequence[Kind], readings: Sequence[Offered]) -> _Value:
    base = np.stack([np.ones_like(readings[0].scores), *(one.scores for one in readings)], axis=1)
    # two readings that say the same make no square that can be solved: a hair is added
    square = base.T @ base + 1e-6 * len(base) * np.eye(base.shape[1])
    read = {one.kind for one in readings}
    return _total(
        (target, many, base @ np.linalg.solve(square, base.T @ target.life))
        for number, kind in enumerate(kinds)
        for target, many in (
            (kind.read, int(number in read)),
            (kind.others, kind.quantity - int(number in read)),
        )
        if target is not None and many
    )


def _total(told: Iterable[tuple[Target, int, Array]]) -> _Value:
    """What is told of joints, over all of them: each with how many they are, and what is told by draw."""
    total = np.zeros(3)
    for target, many, by_draw in told:
        found = information(target.choice, by_draw)
        total += many * np.array([found.worth, found.turns, found.unsafe])
    return _Value(*total)
