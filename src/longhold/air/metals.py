"""The four metals that the open-air law knows, and checks that every function here shares."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import load_csv, number

__all__ = ["METALS", "Array", "Metal", "checked_metal", "densities_g_cm3", "known", "not_negative"]

Array = NDArray[np.float64]
Metal = Literal["carbon_steel", "zinc", "copper", "aluminium"]
METALS: tuple[Metal, ...] = get_args(Metal)


def checked_metal(metal: str) -> Metal:
    """The metal, or an InputError that lists the four.

    >>> checked_metal("zinc")
    'zinc'
    """
    for name in METALS:
        if metal == name:
            return name
    raise InputError(Problem("metal", metal, f"the law for air knows {', '.join(METALS)} only."))


def known(name: str, values: ArrayLike) -> Array:
    """Values as an array; InputError where any is not a finite number."""
    array = np.asarray(values, dtype=float)
    if not np.isfinite(array).all():
        raise InputError(
            Problem(name, None, "must be a finite number.", "Give a value; none is guessed here.")
        )
    return array


def not_negative(name: str, values: ArrayLike) -> Array:
    """Values as an array; InputError where any is below zero or not a finite number.

    >>> float(not_negative("years", 3))
    3.0
    """
    array = known(name, values)
    if (array < 0).any():
        raise InputError(Problem(name, float(array.min()), "must not be below zero."))
    return array


@once
def densities_g_cm3() -> Mapping[Metal, float]:
    """Density of each metal [g/cm3] with which ISO 9223 ties mass and depth (source iso9223-2012).

    >>> densities_g_cm3()["aluminium"]
    2.7
    """
    rows = load_csv(
        "air/iso9223_2012/densities.csv", {"metal": checked_metal, "density_g_cm3": number}, key=("metal",)
    )
    return {row["metal"]: row["density_g_cm3"] for row in rows}
