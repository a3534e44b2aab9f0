"""Readings correct the forecast: the draws of the causes that they bear on, as they leave them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from longhold.assessment.findings import Assessment
from longhold.assessment.line import assess
from longhold.assessment.setting import setting_for
from longhold.base.errors import InputError, Problem
from longhold.forecast.causes import CAUSE_WORDS, Causes, Learned
from longhold.forecast.exposure import AirLaw
from longhold.forecast.summary import Band, band_of
from longhold.inspect.corrected import corrected, gauge_error
from longhold.inspect.expected import Forward
from longhold.inspect.likelihood import seen, wild_chance
from longhold.inspect.observed import Kept, Observed, observed
from longhold.inspect.thresholds import threshold
from longhold.model.reading import Reading
from longhold.model.structure import Structure

__all__ = ["CauseMove", "Lesson", "ReadingFinding", "Updated", "learn", "update"]

Array = NDArray[np.float64]
_MOST_READINGS = 2000


@dataclass(frozen=True)
class ReadingFinding:
    """One reading beside the forecast.

    Attributes
    ----------
    index, reading : which
    age : of the structure at its date [years]
    before, after : what was expected of it, and is by all readings [unit of the reading; of rust the share]
    agrees : chance before the readings of one at least as far off, gauge and spots included, 0 to 1
    far_off : whether that is below 2 in 100
    wild : chance that something went wrong with it, given all readings
    most_new : of zinc that is thicker than fewer than 2 in 100 were expected to be when new, what 98 in 100
        stay under then [um]; None of any other reading
    """

    index: int
    reading: Reading
    age: float
    before: Band
    after: Band
    agrees: float
    far_off: bool
    wild: float
    most_new: float | None = None

    @property
    def likely_wild(self) -> bool:
        """Whether it counts little because it fits neither the forecast nor the other readings."""
        return self.wild > threshold("likely_wild")


@dataclass(frozen=True)
class CauseMove:
    """How far readings moved one cause.

    Attributes
    ----------
    cause, scope, words : which
    shift : of its mean [standard deviations before]
    left : its standard deviation over that before
    """

    cause: str
    scope: str
    words: str
    shift: float
    left: float


@dataclass(frozen=True)
class Lesson:
    """What readings taught.

    Attributes
    ----------
    learned : draws of the causes as they leave them
    readings : those that correct the forecast, in their order
    kept : those that are only kept
    moves : causes that moved, most first
    log_evidence : logarithm of the chance of the readings under the forecast
    distinct : share of draws that differ: the nearer to 1 the better they stand for what is left
    """

    learned: Learned
    readings: tuple[ReadingFinding, ...]
    kept: tuple[Kept, ...]
    moves: tuple[CauseMove, ...]
    log_evidence: float
    distinct: float


@dataclass(frozen=True)
class Updated:
    """A structure's answer before its readings and after."""

    before: Assessment
    after: Assessment
    lesson: Lesson


def update(
    structure: Structure,
    readings: Sequence[Reading],
    *,
    draws: int = 2000,
    seed: int = 1,
    air_law: AirLaw = "both",
    progress: Callable[[int, int], None] | None = None,
    lesson: Lesson | None = None,
) -> Updated:
    """Assess a structure, let readings correct the forecast, and assess it again.

    Parameters
    ----------
    draws, seed, air_law, progress : as in ``assess``
    lesson : what ``learn`` found of the same, where that is known already

    Raises
    ------
    InputError : as ``assess`` and ``learn``
    """
    if lesson is None:
        lesson = learn(structure, readings, draws=draws, seed=seed, air_law=air_law)
    before = assess(structure, draws=draws, seed=seed, air_law=air_law, progress=progress)
    after = assess(structure, seed=seed, air_law=air_law, learned=lesson.learned, progress=progress)
    return Updated(before, after, lesson)


