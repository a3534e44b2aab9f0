"""What wood gives off to the sky, hour by hour, from what weather files have."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longhold.base.tables import load_toml
from longhold.wood.checks import checked

__all__ = ["radiation_w_m2", "sky_loss_w_m2"]

Array = NDArray[np.float64]
_KELVIN = 273.15
_HOURS_A_DAY = 24


def sky_loss_w_m2(temperature_c: Array, vapour_pressure_hpa: Array, clear_share: Array) -> Array:
    """Net long-wave radiation from a black level face at the air's temperature to the sky [W/m2].

    L = sigma T^4 (0.34 - 0.14 sqrt(e)) (1.35 c - 0.35), e in kPa (FAO 56, equation 39).

    Parameters
    ----------
    temperature_c : of the air [deg C], -60 to 60
    vapour_pressure_hpa : of the air [hPa], 0 to 200
    clear_share : sun of the day over that of a clear day, c [-], 0 to 1; held from 0.3 up

    Raises
    ------
    InputError : out of range

    Notes
    -----
    Source ``wood-sky-fao56`` (verified); the law is one for days and is taken for their hours.

    >>> round(float(sky_loss_w_m2(np.array(15.0), np.array(9.0), np.array(1.0))))
    81
    """
    law = load_toml("wood/transport.toml")["sky"]
    kelvin = checked("temperature_c", temperature_c, -60.0, 60.0, "deg C") + _KELVIN
    pressure = checked("vapour_pressure_hpa", vapour_pressure_hpa, 0.0, 200.0, "hPa") / 10.0
    clear = np.maximum(checked("clear_share", clear_share, 0.0, 1.0, ""), law["least_clear"])
    sky = np.maximum(law["a"] - law["b"] * np.sqrt(pressure), 0.0)
    return np.asarray(law["sigma_w_m2_k4"] * kelvin**4 * sky * (law["c"] * clear - law["d"]))


def radiation_w_m2(
    temperature_c: Array, vapour_pressure_hpa: Array, sun_w_m2: Array, month: NDArray[np.int64]
) -> Array:
    """Sun that a level face takes in, less what the sky takes from it, told as sun [W/m2].

    S - (emits/absorbs) L: negative at night. How clear a day is follows from its sun against that of the
    clearest days of its month.

    Parameters
    ----------
    temperature_c, vapour_pressure_hpa : of the air [deg C], [hPa], by the hour through whole days
    sun_w_m2 : on the level [W/m2]
    month : of each hour, 0 to 11

    Notes
    -----
    Source ``own`` for the clearest days, the 95th percentile; a month without sun counts as clear.

    >>> hours = np.full(48, 15.0)
    >>> sun = np.where(np.arange(48) % 24 == 12, 900.0, 0.0)
    >>> [round(float(x)) for x in radiation_w_m2(hours, 0.6 * hours, sun, np.zeros(48, int))[11:13]]
    [-184, 716]
    """
    table = load_toml("wood/transport.toml")
    daily = sun_w_m2.reshape(-1, _HOURS_A_DAY).sum(axis=1)
    of_day = month[::_HOURS_A_DAY]
    clear = np.ones(daily.size)
    for one in np.unique(of_day):
        days = of_day == one
        most = float(np.quantile(daily[days], table["sky"]["clear_quantile"]))
        if most > 0.0:
            clear[days] = np.minimum(daily[days] / most, 1.0)
    loss = sky_loss_w_m2(temperature_c, vapour_pressure_hpa, np.repeat(clear, _HOURS_A_DAY))
    told = table["emission"]["emits"] / table["radiation"]["absorbs"]
    return np.asarray(sun_w_m2 - told * loss)
