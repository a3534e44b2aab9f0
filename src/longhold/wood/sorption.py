"""Moisture that wood takes from the air around it, away from liquid water."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.marks import Mark
from longhold.base.tables import load_toml
from longhold.base.trace import Trace, note
from longhold.wood.checks import all_scalar, checked

__all__ = [
    "equilibrium_moisture_pct",
    "equilibrium_moisture_pct_f",
    "evaluable_temperature_c",
    "fibre_saturation_pct",
]

_EQUATION = (
    "EMC = 1800/W [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)], h = RH/100"
)


def equilibrium_moisture_pct(
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    *,
    trace: Trace | None = None,
) -> NDArray[np.float64]:
    """Moisture content at which wood of any species rests in air of constant state.

    EMC = 1800/W [K h/(1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2)/(1 + K1 K h + K1 K2 K^2 h^2)], h = RH/100, with
    W, K, K1 and K2 quadratic in the temperature (Wood Handbook equation 4-5, coefficients for deg C).

    Parameters
    ----------
    temperature_c : air temperature [deg C]; the relation holds from -1 to 99, and is evaluated from -30
    relative_humidity_pct : relative humidity [%]; holds from 5 to 95, and is evaluated from 0 to 100. Above
        95 % the figure is a lower guide: liquid water then takes part, which the relation does not know
    trace : records the calculation of scalars

    Returns
    -------
    moisture content [% of dry mass], of the broadcast shape

    Raises
    ------
    InputError : outside the evaluated range, or not a number

    Notes
    -----
    Source ``wood-emc-celsius`` (verified). Within 0.06 % moisture of the 342 published cells. Salt and most
    preservatives raise the true figure, heat treatment and acetylation lower it.

    >>> round(float(equilibrium_moisture_pct(20.0, 65.0)), 2)
    12.0
    """
    table = load_toml("wood/sorption.toml")
    low, high = table["allowed"]["temperature_c"]
    temperature = checked("temperature_c", temperature_c, low, high, "deg C")
    humidity = _humidity(relative_humidity_pct, table)
    moisture, symbols = _relation(temperature, humidity, table["celsius"])
    if trace is not None and all_scalar(temperature_c, relative_humidity_pct):
        _note(trace, float(temperature), float(humidity), symbols, float(moisture), table)
    return moisture


def equilibrium_moisture_pct_f(
    temperature_f: ArrayLike, relative_humidity_pct: ArrayLike
) -> NDArray[np.float64]:
    """The same relation with its coefficients for degrees Fahrenheit: a second method, for comparison.

    Parameters
    ----------
    temperature_f : air temperature [deg F]; evaluated over the range of the Celsius form
    relative_humidity_pct : relative humidity [%], 0 to 100

    Returns
    -------
    moisture content [% of dry mass]

    Raises
    ------
    InputError : outside the evaluated range, or not a number

    Notes
    -----
    Source ``wood-emc-fahrenheit`` (verified).

    >>> round(float(equilibrium_moisture_pct_f(70.0, 60.0)), 2)
    10.97
    """
    table = load_toml("wood/sorption.toml")
    low, high = (32.0 + 1.8 * limit for limit in table["allowed"]["temperature_c"])
    temperature = checked("temperature_f", temperature_f, low, high, "deg F")
    moisture, _ = _relation(temperature, _humidity(relative_humidity_pct, table), table["fahrenheit"])
    return moisture


def evaluable_temperature_c() -> tuple[float, float]:
    """Least and most temperature [deg C] at which the Celsius form is evaluated.

    >>> evaluable_temperature_c()
    (-30.0, 99.0)
    """
    low, high = load_toml("wood/sorption.toml")["allowed"]["temperature_c"]
    return low, high


def fibre_saturation_pct() -> float:
    """Moisture content [%] above which wood holds free water (source ``wood-fibre-saturation``, verified).

    >>> fibre_saturation_pct()
    30.0
    """
    return float(load_toml("wood/sorption.toml")["fibre_saturation"]["moisture_pct"])


def _humidity(value: ArrayLike, table: Any) -> NDArray[np.float64]:
    low, high = table["allowed"]["relative_humidity_pct"]
    return checked("relative_humidity_pct", value, low, high, "%")


def _relation(
    temperature: NDArray[np.float64], humidity_pct: NDArray[np.float64], coefficients: Any
) -> tuple[NDArray[np.float64], dict[str, NDArray[np.float64]]]:
    def quadratic(name: str) -> NDArray[np.float64]:
        c0, c1, c2 = coefficients[name]
        return np.asarray(c0 + c1 * temperature + c2 * temperature**2)

    W, K, K1, K2 = (quadratic(name) for name in ("W", "K", "K1", "K2"))
    h = humidity_pct / 100.0
    one, two = K1 * K * h, K1 * K2 * (K * h) ** 2
    moisture = 1800.0 / W * (K * h / (1.0 - K * h) + (one + 2.0 * two) / (1.0 + one + two))
    return np.asarray(moisture), {"W": W, "K": K, "K1": K1, "K2": K2}


def _note(
    trace: Trace, temperature_c: float, humidity_pct: float, symbols: Any, moisture: float, table: Any
) -> None:
    cautions = []
    if temperature_c < table["fitted"]["temperature_c"][0]:
        cautions.append("colder than the relation was fitted for")
    if humidity_pct > table["fitted"]["relative_humidity_pct"][1]:
        cautions.append("above 95 % humidity liquid water takes part, which the relation does not know")
    if humidity_pct < table["fitted"]["relative_humidity_pct"][0]:
        cautions.append("drier than the relation was fitted for")
    given = {"T": f"{temperature_c:g} deg C", "RH": f"{humidity_pct:g} %"}
    note(
        trace,
        "equilibrium moisture of wood",
        "EMC",
        _EQUATION,
        {**given, **{name: f"{float(value):.4g}" for name, value in symbols.items()}},
        moisture,
        "%",
        table["celsius"]["source"],
        Mark.OWN if cautions else Mark(table["celsius"]["mark"]),
        "; ".join(cautions),
    )
