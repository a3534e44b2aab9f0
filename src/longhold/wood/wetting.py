"""Uncertain figures of wet wood, and what a simulation is given where the weather leaves it out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import checked
from longhold.wood.sorption import equilibrium_moisture_pct, evaluable_temperature_c

__all__ = [
    "WettingParameters",
    "humidity_shift_pct",
    "rain_from_rain_days",
    "wetting_bands",
]

_RANGES: Mapping[str, tuple[float, float, str]] = {
    "wet_moisture_pct": (20.0, 200.0, "%"),
    "moisture_offset_pct": (-20.0, 20.0, "%"),
}


@dataclass(frozen=True, eq=False)
class WettingParameters:
    """Uncertain figures of wood in steady moisture; each a scalar, or an array of draws of shape (draws, 1).

    Attributes
    ----------
    wet_moisture_pct : moisture of timber that is always wet [%]; taken as fibre saturation where less
    moisture_offset_pct : departure of wood that no rain reaches from the computed equilibrium [% moisture]

    Raises
    ------
    InputError : a value out of range, or an array whose last axis is not 1

    >>> float(WettingParameters.medians().wet_moisture_pct)
    30.0
    """

    wet_moisture_pct: float | NDArray[np.float64]
    moisture_offset_pct: float | NDArray[np.float64]

    def __post_init__(self) -> None:
        for name, (least, most, unit) in _RANGES.items():
            array = checked(f"wetting.{name}", getattr(self, name), least, most, unit)
            if array.ndim and array.shape[-1] != 1:
                allowed = "must be a scalar, or an array of draws whose last axis has length 1."
                raise InputError(Problem(f"wetting.{name}", array.shape, allowed))

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape that all figures broadcast to: (draws, 1), or () where nothing is drawn."""
        return np.broadcast_shapes(*(np.shape(getattr(self, field.name)) for field in fields(self)))

    @classmethod
    def medians(cls) -> WettingParameters:
        """The medians of ``wetting_bands``."""
        return cls.at({})

    @classmethod
    def at(cls, z: Mapping[str, ArrayLike]) -> WettingParameters:
        """Figures at standard normal quantiles z by name; the median for a name that is not given.

        >>> drawn = WettingParameters.at({"wet_moisture_pct": np.array([[-1.0], [1.0]])})
        >>> drawn.wet_moisture_pct.shape
        (2, 1)
        """
        bands = wetting_bands()
        if unknown := sorted(set(z) - set(_RANGES)):
            raise InputError(Problem("wetting", unknown[0], f"must be among {', '.join(_RANGES)}."))
        return cls(**{name: _within(name, bands[name].at(z.get(name, 0.0))) for name in _RANGES})


def _within(name: str, drawn: NDArray[np.float64]) -> NDArray[np.float64]:
    least, most, _ = _RANGES[name]
    return np.clip(drawn, least, most)


def wetting_bands() -> Mapping[str, Band]:
    """Median and band of every wetting figure, from ``tables/wood/wetting.csv`` (all own).

    Besides the fields of ``WettingParameters`` it holds rain_hours_factor, the hours of rain of the simulated
    weather against those counted or estimated.

    >>> wetting_bands()["rain_hours_factor"].shown()
    '1 (0.5 to 2)'
    """
    return load_bands("wetting")


def rain_from_rain_days(rain_days: ArrayLike) -> NDArray[np.float64]:
    """Rain of a month of which only the days with rain are known [mm].

    rain = (days / 0.5)^(1 / 0.65), days with at least 0.25 mm.

    Raises
    ------
    InputError : out of range

    Notes
    -----
    Our own rule (source ``own``), days = 0.5 rain^0.65 turned round; good to a factor of about 2.

    >>> [round(float(mm)) for mm in rain_from_rain_days([0.0, 3.5, 8.6])]
    [0, 20, 80]
    """
    rule = load_toml("wood/rain_days.toml")["estimate"]
    days = checked("rain_days", rain_days, 0.0, 31.0, "days")
    return np.asarray((days / rule["per_month"]) ** (1.0 / rule["exponent"]))


def humidity_shift_pct(
    temperature_c: ArrayLike, relative_humidity_pct: ArrayLike, moisture_offset_pct: float
) -> NDArray[np.float64]:
    """Change of relative humidity that moves the equilibrium moisture by an offset [% RH].

    The offset over the slope of the sorption relation, taken over 2 % RH about the given state.

    Parameters
    ----------
    temperature_c, relative_humidity_pct : of the air; humidity is held between 2 and 98 % for the slope
    moisture_offset_pct : wanted change of moisture [%]

    >>> round(float(humidity_shift_pct(20.0, 75.0, 1.0)), 1)
    3.5
    """
    coldest, _ = evaluable_temperature_c()
    t = np.maximum(np.asarray(temperature_c, dtype=float), coldest)
    humidity = np.clip(np.asarray(relative_humidity_pct, dtype=float), 2.0, 98.0)
    above, below = equilibrium_moisture_pct(t, humidity + 1.0), equilibrium_moisture_pct(t, humidity - 1.0)
    return np.asarray(2.0 * moisture_offset_pct / (above - below))
