"""Categories of ISO 9223 by first-year loss."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.air.metals import Metal, checked_metal, densities_g_cm3, not_negative
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, optional_number

__all__ = ["ABOVE", "CATEGORIES", "bounds_mark", "bounds_um", "category", "category_shares", "mass_loss_g_m2"]

CATEGORIES = ("C1", "C2", "C3", "C4", "C5", "CX")
ABOVE = "above CX"


def bounds_um(metal: str) -> Mapping[str, tuple[float, float]]:
    """Lower (excluded) and upper (included) bound of each category [um in the first year].

    The standard gives no upper bound to CX for aluminium (infinity here), and calls C1 there
    negligible (0 to 0). Aluminium bounds are mass bounds divided by density. Source iso9223-2012.

    >>> bounds_um("zinc")["C3"]
    (0.7, 2.1)
    """
    uppers = _uppers_um(checked_metal(metal))
    return dict(zip(CATEGORIES, zip((0.0, *uppers[:-1]), uppers, strict=True), strict=True))


def bounds_mark(metal: str) -> Mark:
    """Weakest mark of the bounds that ``bounds_um`` gives.

    >>> bounds_mark("zinc").value, bounds_mark("copper").value
    ('verified', 'memory')
    """
    name = checked_metal(metal)
    return weakest(row["mark"] for row in _rows() if row["metal"] == name and row["unit"] == _unit(name))


def category(metal: str, loss_um: float) -> str:
    """Category of a first-year loss [um]: C1 to CX, or 'above CX', which is no ceiling in nature.

    A category is closed at its upper end. Source iso9223-2012.

    >>> category("carbon_steel", 25.0), category("carbon_steel", 25.1), category("zinc", 40.0)
    ('C2', 'C3', 'above CX')
    """
    return (*CATEGORIES, ABOVE)[int(_index(metal, loss_um))]


def category_shares(metal: str, losses_um: ArrayLike) -> dict[str, float]:
    """Share of draws of the first-year loss [um] that falls in each category; the shares add up to 1.

    >>> category_shares("zinc", [0.5, 0.6, 1.0, 30.0])
    {'C1': 0.0, 'C2': 0.5, 'C3': 0.25, 'C4': 0.0, 'C5': 0.0, 'CX': 0.0, 'above CX': 0.25}
    """
    names = (*CATEGORIES, ABOVE)
    index = _index(metal, losses_um).ravel()
    if index.size == 0:
        raise ValueError("no losses given")
    counts = np.bincount(index, minlength=len(names)) / index.size
    return {name: float(share) for name, share in zip(names, counts, strict=True)}


def mass_loss_g_m2(metal: str, loss_um: ArrayLike) -> NDArray[np.float64]:
    """Mass lost [g/m2] for a depth [um], by the densities of ISO 9223.

    >>> float(mass_loss_g_m2("zinc", 1.0))
    7.14
    """
    return np.asarray(not_negative("loss_um", loss_um) * densities_g_cm3()[checked_metal(metal)])


def _index(metal: str, losses_um: ArrayLike) -> NDArray[np.intp]:
    uppers = _uppers_um(checked_metal(metal))
    return np.asarray(np.searchsorted(uppers, not_negative("loss_um", losses_um), side="left"))


@once
def _uppers_um(metal: Metal) -> tuple[float, ...]:
    unit = _unit(metal)
    scale = 1.0 if unit == "um" else densities_g_cm3()[metal]
    found = {r["category"]: r["upper"] for r in _rows() if r["metal"] == metal and r["unit"] == unit}
    return tuple(np.inf if found[name] is None else found[name] / scale for name in CATEGORIES)


def _unit(metal: Metal) -> str:
    return "g/m2" if metal == "aluminium" else "um"


@once
def _rows() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "metal": checked_metal,
        "category": str,
        "unit": str,
        "upper": optional_number,
    }
    return load_csv("air/iso9223_2012/categories.csv", columns, key=("metal", "category", "unit"))
