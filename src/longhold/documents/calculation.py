"""The calculation as it is printed: results with units, and repeated stretches told once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from longhold.base.quantities import N_PER_LB
from longhold.base.trace import Section, Step
from longhold.documents.equations import set_units
from longhold.documents.figures import figure

__all__ = ["Book", "result"]

_LEAST_STEPS_TO_REFER_TO = 3


class Book:
    """Remembers which sections were printed, so that a later one can point to the first.

    >>> book = Book()
    >>> steps = [Step("loss", "r", "", {}, n, "um", "own", None) for n in range(3)]
    >>> book.first(Section("zinc", steps), "J1, nail") is None
    True
    >>> book.title(book.first(Section("zinc", steps), "J2, nail"))
    'J1, nail'
    """

    def __init__(self) -> None:
        self._ids: dict[str, str] = {}
        self._titles: dict[str, str] = {}
        self.last = ""

    def first(self, section: Section, where: str) -> str | None:
        """Id of an equal section printed earlier; None where this is the first, which ``last`` then names."""
        key = repr(section.parts)
        known = self._ids.get(key)
        if known is not None and sum(1 for _ in section.steps()) >= _LEAST_STEPS_TO_REFER_TO:
            return known
        self.last = f"calculation-{len(self._titles) + 1}"
        self._ids.setdefault(key, self.last)
        self._titles[self.last] = where
        return None

    def title(self, name: str) -> str:
        """Where the section with this id stands."""
        return self._titles[name]


def result(step: Step) -> str:
    """A step's result with its unit.

    >>> result(Step("loss", "r", "", {}, (8.0, 12.0, 17.0), "um/yr", "own", None))
    '12.0 (8.00 to 17.0) µm/yr'
    >>> result(Step("share", "f", "", {}, 0.5, "-", "own", None))
    '0.500'
    >>> result(Step("yield mode IV", "Z_IV", "", {}, 128.5, "lb", "own", None))
    '128 lb (572 N)'
    """
    if step.unit == "lb" and isinstance(step.value, int | float):
        return f"{_value(step.value)} lb ({_value(step.value * N_PER_LB)} N)"
    unit = "" if step.unit in {"", "-", "1"} else f" {set_units(step.unit)}"
    return f"{_value(step.value)}{unit}"


def _value(value: Any) -> str:
    if isinstance(value, str):
        return set_units(value)
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Sequence) or hasattr(value, "__len__"):
        low_middle_high = [_value(one) for one in value]
        if len(low_middle_high) == 3:
            return f"{low_middle_high[1]} ({low_middle_high[0]} to {low_middle_high[2]})"
        return ", ".join(low_middle_high)
    try:
        return figure(float(value), 3)
    except (TypeError, ValueError):
        return str(value)
