"""How the loss rate follows moisture and temperature: the shape, without its size."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import load_csv, load_toml, number
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import checked

__all__ = [
    "activation_energy_band",
    "by_temperature",
    "by_temperature_factor",
    "moisture_at_share",
    "moisture_response",
    "rate_sets",
    "response_word",
    "temperature_response",
]

_GAS_CONSTANT_KJ_MOL_K = 8.314462618e-3
_ZERO_C_IN_K = 273.15
_MOST_MOISTURE_PCT = 300.0


def rate_sets() -> Mapping[str, str]:
    """The two parameter sets of the moisture response, name -> what they say (both mark own).

    >>> sorted(rate_sets())
    ['early_plateau', 'late_plateau']
    """
    return {name: words for name, (_, _, words) in _sets().items()}


def response_word(rate_set: str) -> str:
    """A parameter set as people are told of it.

    >>> response_word("late_plateau")
    'late'
    """
    _parameters(rate_set)
    return rate_set.partition("_")[0]


def moisture_response(moisture_pct: ArrayLike, rate_set: str | NDArray[np.str_]) -> NDArray[np.float64]:
    """Share of the saturated rate at a moisture content.

    r/A = 1 / (1 + exp(B (C - MC))).

    The form is published; its parameters were not found. The two sets are our reconstructions, which differ
    most at 20 to 22 % moisture: take the pair as the band.

    Parameters
    ----------
    moisture_pct : moisture content MC [% of dry mass], 0 to 300
    rate_set : "early_plateau" or "late_plateau", or an array of these names (one for each draw)

    Returns
    -------
    share [-], between 0 and 1, of the broadcast shape

    Raises
    ------
    InputError : moisture out of range, or a set that is not known

    Notes
    -----
    Source ``own`` for the parameters.

    >>> [round(float(moisture_response(22.0, name)), 2) for name in ("early_plateau", "late_plateau")]
    [0.95, 0.36]
    """
    moisture = checked("moisture_pct", moisture_pct, 0.0, _MOST_MOISTURE_PCT, "%")
    steepness, half = _parameters(rate_set)
    return np.asarray(1.0 / (1.0 + np.exp(steepness * (half - moisture))))


def moisture_at_share(share: float, rate_set: str) -> float:
    """Moisture content at which a parameter set reaches a share of the saturated rate [% of dry mass].

    MC = C + ln(share / (1 - share)) / B, the inverse of ``moisture_response``.

    Parameters
    ----------
    share : share of the saturated rate [-], more than 0 and less than 1
    rate_set : "early_plateau" or "late_plateau"

    Raises
    ------
    InputError : a share out of range, or a set that is not known

    Notes
    -----
    Source ``own``.

    >>> [round(moisture_at_share(share, "early_plateau")) for share in (0.05, 0.95)]
    [16, 22]
    """
    told = float(checked("share", share, 1e-9, 1.0 - 1e-9, ""))
    steepness, half = _parameters(rate_set)
    return float(half + np.log(told / (1.0 - told)) / steepness)


def by_temperature(rate_set: str) -> str:
    """Name of the alternative to a set in which the rate also follows the temperature of the wood.

    >>> by_temperature("early_plateau")
    'early_plateau_by_temperature'
    """
    return f"{rate_set}_by_temperature"


def activation_energy_band() -> Band:
    """Activation energy of the alternative in which the rate follows temperature, with its band (own).

    >>> activation_energy_band().shown()
    '32 kJ/mol (25 to 40)'
    """
    return load_bands("rates")["activation_energy_kj_mol"]


def by_temperature_factor() -> float:
    """Saturated rate at 27 deg C of the alternative by temperature, over the rate without it [-] (own).

    Both give the same loss in Hilo, to which the saturated rate is fitted.
    """
    return load_bands("rates")["by_temperature_factor"].median


def temperature_response(
    temperature_c: ArrayLike, activation_energy_kj_mol: float | None = None
) -> NDArray[np.float64]:
    """Factor for the temperature of the wood: none while it is frozen.

    0 below 0 deg C; above it 1, or exp(E/R (1/T_ref - 1/T)) with T_ref = 300.15 K where an activation energy
    is asked for.

    Parameters
    ----------
    temperature_c : temperature [deg C], -273.15 to 100
    activation_energy_kj_mol : E [kJ/mol]; None for no dependence above 0 deg C. No published figure is known;
        25 to 40 doubles the rate in 13 to 21 K

    Returns
    -------
    factor [-]

    Raises
    ------
    InputError : temperature or energy out of range

    Notes
    -----
    Source ``own``.

    >>> [float(x) for x in temperature_response([-1.0, 0.0, 27.0])]
    [0.0, 1.0, 1.0]
    """
    rules = load_toml("wood/rate_rules.toml")
    temperature = checked("temperature_c", temperature_c, -_ZERO_C_IN_K, 100.0, "deg C")
    thawed = np.where(temperature < rules["frozen"]["no_loss_below_c"], 0.0, 1.0)
    if activation_energy_kj_mol is None:
        return thawed
    energy = float(checked("activation_energy_kj_mol", activation_energy_kj_mol, 0.0, 100.0, "kJ/mol"))
    reference = _ZERO_C_IN_K + rules["arrhenius"]["reference_c"]
    kelvin = np.maximum(temperature, 0.0) + _ZERO_C_IN_K
    return np.asarray(thawed * np.exp(energy / _GAS_CONSTANT_KJ_MOL_K * (1.0 / reference - 1.0 / kelvin)))


def _parameters(rate_set: str | NDArray[np.str_]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    names, sets = np.asarray(rate_set), _sets()
    unknown = sorted({str(name) for name in np.unique(names)} - set(sets))
    if unknown:
        raise InputError(Problem("rate_set", unknown[0], f"must be one of {', '.join(sets)}."))
    steepness, half = np.zeros(names.shape), np.zeros(names.shape)
    for name, (slope, middle, _) in sets.items():
        steepness = np.where(names == name, slope, steepness)
        half = np.where(names == name, middle, half)
    return steepness, half


@once
def _sets() -> Mapping[str, tuple[float, float, str]]:
    rows = load_csv(
        "wood/rate_sets.csv",
        {"name": str, "steepness_per_pct": number, "half_moisture_pct": number, "words": str},
        key=("name",),
    )
    return MappingProxyType(
        {row["name"]: (row["steepness_per_pct"], row["half_moisture_pct"], row["words"]) for row in rows}
    )
