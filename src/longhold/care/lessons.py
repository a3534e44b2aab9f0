"""What readings taught, worked out once for the forecast, the visit and the life file that ask for it."""

from __future__ import annotations

from collections.abc import Sequence

from longhold.base.recent import Recent
from longhold.inspect.learn import Lesson, learn
from longhold.model.reading import Reading
from longhold.model.structure import Structure

__all__ = ["lesson_of"]

_MOST = 16
_kept = Recent[Lesson](_MOST)


def lesson_of(
    structure: Structure, readings: Sequence[Reading], *, draws: int = 2000, seed: int = 1
) -> Lesson:
    """As ``learn``; the lessons asked for last are kept, and two that ask at once wait for one learning.

    Raises
    ------
    InputError : as ``learn``
    """
    told = [one.model_dump_json() for one in readings]
    key = f"{draws} {seed} {structure.model_dump_json()} {told}"
    return _kept.get(key, lambda: learn(structure, readings, draws=draws, seed=seed))
