"""What a reading is worth before it is taken: what it saves by what it turns, and how often it turns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import f as f_distribution

from longhold.base.recent import once

__all__ = ["MAKE_SAFE", "Choice", "Information", "information"]

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
_DRAWS_IN_A_PART, _FEWEST_PARTS, _MOST_PARTS = 100, 5, 20
_SURE = 0.999
_NEIGHBORS = np.array([1.0, 2.0, 3.0, 2.0, 1.0])
MAKE_SAFE = -1
"""Stands for making a joint safe among the numbers of what may be done."""


@dataclass(frozen=True)
class Choice:
    """What may be done with one joint.

    Attributes
    ----------
    costs : of each thing that may be done, by draw, shape (things, draws)
    most_below : greatest chance of an end before the next visit at which a thing may be done
    ended : whether an end comes before the next visit, as ``costs``; None where nothing is ruled out
    ended_now : whether it has come, shape (draws,); with more than ``most_below`` the joint is made safe;
        None where it never is
    otherwise : number of the thing that is done where every one is ruled out
    """

    costs: Array
    most_below: float = 1.0
    ended: Flags | None = None
    ended_now: Flags | None = None
    otherwise: int = 0


@dataclass(frozen=True)
class Information:
    """What a reading tells of a choice.

    Attributes
    ----------
    worth : expected saving by what it turns; what safety asks for counts only where it also saves
    turns : chance that it turns what is done, 0 to 1
    unsafe : chance that it shows that what would be done without it passes the limit, 0 to 1
    before : number of what is done without it
    edges : readings between which each of ``answers`` holds, one more than they are
    answers : number of what is done after it, by reading
    """

    worth: float
    turns: float
    unsafe: float
    before: int
    edges: Array
    answers: NDArray[np.intp]


def information(choice: Choice, drawn: Array) -> Information:
    """What a reading is worth (expected value of sample information), within a limit that money does not buy.

    Draws are sorted by the reading and parted. In each part, what is best is found on every other draw and
    counted on the rest, so that chance is not taken for knowledge. Costs and chances of a part are drawn
    toward those of all draws by how little the parts differ beside the draws within them (as James and Stein
    do), and wholly where that difference may be chance; neighboring parts are smoothed, and those that read
    the same are one. A part turns what is done only where its means or chances are clear of what they would
    have to pass by a standard error.

    Parameters
    ----------
    drawn : reading as it may come, by draw, shape (draws,)
    """
    count = len(drawn)
    parts = int(np.clip(count // _DRAWS_IN_A_PART, _FEWEST_PARTS, _MOST_PARTS))
    order = np.argsort(drawn, kind="stable")[: count - count % (2 * parts)]
    before = _before(choice)
    compared = max(before, 0)
    smooth = _smoothing(drawn[order].reshape(parts, -1))
    apart = _parted(choice.costs - choice.costs[compared], order, parts)
    error = np.sqrt(apart.var(axis=2, ddof=1).mean(axis=1) * _error_share(smooth, apart))[:, None]
    safe, unsafe_now = _safe(choice, order, parts, smooth)
    answers = _answers(_drawn_in(apart, apart.mean(axis=2), smooth) + error, safe, unsafe_now)
    forced = ~safe[compared] if before != MAKE_SAFE else np.zeros(parts, dtype=bool)
    each = np.arange(parts)
    saved = 0.0
    for half in (0, 1):
        learned = _drawn_in(apart, apart[:, :, half::2].mean(axis=2), smooth)
        best = _answers(learned + error, safe, unsafe_now)
        gain = -apart[:, :, 1 - half :: 2].mean(axis=2)[best, each]
        counts = (best != MAKE_SAFE) & (~forced | (learned[best, each] < 0.0))
        saved += float(np.where(counts, gain, 0.0).mean()) / 2.0
    ends = drawn[order].reshape(parts, -1)
    edges = np.concatenate([ends[:1, 0], (ends[1:, 0] + ends[:-1, -1]) / 2.0, ends[-1:, -1]])
    return Information(
        0.0 if before == MAKE_SAFE else max(saved, 0.0),
        float(np.mean(answers != before)),
        0.0 if before == MAKE_SAFE else float(np.mean(forced | unsafe_now)),
        before,
        edges,
        answers,
    )


def _before(choice: Choice) -> int:
    if choice.ended_now is not None and choice.ended_now.mean() > choice.most_below:
        return MAKE_SAFE
    means = choice.costs.mean(axis=1)
    if choice.ended is None:
        return int(np.argmin(means))
    safe = choice.ended.mean(axis=1) <= choice.most_below
    return int(np.argmin(np.where(safe, means, np.inf))) if safe.any() else choice.otherwise


def _safe(choice: Choice, order: NDArray[np.intp], parts: int, smooth: Array) -> tuple[Flags, Flags]:
    """What may be done in each part, shape (things, parts), and whether the joint is made safe there."""
    safe = np.ones((len(choice.costs), parts), dtype=bool)
    unsafe = np.zeros(parts, dtype=bool)
    if choice.ended is not None:
        safe = ~_above(choice.ended, choice.most_below, order, smooth)
        none = ~safe.any(axis=0)
        safe[choice.otherwise, none] = True
    if choice.ended_now is not None:
        unsafe = _above(choice.ended_now[None], choice.most_below, order, smooth)[0]
    return safe, unsafe


def _above(ended: Flags, limit: float, order: NDArray[np.intp], smooth: Array) -> Flags:
    """Whether chances lie above a limit in each part: as in all draws, unless a part is clear of it."""
    parted = _parted(ended.astype(float), order, len(smooth))
    error = np.sqrt(limit * (1.0 - limit) * _error_share(smooth, parted))
    clear = np.where(ended.mean(axis=1) > limit, -error, error)[:, None]
    return np.asarray(_drawn_in(parted, parted.mean(axis=2), smooth) > limit + clear)


def _error_share(smooth: Array, parted: Array) -> float:
    """Variance of a smoothed mean of a part over that of one draw."""
    return float((smooth**2).sum(axis=1).mean()) / float(parted.shape[2])


def _answers(apart: Array, safe: Flags, unsafe_now: Flags) -> NDArray[np.intp]:
    best = np.argmin(np.where(safe, apart, np.inf), axis=0)
    return np.asarray(np.where(unsafe_now, MAKE_SAFE, best))


def _parted(values: Array, order: NDArray[np.intp], parts: int) -> Array:
    return values[:, order].reshape(len(values), parts, -1)


def _smoothing(ends: Array) -> Array:
    """Weights with which the means of parts are told by their neighbors, shape (parts, parts)."""
    parts, wide = len(ends), len(_NEIGHBORS) // 2
    apart = np.abs(np.arange(parts)[:, None] - np.arange(parts))
    weights = np.where(apart <= wide, _NEIGHBORS[np.minimum(wide + apart, 2 * wide)], 0.0)
    constant = np.where(ends[:, 0] == ends[:, -1], ends[:, 0], np.nan)
    alike = constant[:, None] == constant
    weights = np.where(alike.any(axis=1)[:, None], alike.astype(float), weights)
    return np.asarray(weights / weights.sum(axis=1)[:, None])


def _drawn_in(values: Array, means: Array, smooth: Array) -> Array:
    """Means of parts, drawn toward the mean of all by how little parts differ beside what is within them.

    Parameters
    ----------
    values : shape (things, parts, draws in a part)
    means : of the parts, or of some of their draws, shape (things, parts)
    smooth : from parts to parts, shape (parts, parts)
    """
    _, parts, many = values.shape
    middle = values.mean(axis=(1, 2))[:, None]
    between = many * values.mean(axis=2).var(axis=1, ddof=1)
    within = values.var(axis=2, ddof=1).mean(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(within > 0.0, between / within, np.where(between > 0.0, np.inf, 0.0))
        clear = ratio > _surely_apart(parts, many)
        kept = np.where(clear, 1.0 - 1.0 / ratio, 0.0)[:, None]
    return np.asarray(middle + kept * (means @ smooth.T - middle))


@once
def _surely_apart(parts: int, many: int) -> float:
    return float(f_distribution.ppf(_SURE, parts - 1, parts * (many - 1)))
