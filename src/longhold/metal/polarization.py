"""Polarization curves: how fast a metal dissolves and takes up oxygen at a potential."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.metal.parameters import parameter_rows

__all__ = [
    "CURRENT_AT_A_M2",
    "FARADAY_C_MOL",
    "Curve",
    "cathode_of_metal",
    "curve_mark",
    "curve_of_metal",
    "curve_rows",
    "faraday_um_yr",
    "oxygen_limit_a_m2",
]

Array = NDArray[np.float64]

CURRENT_AT_A_M2 = 0.01
"""Current density of oxygen reduction to which ``Curve.cathodic_v`` belongs [A/m2]."""
FARADAY_C_MOL = 96485.33212
"""Charge of a mole of electrons [C/mol], exact in the SI."""
_SECONDS_A_YEAR = 365.25 * 86400.0
_LN_10 = float(np.log(10.0))
_MOST_DECADES = 60.0  # keeps powers of ten finite; far beyond any current


@dataclass(frozen=True)
class Curve:
    """Both branches of one metal in water; potentials against the saturated calomel electrode.

    Dissolution a(E) = i_p + i_a 10^((E - E_a) / b_a). Oxygen taken up c(E): 1/c = 1/(s L) + 1/k, where
    k = 0.01 A/m2 times 10^((E_c - E) / b_c) and L is what the water brings.
    a never falls with E, c always does.

    Attributes
    ----------
    anodic_v, anodic_a_m2, anodic_slope_v : E_a [V], i_a [A/m2], b_a [V/decade]
    passive_a_m2 : i_p [A/m2], 0 where there is no passive film; it then breaks at about E_a
    cathodic_v, cathodic_slope_v : E_c [V], b_c [V/decade]
    oxygen_share : s, share of the oxygen brought that the surface takes up at most [-], more than 0
    """

    anodic_v: Array | float
    anodic_a_m2: Array | float
    anodic_slope_v: Array | float
    passive_a_m2: Array | float
    cathodic_v: Array | float
    cathodic_slope_v: Array | float
    oxygen_share: Array | float

    def dissolves_a_m2(self, potential_v: ArrayLike) -> Array:
        """Dissolution a(E) [A/m2]; shapes broadcast."""
        above = np.asarray(potential_v, float) - self.anodic_v
        return np.asarray(self.passive_a_m2 + self.anodic_a_m2 * _ten_to(above / self.anodic_slope_v))

    def takes_up_a_m2(self, potential_v: ArrayLike, oxygen_limit_a_m2: ArrayLike) -> Array:
        """Oxygen reduction c(E) [A/m2], under a limit L [A/m2] more than 0; shapes broadcast."""
        below = np.asarray(self.cathodic_v, float) - potential_v
        kinetic = CURRENT_AT_A_M2 * _ten_to(below / self.cathodic_slope_v)
        limit = np.asarray(self.oxygen_share, float) * oxygen_limit_a_m2
        return np.asarray(kinetic * limit / (kinetic + limit))


def curve_of_metal(metal: str) -> Curve:
    """The curve of a metal in sea water, from tables/metal/polarization.csv.

    Parameters
    ----------
    metal : zinc, steel, aluminium, copper, brass, silicon_bronze or stainless

    Raises
    ------
    KeyError : for another

    >>> curve_of_metal("zinc").anodic_slope_v
    0.04
    """
    return Curve(**{name: row["value"] for name, row in curve_rows()[metal].items()})


def cathode_of_metal(metal: str) -> Curve:
    """The curve of a metal as the nobler one of a couple: it takes up all the oxygen that arrives.

    A share of less would take from what the other loses, and no source gives one for a metal in a couple.

    >>> cathode_of_metal("aluminium").oxygen_share
    1.0
    """
    return replace(curve_of_metal(metal), oxygen_share=1.0)


def curve_mark(metal: str) -> Mark:
    """Weakest mark of the parameters of a metal's curve."""
    return weakest(row["mark"] for row in curve_rows()[metal].values())


def faraday_um_yr(current_a_m2: ArrayLike, metal: str) -> Array:
    """Loss [um/yr] that a current density [A/m2] of dissolution means: i M year / (n F rho).

    Molar masses, electrons and densities from tables/metal/faraday.csv (recalled).

    >>> round(float(faraday_um_yr(0.01, "zinc")), 2)
    14.97
    """
    row = _faraday()[metal]
    kg_mol = row["molar_g_mol"] / 1000.0
    m_a_second = (
        np.asarray(current_a_m2, float) * kg_mol / (row["electrons"] * FARADAY_C_MOL * row["density_kg_m3"])
    )
    return np.asarray(m_a_second * _SECONDS_A_YEAR * 1e6)


def oxygen_limit_a_m2(height_m: ArrayLike, diffusion_m2_s: float, concentration_mol_m3: float) -> Array:
    """Current that oxygen diffusing through a film of water keeps up: L = 4 F D C / h [A/m2].

    Parameters
    ----------
    height_m : h of the film [m], more than 0; below some 30 um kinetics limit instead
    diffusion_m2_s, concentration_mol_m3 : D and C of oxygen in water

    >>> round(float(oxygen_limit_a_m2(1e-4, 2.0e-9, 0.25)), 2)
    1.93
    """
    return np.asarray(
        4.0 * FARADAY_C_MOL * diffusion_m2_s * concentration_mol_m3 / np.asarray(height_m, float)
    )


def _ten_to(decades: ArrayLike) -> Array:
    # e to a multiple takes less than half of the time of 10 to a power
    return np.asarray(np.exp(_LN_10 * np.clip(decades, -_MOST_DECADES, _MOST_DECADES)))


def curve_rows() -> Mapping[str, Mapping[str, Row]]:
    """Every parameter of every metal, metal -> parameter -> row."""
    return parameter_rows("metal/polarization.csv", "metal")


@once
def _faraday() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "metal": str,
        "molar_g_mol": number,
        "electrons": number,
        "density_kg_m3": number,
    }
    return {row["metal"]: row for row in load_csv("metal/faraday.csv", columns, key=("metal",))}
