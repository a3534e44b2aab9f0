"""What rain does to wood: the uncertain figures, and days with rain where only rain is known."""

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
    "rain_days_from_rain",
    "rain_from_rain_days",
    "wetting_bands",
]

_RANGES: Mapping[str, tuple[float, float, str]] = {
    "drying_hours": (0.0, 2000.0, "h"),
    "rain_hours_per_day": (0.0, 24.0, "h"),
    "wet_moisture_pct": (20.0, 200.0, "%"),
    "trap_factor": (1.0, 100.0, ""),
    "side_share": (0.0, 1.0, ""),
    "moisture_offset_pct": (-20.0, 20.0, "%"),
}


@dataclass(frozen=True, eq=False)
class WettingParameters:
    """Uncertain figures about wet wood; each a scalar, or an array of draws of shape (draws, 1).

    Attributes
    ----------
    drying_hours : hours that wood at the worst depth stays wet after rain [h]
    rain_hours_per_day : hours of rain on a day with rain [h]
    wet_moisture_pct : moisture at the worst depth while wet [%]; at least fibre saturation where the timber
        is always wet
    trap_factor : how many times longer a contact face that cannot drain stays wet [-]
    side_share : hours for which an upright face is wet, against a level one [-]
    moisture_offset_pct : departure of wood that no rain reaches from the computed equilibrium [% moisture]

    Raises
    ------
    InputError : a value out of range, or an array whose last axis is not 1

    >>> float(WettingParameters.medians().trap_factor)
    1.5
    """

    drying_hours: float | NDArray[np.float64]
    rain_hours_per_day: float | NDArray[np.float64]
    wet_moisture_pct: float | NDArray[np.float64]
    trap_factor: float | NDArray[np.float64]
    side_share: float | NDArray[np.float64]
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

        >>> drawn = WettingParameters.at({"drying_hours": np.array([[-1.0], [1.0]])})
        >>> drawn.drying_hours.shape
        (2, 1)
        """
        bands = wetting_bands()
        if unknown := sorted(set(z) - set(bands)):
            raise InputError(Problem("wetting", unknown[0], f"must be among {', '.join(bands)}."))
        at = {
            field.name: _within(field.name, bands[field.name].at(z.get(field.name, 0.0)))
            for field in fields(cls)
        }
        return cls(**at)


def _within(name: str, drawn: NDArray[np.float64]) -> NDArray[np.float64]:
    least, most, _ = _RANGES[name]
    return np.clip(drawn, least, most)


def wetting_bands() -> Mapping[str, Band]:
    """Median and band of every wetting figure, from ``tables/wood/wetting.csv`` (all own).

    >>> wetting_bands()["drying_hours"].shown()
    '18 h (9 to 36)'
    """
    return load_bands("wetting")


def rain_days_from_rain(rain_mm: ArrayLike, days_in_month: ArrayLike) -> NDArray[np.float64]:
    """Days with rain in a month of which only the rain is known.

    days = 0.5 rain^0.65, at most the days of the month.

    Parameters
    ----------
    rain_mm : rain of the month [mm], zero or more
    days_in_month : days of the month

    Returns
    -------
    days with at least 0.25 mm of rain

    Raises
    ------
    InputError : out of range

    Notes
    -----
    Our own rule (source ``own``), good to a factor of about 1.5.

    >>> [round(float(d), 1) for d in rain_days_from_rain([0.0, 20.0, 80.0], 30.0)]
    [0.0, 3.5, 8.6]
    """
    rule = load_toml("wood/rain_days.toml")["estimate"]
    rain = checked("rain_mm", rain_mm, 0.0, 1e4, "mm")
    return np.asarray(
        np.minimum(rule["per_month"] * rain ** rule["exponent"], np.asarray(days_in_month, dtype=float))
    )


def rain_from_rain_days(rain_days: ArrayLike) -> NDArray[np.float64]:
    """Rain of a month of which only the days with rain are known [mm]: ``rain_days_from_rain`` backwards.

    Raises
    ------
    InputError : out of range

    >>> round(float(rain_days_from_rain(rain_from_rain_days(8.6), 30.0)), 3)
    8.6
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
