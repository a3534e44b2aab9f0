"""The anodic index: a screen of which metals may meet, which knows neither areas nor rates."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv, number

__all__ = ["anodic_index_v", "gap_verdicts"]


def anodic_index_v(metal: str) -> float:
    """Potential of a metal below gold in sea water, by the anodic index [V].

    Raises
    ------
    InputError : for a metal that the table does not hold

    >>> anodic_index_v("brass")
    0.4
    """
    found = _index().get(" ".join(metal.casefold().split()))
    if found is None:
        raise InputError(Problem("metal", metal, f"must be one of {', '.join(_index())}."))
    return found


def gap_verdicts(first_v: float, second_v: float) -> tuple[float, Mapping[str, bool]]:
    """Difference of two indices [V], and whether the rule allows it in each kind of surroundings.

    The rule allows 0.15 V outdoors, 0.25 V in stores without control, 0.50 V under control. It fails pairs
    that serve well, such as zinc on steel: rank by it, predict nothing.

    >>> gap, allowed = gap_verdicts(1.20, 0.85)
    >>> gap, [name for name, well in allowed.items() if well]
    (0.35, ['controlled'])
    """
    gap = round(abs(first_v - second_v), 6)
    columns: dict[str, Parser] = {"surroundings": str, "words": str, "most_v": number}
    rows = load_csv("metal/anodic_limits.csv", columns, key=("surroundings",))
    return gap, {row["surroundings"]: gap <= row["most_v"] for row in rows}


@once
def _index() -> Mapping[str, float]:
    columns: dict[str, Parser] = {"metal": str, "also": str, "below_gold_v": number}
    rows = load_csv("metal/anodic_index.csv", columns, key=("metal",))
    return {name: float(row["below_gold_v"]) for row in rows for name in row["also"].split("|")}
