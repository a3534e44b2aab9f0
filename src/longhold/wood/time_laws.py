"""From the loss of one year in wood to the loss of fifty: exponents of the two named laws."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv, number

__all__ = ["law_exponent", "laws"]

_INFINITE = float("inf")


def laws() -> tuple[str, ...]:
    """Names of the laws, from ``tables/wood/time_exponents.csv``.

    >>> laws()
    ('linear', 'power')
    """
    return tuple(sorted({law for law, _ in _exponents()}))


def law_exponent(law: str, metal: str) -> tuple[float, str, Mark]:
    """Exponent n [-] of a named law for a metal, with its source and mark.

    ``linear`` is n = 1: every year as the first, the safe side. ``power`` is n = 0.5 for steel and 0.6 for
    zinc (recalled), and 1 for metals of which no figure is known.

    Raises
    ------
    InputError : law or metal not in the table

    >>> law_exponent("power", "zinc")[0]
    0.6
    """
    found = _exponents().get((law, metal))
    if found is None:
        known = ", ".join(f"{one} of {other}" for one, other in sorted(_exponents()))
        raise InputError(
            Problem("law, metal", f"{law} of {metal}", "is not a time law", f"Known are: {known}.")
        )
    return found


@once
def _exponents() -> Mapping[tuple[str, str], tuple[float, str, Mark]]:
    rows = load_csv(
        "wood/time_exponents.csv",
        {"law": str, "metal": str, "exponent": number, "words": str},
        key=("law", "metal"),
    )
    return MappingProxyType(
        {(row["law"], row["metal"]): (row["exponent"], row["source"], row["mark"]) for row in rows}
    )
