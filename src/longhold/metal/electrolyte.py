"""The water that joins two metals: a film outdoors, salty or of rain, or wet treated wood."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.marks import Mark, weakest
from longhold.base.tables import Row
from longhold.metal.parameters import parameter_rows
from longhold.metal.polarization import oxygen_limit_a_m2

__all__ = [
    "Electrolyte",
    "electrolyte_mark",
    "film",
    "oxygen_in_water",
    "spread",
    "wet_wood",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Electrolyte:
    """What carries current and oxygen between two metals.

    Attributes
    ----------
    words : for people
    conductivity_s_m : [S/m], more than 0
    height_m : of the layer that carries the current [m], more than 0
    oxygen_limit_a_m2 : current that the oxygen in it keeps up at a bare surface [A/m2], more than 0
    """

    words: str
    conductivity_s_m: ArrayLike
    height_m: ArrayLike
    oxygen_limit_a_m2: ArrayLike


def film(chloride_mg_m2_d: ArrayLike, height_factor: ArrayLike = 1.0) -> Electrolyte:
    """The film of water on metal outdoors.

    Its conductivity is that of rain up to a low chloride deposition, that of salt water from a high one, and
    between them a power of the deposition; oxygen reaches the metal by diffusion through it.

    Parameters
    ----------
    chloride_mg_m2_d : deposition [mg/(m2 d)], not negative
    height_factor : on the middle height [-]

    >>> float(film(300.0).conductivity_s_m), round(float(film(30.0).conductivity_s_m), 3)
    (1.07, 0.103)
    """
    rain, sea = (_values(name) for name in ("rain_film", "sea_film"))
    low, high = np.log([rain["chloride_mg_m2_d"], sea["chloride_mg_m2_d"]])
    at = np.log(np.maximum(np.asarray(chloride_mg_m2_d, float), np.exp(low)))
    k = np.exp(np.interp(at, [low, high], np.log([rain["conductivity_s_m"], sea["conductivity_s_m"]])))
    h = sea["height_m"] * np.asarray(height_factor, float)
    limit = oxygen_limit_a_m2(h, *oxygen_in_water())
    return Electrolyte("a film of water", k, h, limit)


def wet_wood(height_factor: ArrayLike = 1.0) -> Electrolyte:
    """Wet treated wood; every figure is our own, see tables/metal/electrolytes.csv.

    Parameters
    ----------
    height_factor : on the thickness of wood that carries the current [-]; oxygen does not hang on it
    """
    own = _values("wet_wood")
    h = own["height_m"] * np.asarray(height_factor, float)
    return Electrolyte("wet wood", own["conductivity_s_m"], h, own["oxygen_limit_a_m2"])


def oxygen_in_water() -> tuple[float, float]:
    """Diffusion coefficient [m2/s] and concentration [mol/m3] of oxygen in water under air, recalled."""
    oxygen = _values("oxygen")
    return oxygen["diffusion_m2_s"], oxygen["concentration_mol_m3"]


def spread(where: str, what: str) -> float:
    """Standard deviation of the logarithm of ``reach`` or ``current``, in a ``film`` or in ``wood``."""
    return _values(where)[f"{what}_sd_ln"]


def electrolyte_mark(*names: str) -> Mark:
    """Weakest mark of the figures of some electrolytes."""
    return weakest(row["mark"] for name in names for row in _rows()[name].values())


def _values(name: str) -> Mapping[str, float]:
    return {parameter: row["value"] for parameter, row in _rows()[name].items()}


def _rows() -> Mapping[str, Mapping[str, Row]]:
    return parameter_rows("metal/electrolytes.csv", "electrolyte")
