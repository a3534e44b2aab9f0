"""What readings taught, worked out once for the forecast, the visit and the life file that ask for it."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Sequence

from longhold.inspect.learn import Lesson, learn
from longhold.model.reading import Reading
from longhold.model.structure import Structure

__all__ = ["lesson_of"]

_MOST = 16
_kept: OrderedDict[str, Lesson] = OrderedDict()
_lock = threading.Lock()


def lesson_of(
    structure: Structure, readings: Sequence[Reading], *, draws: int = 2000, seed: int = 1
) -> Lesson:
    """As ``learn``; the lessons asked for last are kept.

    Raises
    ------
    InputError : as ``learn``
    """
    told = [one.model_dump_json() for one in readings]
    key = f"{draws} {seed} {structure.model_dump_json()} {told}"
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    found = learn(structure, readings, draws=draws, seed=seed)
    with _lock:
        _kept[key] = found
        while len(_kept) > _MOST:
            _kept.popitem(last=False)
    return found
