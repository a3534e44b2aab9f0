"""Wood changed all through instead of impregnated: heat-treated and acetylated wood, and oil on top."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from longhold.base.errors import InputError, Problem
from longhold.wood.bands import Band, load_bands

__all__ = ["MODIFICATIONS", "Modification", "modification_bands", "modified_multiplier"]

Modification = Literal["heat_treated", "acetylated"]
MODIFICATIONS: tuple[Modification, ...] = ("heat_treated", "acetylated")
_IRON = frozenset({"carbon_steel", "weathering_steel"})


def modification_bands() -> Mapping[str, Band]:
    """Multipliers of modified wood against CCA = 1, and the factor of an oil finish (all own).

    >>> modification_bands()["oiled"].shown()
    '0.8 (0.6 to 1)'
    """
    return load_bands("modifications")


def modified_multiplier(modification: str, metal: str) -> Band:
    """Multiplier on the rate of a metal in modified wood, against CCA = 1 in the same air.

    Moisture is that of unmodified wood in the same air: the lower moisture of modified wood is in the
    multiplier. The multiplier stands for any species.

    Parameters
    ----------
    modification : "heat_treated" (thermally modified) or "acetylated"
    metal : a name in ``embedded.metal_bands``. Steel and zinc each have their own figure; for aluminium and
        copper alloys nothing is read, and the larger of the two stands. Stainless takes no multiplier

    Raises
    ------
    InputError : a modification that is not known

    Notes
    -----
    Source ``own`` for every size. Read are the orders: in heat-treated wood steel and zinc lose more than in
    the same wood untreated, steel more than in treated pine and zinc much less than steel; in acetylated wood
    steel loses less than in any preservative, zinc less than in all but CCA.

    >>> modified_multiplier("heat_treated", "carbon_steel").median
    2.5
    """
    if modification not in MODIFICATIONS:
        allowed = f"must be one of {', '.join(MODIFICATIONS)}."
        raise InputError(Problem("modification", modification, allowed))
    iron, zinc = (modification_bands()[f"{modification}{metal_of}"] for metal_of in ("", "_zinc"))
    if metal in _IRON:
        return iron
    return zinc if metal == "zinc" else max(iron, zinc, key=lambda band: band.median)
