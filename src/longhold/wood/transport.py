"""How water moves in wood: diffusivity of bound and free water, room for water, cells across a timber."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import erf, exp, pi, sqrt
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import checked

__all__ = [
    "WoodSection",
    "bound_water_diffusivity_m2_s",
    "diffusivity_across_m2_s",
    "liquid_diffusivity_m2_s",
    "most_moisture_pct",
    "section_cells_m",
    "transport_band",
]

Array = NDArray[np.float64]
_TABLE = "wood/transport.toml"
_GAS = 8.314462618
_KELVIN = 273.15
_WATER_KG_M3 = 1000.0


def transport_band(name: str) -> Band:
    """One of our figures for the movement of water, with its band.

    Names: diffusion_factor, along_factor, absorption_across, absorption_along, full_pct, after_rain.

    >>> transport_band("absorption_across").shown()
    '0.0035 kg/(m2 s^0.5) (0.002 to 0.005)'
    """
    return load_bands("transport_bands")[name]


def _grain_default(name: str) -> float:
    return transport_band(name).median


@dataclass(frozen=True)
class WoodSection:
    """A timber as the moisture simulation sees it: one line from its front face to its back face.

    Attributes
    ----------
    thickness_m : from face to face [m]; for end grain, the length looked at [m]. More than 0 to 2
    specific_gravity : dry mass over the volume as it stands, against water [-], below that of the cell wall
    grain : "across", or "along" for end grain at the front face
    diffusion_factor : on the diffusivity of bound water across the grain [-]
    A_w : absorption coefficient A_w [kg/(m2 s^0.5)]; None takes the table's for the grain
    full_pct : moisture to which liquid water fills the wood [%]; less where the density leaves less room
    after_rain : diffusivity of free water while no water stands on the faces, against that in rain [-]
    cells : number of cells across, 4 to 1000; None takes the table's
    first_cell_m : width of the cell at each face [m]; None takes the table's

    Raises
    ------
    InputError : for a timber that cannot be
    """

    thickness_m: float
    specific_gravity: float
    grain: Literal["across", "along"] = "across"
    diffusion_factor: float = field(default_factory=lambda: _grain_default("diffusion_factor"))
    A_w: float | None = None
    full_pct: float = field(default_factory=lambda: _grain_default("full_pct"))
    after_rain: float = field(default_factory=lambda: _grain_default("after_rain"))
    cells: int | None = None
    first_cell_m: float | None = None

    def __post_init__(self) -> None:
        most_moisture_pct(self.specific_gravity)
        problems: list[Problem] = []
        for name, value, above, most, unit in (
            ("thickness_m", self.thickness_m, 0.0, 2.0, "m"),
            ("diffusion_factor", self.diffusion_factor, 0.0, 100.0, ""),
            ("A_w", self.absorption, 0.0, 0.2, "kg/(m2 s^0.5)"),
            ("after_rain", self.after_rain, 0.0, 1.0, ""),
            ("first_cell_m", self.first_cell, 0.0, 2.0, "m"),
        ):
            if not above < value <= most:
                said = f"must be a number more than {above:g} and at most {most:g} {unit}".rstrip()
                problems.append(Problem(f"section.{name}", value, f"{said}."))
        least = (
            load_toml(_TABLE)["free_water"]["from_pct"] + 2.0 * load_toml(_TABLE)["free_water"]["blend_pct"]
        )
        if not least <= self.full_pct <= 400.0:
            problems.append(
                Problem("section.full_pct", self.full_pct, f"must lie between {least:g} and 400 %.")
            )
        elif self.filled_pct < least:
            room = f"leaves room for {self.filled_pct:.0f} % of water alone"
            said = f"{room}; liquid flow is computed from {least:g} % up."
            problems.append(Problem("section.specific_gravity", self.specific_gravity, said))
        if not 4 <= self.cell_count <= 1000:
            problems.append(Problem("section.cells", self.cells, "must lie between 4 and 1000."))
        if self.grain not in ("across", "along"):
            problems.append(Problem("section.grain", self.grain, "must be across or along."))
        if problems:
            raise InputError(*problems)

    @property
    def absorption(self) -> float:
        """Absorption coefficient, told or the table's [kg/(m2 s^0.5)]."""
        if self.A_w is not None:
            return self.A_w
        return _grain_default(f"absorption_{'along' if self.grain == 'along' else 'across'}")

    @property
    def bound_factor(self) -> float:
        """Factor on the diffusivity of bound water across the grain [-], the grain included."""
        return self.diffusion_factor * (_grain_default("along_factor") if self.grain == "along" else 1.0)

    @property
    def filled_pct(self) -> float:
        """Moisture to which liquid water fills this timber [%]."""
        return min(self.full_pct, float(most_moisture_pct(self.specific_gravity)))

    @property
    def cell_count(self) -> int:
        """Cells across."""
        return int(load_toml(_TABLE)["grid"]["cells"]) if self.cells is None else self.cells

    @property
    def first_cell(self) -> float:
        """Width of the cell at each face [m] that is wished for."""
        return float(load_toml(_TABLE)["grid"]["first_m"]) if self.first_cell_m is None else self.first_cell_m

    @property
    def dry_density_kg_m3(self) -> float:
        """Dry mass of the volume as it stands [kg/m3]."""
        return _WATER_KG_M3 * self.specific_gravity

    def cell_widths_m(self) -> Array:
        """Width of each cell from front to back [m]."""
        return section_cells_m(self.thickness_m, self.cell_count, self.first_cell)