def learn(
    structure: Structure,
    readings: Sequence[Reading],
    *,
    draws: int = 2000,
    seed: int = 1,
    air_law: AirLaw = "both",
) -> Lesson:
    """Let readings correct the draws of the causes that they bear on.

    What joints share (the site's salt, the wood's law, the zinc on a box) is corrected for all of them; what
    is a joint's own for that joint. Readings are taken as independent beside what they share: causes, and the
    error of one gauge.

    Raises
    ------
    InputError : no reading, or none that bears on the forecast; unknown joints, parts and faces; dates before
        the structure was built
    """
    if not readings:
        raise InputError(Problem("readings", None, "hold none.", "Give at least one."))
    if len(readings) > _MOST_READINGS:
        raise InputError(Problem("readings", len(readings), f"must be {_MOST_READINGS:,} at most."))
    ages = np.linspace(0.0, structure.design_life, 5)
    setting = setting_for(structure, ages, draws=draws, seed=seed, air_law=air_law)
    used, kept = observed(structure, setting.prepared, readings)
    forward = Forward(setting, used, air_law)
    first = Causes(seed, draws)
    expected = forward.expected(first)
    not_computed = [one for one, x in zip(used, expected, strict=True) if x is None]
    kept += tuple(Kept(one.index, one.reading, "this part is not computed") for one in not_computed)
    used = tuple(one for one, x in zip(used, expected, strict=True) if x is not None)
    if not used:
        whys = "; ".join(dict.fromkeys(one.because for one in kept))
        raise InputError(Problem("readings", len(readings), f"none bears on the forecast: {whys}."))
    forward = Forward(setting, used, air_law)
    learned, tempered = corrected(forward, first)
    return Lesson(
        learned,
        tuple(_findings(forward, first, learned, seed)),
        tuple(sorted(kept, key=lambda one: one.index)),
        _moves(first, learned),
        tempered.log_evidence,
        tempered.distinct,
    )


def _findings(forward: Forward, first: Causes, learned: Learned, seed: int) -> list[ReadingFinding]:
    causes = learned.causes(seed)
    generator = np.random.default_rng(seed)
    found = []
    pairs = zip(forward.observed, forward.computed(first), forward.computed(causes), strict=True)
    for one, before, after in pairs:
        agrees = _agrees(one, seen(one, before, generator))
        wild = wild_chance(one, after, gauge_error(one, causes))
        found.append(
            ReadingFinding(
                one.index,
                one.reading,
                one.age,
                band_of(before),
                band_of(after),
                agrees,
                agrees < threshold("far_off"),
                wild,
                _most_new(forward, one, first) if agrees < threshold("far_off") else None,
            )
        )
    return found


def _most_new(forward: Forward, one: Observed, first: Causes) -> float | None:
    """Zinc that hardly any was expected to have when new, where more than that was read [um]."""
    if one.reading.measured != "zinc":
        return None
    when_new = replace(one, age=0.0)
    (drawn,) = replace(forward, observed=(when_new,)).computed(first)
    most = float(np.quantile(drawn, 1.0 - threshold("far_off")))
    agrees = _agrees(when_new, seen(when_new, drawn, np.random.default_rng(0)))
    return most if one.reading.amount > most and agrees < threshold("far_off") else None


def _agrees(one: Observed, drawn: Array) -> float:
    """Chance of a reading at least as far off on its side, both sides counted; never quite zero."""
    reading = one.reading
    low, high = reading.rusted if reading.measured == "rust" else (reading.amount,) * 2
    least = 1.0 / (len(drawn) + 1.0)
    tail = min(float(np.mean(drawn <= high)), float(np.mean(drawn >= low)))
    return min(1.0, max(least, 2.0 * tail))


def _moves(first: Causes, learned: Learned) -> tuple[CauseMove, ...]:
    found, least = [], threshold("moved_least")
    for (cause, scope), after in learned.draws.items():
        before = first.used[cause, scope]
        shift, left = float(after.mean() - before.mean()), float(after.std() / before.std())
        if abs(shift) >= least or left <= 1.0 - least:
            found.append(CauseMove(cause, scope, CAUSE_WORDS[cause], shift, left))
    return tuple(sorted(found, key=lambda one: (one.left, -abs(one.shift))))
