"""Figures of ISO 9224 for loss in open air over the years; ``metal.laws`` has the law itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from longhold.air.metals import checked_metal
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, number

__all__ = ["Which", "exponent", "exponent_mark", "straight_after_years"]

Which = Literal["B1", "B2"]


def exponent(metal: str, which: Which = "B1") -> float:
    """Time exponent b [-]: B1 the mean, B2 the cautious one (about two standard deviations up).

    Recalled, not read. Outdoor zinc data exist that come nearer to 0.5 than to B1, so B1 is cautious
    for zinc there. Source iso9224-2012.

    >>> exponent("zinc"), exponent("zinc", "B2")
    (0.813, 0.873)
    """
    return float(_exponents()[checked_metal(metal), which]["exponent"])


def exponent_mark(metal: str, which: Which = "B1") -> Mark:
    """Mark of an exponent."""
    mark: Mark = _exponents()[checked_metal(metal), which]["mark"]
    return mark


def straight_after_years() -> float:
    """Age after which the law goes straight on [years]; source iso9224-2012.

    >>> straight_after_years()
    20.0
    """
    return float(load_toml("air/iso9224_2012/law.toml")["straight_on"]["after_years"])


@once
def _exponents() -> Mapping[tuple[str, str], Row]:
    columns: dict[str, Parser] = {"metal": checked_metal, "which": str, "exponent": number, "meaning": str}
    rows = load_csv("air/iso9224_2012/exponents.csv", columns, key=("metal", "which"))
    return {(row["metal"], row["which"]): row for row in rows}