def bound_water_diffusivity_m2_s(moisture_pct: ArrayLike, temperature_c: ArrayLike) -> Array:
    """Diffusivity of bound water in the cell wall, across it [m2/s].

    D = 7e-6 exp(-(38500 - 290 M)/(R T)), M up to where free water starts. Source wood-siau-1984 (memory).

    Parameters
    ----------
    moisture_pct : moisture M [% of dry mass], 0 to 400
    temperature_c : temperature [deg C], -60 to 100

    Raises
    ------
    InputError : out of range

    >>> float(bound_water_diffusivity_m2_s(15.0, 20.0)) * 1e12
    5.75
    """
    law = load_toml(_TABLE)["bound_water"]
    held = np.minimum(checked("moisture_pct", moisture_pct, 0.0, 400.0, "%"), _most_bound_pct())
    kelvin = checked("temperature_c", temperature_c, -60.0, 100.0, "deg C") + _KELVIN
    energy = law["energy_j_mol"] - law["slope_j_mol_pct"] * held
    return np.asarray(law["d0_m2_s"] * np.exp(-energy / (_GAS * kelvin)))


def diffusivity_across_m2_s(
    moisture_pct: ArrayLike, temperature_c: ArrayLike, specific_gravity: float
) -> Array:
    """Diffusivity of bound water across the grain of wood [m2/s]: the cell wall's, less the empty pores' way.

    D / ((1 - a)(1 - a^2)), a^2 = 1 - G (0.667 + 0.01 M): vapour in the pores is taken to keep up. Source
    wood-siau-1984 (memory).

    Parameters
    ----------
    moisture_pct : moisture M [% of dry mass], 0 to 400
    temperature_c : temperature [deg C], -60 to 100
    specific_gravity : G [-], more than 0, below that of the cell wall

    Raises
    ------
    InputError : out of range

    >>> float(diffusivity_across_m2_s(10.0, 20.0, 0.5)) * 1e11
    3.8
    """
    law = load_toml(_TABLE)["bound_water"]
    most_moisture_pct(specific_gravity)
    wall = bound_water_diffusivity_m2_s(moisture_pct, temperature_c)
    held = np.minimum(np.asarray(moisture_pct, dtype=float), _most_bound_pct())
    pore = np.sqrt(np.maximum(1.0 - specific_gravity * (law["pore0"] + law["pore1"] * held), 0.0))
    return np.asarray(wall / ((1.0 - pore) * (1.0 - pore**2)))


def _most_bound_pct() -> float:
    """Bound water of wet wood [%]: the change to free water lies half before, half behind it."""
    free = load_toml(_TABLE)["free_water"]
    return float(free["from_pct"] + 0.5 * free["blend_pct"])


def most_moisture_pct(specific_gravity: ArrayLike) -> Array:
    """Most moisture that the pores of wood can hold [% of dry mass].

    100 (Gw - G)/(Gw G), Gw = 1.54 of the cell wall. Source wood-uptake-memory (memory).

    Raises
    ------
    InputError : for a specific gravity not above 0.05 or not below the cell wall's

    >>> round(float(most_moisture_pct(0.5)))
    135
    """
    wall = float(load_toml(_TABLE)["cell_wall"]["gravity"])
    do = f"The cell wall itself has {wall:g}; wood has 0.1 to 1.3."
    gravity = checked("section.specific_gravity", specific_gravity, 0.05, 0.999 * wall, "", do)
    return np.asarray(100.0 * (wall - gravity) / (wall * gravity))


def liquid_diffusivity_m2_s(A_w: float, specific_gravity: float, filled_pct: float) -> float:
    """Diffusivity of free water that draws in A_w sqrt(t) from a wet face [m2/s].

    D = pi/4 (A_w erf(x) / (rho (M_full - M_free)/100))^2, where sqrt(pi) x exp(x^2) erf(x) =
    (M_full - M_free)/(M_free - M_start): free water behind a sharp front that moves into wood of 12 %.
    Bound water, which runs ahead of the front, is not in it.

    Parameters
    ----------
    A_w : absorption coefficient A_w [kg/(m2 s^0.5)]
    specific_gravity : G [-]
    filled_pct : moisture of the wet face M_full [%], above where free water starts

    Notes
    -----
    Own use of the one-phase Stefan solution.

    >>> liquid_diffusivity_m2_s(0.005, 0.5, 80.0) * 1e10
    1.93
    """
    law = load_toml(_TABLE)["free_water"]
    free = float(law["from_pct"])
    drawn = (filled_pct - free) / (free - law["absorbs_from_pct"])
    low, high = 0.0, 5.0
    for _ in range(60):
        x = 0.5 * (low + high)
        if sqrt(pi) * x * exp(x * x) * erf(x) < drawn:
            low = x
        else:
            high = x
    room = _WATER_KG_M3 * specific_gravity * (filled_pct - free) / 100.0
    return pi / 4.0 * (A_w * erf(low) / room) ** 2


def section_cells_m(thickness_m: float, cells: int, first_m: float) -> Array:
    """Widths of cells from face to face [m]: ``first_m`` at both faces, wider towards the middle.

    Borders lie at L/2 (1 + tanh(d (2 i/n - 1))/tanh(d)), a smooth map: the scheme keeps its second order.
    Where even cells are narrower than ``first_m``, all are alike.

    >>> widths = section_cells_m(0.038, 48, 0.0005)
    >>> round(float(widths[0]) * 1e3, 3), round(float(widths.sum()), 3)
    (0.5, 0.038)
    """
    share = np.linspace(-1.0, 1.0, cells + 1)
    if thickness_m / cells <= first_m:
        return np.full(cells, thickness_m / cells)

    def _borders(stretch: float) -> Array:
        return np.asarray(0.5 * thickness_m * (1.0 + np.tanh(stretch * share) / np.tanh(stretch)))

    low, high = 1e-6, 6.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if _borders(middle)[1] > first_m:
            low = middle
        else:
            high = middle
    return np.diff(_borders(0.5 * (low + high)))
