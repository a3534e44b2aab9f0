"""What ``decide`` and ``plan`` are asked: structure, costs, dates, and what readings taught."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from longhold.base.errors import InputError, Problem

if TYPE_CHECKING:
    from longhold.forecast.causes import Learned
    from longhold.inspect.decide import Asked
    from longhold.model.costs import Costs
    from longhold.model.structure import Structure

__all__ = ["Question", "check_targets", "question_of"]


@dataclass(frozen=True)
class Question:
    """The question, read.

    Attributes
    ----------
    learned : what readings leave of the draws; None without readings
    readings : how many correct the forecast, and how many are only kept
    repeated : lines of the table that were left out, in words
    stated_next : whether the time to the next visit was stated
    """

    structure: Structure
    costs: Costs
    asked: Asked
    learned: Learned | None
    readings: tuple[int, int]
    repeated: tuple[str, ...]
    stated_next: bool


def check_targets(targets: Sequence[tuple[Path | None, str, str]], inputs: Sequence[Path | None]) -> None:
    """Refuse, before any work is done, targets that cannot be written, are inputs, or are one file.

    Parameters
    ----------
    targets : file, option and ending of each; None where it is not asked for

    Raises
    ------
    InputError : naming the option
    """
    from longhold.cli.output import check_target, refuse_overwriting

    read = [one for one in inputs if one is not None]
    for path, option, ending in targets:
        if path is not None:
            refuse_overwriting(path, option, read)
            check_target(path, option, ending)


def question_of(
    structure: Path,
    costs: Path,
    readings: Path | None,
    *,
    on: str,
    next_visit: str,
    limit: float | None,
    draws: int,
    seed: int,
) -> Question:
    """Read what a question names, and let readings correct the draws.

    Raises
    ------
    InputError : with what is wrong, by file or option
    """
    from longhold.inspect.decide import Asked, age_on
    from longhold.intake.load import load, load_costs

    described, money = load(structure), load_costs(costs)
    stated = next_visit != "" or money.visit_every_years > 0.0
    asked = Asked(_date(on), _years(next_visit, money), limit)
    try:
        age_on(described, asked)
    except InputError as error:
        raise error.in_file(str(structure)) from None
    if readings is None:
        return Question(described, money, asked, None, (0, 0), (), stated)
    from longhold.inspect.learn import learn
    from longhold.inspect.observed import refuse_misfit
    from longhold.intake.readings import read_readings

    given = read_readings(readings, partial(refuse_misfit, described))
    if late := [one.date for one in given.readings if one.date > asked.on]:
        told = f"lies before a reading of {max(late)}."
        raise InputError(Problem("--on", asked.on.isoformat(), told, "Decide on that day or later."))
    try:
        lesson = learn(described, given.readings, draws=draws, seed=seed)
    except InputError as error:
        raise error.in_file(f"{structure} with {readings}") from None
    counted = (len(lesson.readings), len(lesson.kept))
    return Question(described, money, asked, lesson.learned, counted, given.repeated, stated)


def _date(text: str) -> datetime.date:
    if not text:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise InputError(Problem("--on", text, "must be a date such as 2031-05-14.")) from None


def _years(text: str, money: Costs) -> float:
    if not text:
        from longhold.inspect.thresholds import threshold

        return money.visit_every_years or threshold("next_visit_years")
    from longhold.base.quantities import parse_quantity

    try:
        years = parse_quantity(text, "time_years")
    except ValueError as error:
        raise InputError(Problem("--next", text, f"{error}.")) from None
    if not 0.0 < years <= 100.0:
        raise InputError(Problem("--next", text, "must be more than 0 and at most 100 years."))
    return years
