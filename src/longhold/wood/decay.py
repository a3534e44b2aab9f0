"""Dose of decay from the daily moisture and temperature of wood, and the rating that it brings.

For untreated softwood without natural resistance, out of the ground. It says where decay would govern a
joint, never how much strength is left: nothing is taken off any strength for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.tables import load_toml

__all__ = [
    "daily_dose",
    "decay_record",
    "dose_to_rating",
    "moisture_dose",
    "rating_of_dose",
    "temperature_dose",
]

Array = NDArray[np.float64]
Floats = float | Array


def moisture_dose(moisture_pct: Floats) -> Array:
    """Part of moisture in a day's dose, D_u [-], 0 to 1.

    D_u = 6.75e-10 u^5 - 3.50e-7 u^4 + 7.18e-5 u^3 - 7.22e-3 u^2 + 0.34 u - 4.98 from 25 %, else zero.
    Highest near 51 %; wood wetter than 100 % is taken as at 100 %, where the polynomial is left.

    Parameters
    ----------
    moisture_pct : mean moisture of the day [%]

    Source: decay-dose-model (memory).

    >>> moisture_dose(np.array([20.0, 30.0, 60.0])).round(3).tolist()
    [0.0, 0.394, 0.926]
    """
    record = decay_record("moisture")
    u = np.asarray(moisture_pct, dtype=np.float64)
    return np.asarray(
        np.where(u < record["from_pct"], 0.0, _polynomial(np.minimum(u, record["upto_pct"]), record))
    )


def temperature_dose(temperature_c: Floats) -> Array:
    """Part of temperature in a day's dose, D_T [-], 0 to 1.

    D_T = -1.8e-6 T^4 + 9.57e-5 T^3 - 1.55e-3 T^2 + 4.17e-2 T between 0 and 40 C, else zero.

    Parameters
    ----------
    temperature_c : mean temperature of the wood over the day [C]

    Source: decay-dose-model (memory).

    >>> temperature_dose(np.array([-5.0, 20.0, 45.0])).round(3).tolist()
    [0.0, 0.692, 0.0]
    """
    record = decay_record("temperature")
    t = np.asarray(temperature_c, dtype=np.float64)
    inside = (t > record["above_c"]) & (t < record["below_c"])
    return np.asarray(np.where(inside, _polynomial(t, record), 0.0))


def daily_dose(moisture_pct: Floats, temperature_c: Floats) -> Array:
    """Dose of one day, (3.2 D_T + D_u)/4.2, zero unless both parts are above zero [-].

    Source: decay-dose-model (memory).

    >>> daily_dose(np.array([30.0, 24.0]), 20.0).round(3).tolist()
    [0.621, 0.0]
    """
    weight = decay_record("daily")["temperature_weight"]
    wet, warm = moisture_dose(moisture_pct), temperature_dose(temperature_c)
    return np.asarray(np.where((wet > 0.0) & (warm > 0.0), (weight * warm + wet) / (weight + 1.0), 0.0))


def rating_of_dose(equivalent_days: Floats) -> Array:
    """Rating of decay after a dose, 4 exp(-exp(1.7716 - 0.0032 dose)) [0 sound to 4 failed].

    Parameters
    ----------
    equivalent_days : sum of the daily doses [days]

    Source: decay-rating-model (memory).

    >>> rating_of_dose(np.array([0.0, 325.0])).round(2).tolist()
    [0.01, 0.5]
    """
    record = decay_record("rating")
    inner = record["a"] - record["b"] * np.asarray(equivalent_days, dtype=np.float64)
    return np.asarray(record["most"] * np.exp(-np.exp(inner)))


def dose_to_rating(rating: float) -> float:
    """Dose that brings a rating, the inverse of ``rating_of_dose`` [days].

    Raises
    ------
    InputError : for a rating that is not between 0 and 4

    >>> round(dose_to_rating(2.0))
    668
    """
    record = decay_record("rating")
    if not 0.0 < rating < record["most"]:
        raise InputError(Problem("rating", rating, f"must lie between 0 and {record['most']:g}."))
    return float((record["a"] - log(-log(rating / record["most"]))) / record["b"])


def decay_record(name: str) -> Mapping[str, Any]:
    """One record of the model, with source and mark."""
    record: Mapping[str, Any] = load_toml("wood/decay.toml")[name]
    return record


def _polynomial(x: Array, record: Mapping[str, Any]) -> Array:
    return np.asarray(np.polynomial.polynomial.polyval(x, record["coefficients"]))
