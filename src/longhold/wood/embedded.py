"""Rate at which metal inside wood, or lying on it, loses depth."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Required, TypedDict, Unpack

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.trace import Trace, note
from longhold.wood.bands import Band, load_bands
from longhold.wood.checks import all_scalar, checked
from longhold.wood.moisture import MoistureStates
from longhold.wood.response import moisture_response, response_word, temperature_response

__all__ = [
    "RateTerms",
    "coat_bands",
    "contact_bands",
    "loss_rate_um_yr",
    "metal_bands",
    "saturated_loss_um_yr",
    "saturated_rate_band",
    "yearly_loss_um",
]

_INFINITE = float("inf")


class RateTerms(TypedDict, total=False):
    """What multiplies the moisture response; each a scalar, or an array of draws of shape (draws, 1).

    Attributes
    ----------
    rate_set : "early_plateau" or "late_plateau", or an array of these names
    treatment_multiplier : p [-], rate against CCA, from ``Treatment.multiplier_for``
    retention_factor : q [-], for more or less copper, from ``treatments.retention_factor``; 1 unless given
    species_factor : s [-], for acid species, from ``treatments.treatment``; 1 unless given
    finish_factor : f [-], for an oil finish, from ``treatments.treatment``; 1 unless given
    contact_factor : c [-], for plates, from ``contact_bands``; 1, a shank, unless given
    coat_factor : k [-], for the way the zinc was put on, from ``coat_bands``; 1, hot-dip, unless given
    saturated_rate_um_yr : A [um/yr]; the median of ``saturated_rate_band`` unless given
    metal_factor : m [-], or for stainless the absolute rate [um/yr]; the median in ``metal_bands`` unless
        given
    activation_energy_kj_mol : E [kJ/mol], see ``response.temperature_response``; off unless given
    """

    rate_set: Required[str | NDArray[np.str_]]
    treatment_multiplier: Required[ArrayLike]
    retention_factor: ArrayLike
    species_factor: ArrayLike
    finish_factor: ArrayLike
    contact_factor: ArrayLike
    coat_factor: ArrayLike
    saturated_rate_um_yr: ArrayLike
    metal_factor: ArrayLike
    activation_energy_kj_mol: float | None


def saturated_rate_band() -> Band:
    """Loss of steel in saturated CCA-treated wood [um/yr], with its band (own).

    >>> saturated_rate_band().shown()
    '25 um/yr (10 to 45)'
    """
    return load_bands("rates")["saturated_rate_um_yr"]


def metal_bands() -> Mapping[str, Band]:
    """Each metal's loss in proportion to plain steel; for stainless an absolute rate [um/yr] (all own).

    >>> metal_bands()["stainless"].unit
    'um/yr'
    """
    return load_bands("metals")


def contact_bands() -> Mapping[str, Band]:
    """Factor for how the metal meets the wood: shank, zinc_coated_plate, bare_steel_plate (all own).

    >>> contact_bands()["shank"].median
    1.0
    """
    return load_bands("contacts")


def coat_bands() -> Mapping[str, Band]:
    """Factor for the way zinc was put on: hot_dip, electroplate (all own).

    >>> coat_bands()["electroplate"].median
    0.8
    """
    return load_bands("zinc_coats")


def loss_rate_um_yr(
    metal: str,
    moisture_pct: ArrayLike,
    temperature_c: ArrayLike,
    *,
    trace: Trace | None = None,
    **terms: Unpack[RateTerms],
) -> NDArray[np.float64]:
    """Rate at which a metal in wood loses depth, at one moisture and temperature.

    r = A m p q s f c k / (1 + exp(B (C - MC))) above 0 deg C, zero below. Stainless keeps its passive film: r
    is a small absolute figure times the same moisture response, whatever the treatment.

    Parameters
    ----------
    metal : a name in ``metal_bands``
    moisture_pct : moisture content MC [%], 0 to 300
    temperature_c : temperature of the wood [deg C]
    trace : records the calculation of scalars
    terms : see ``RateTerms``; ``rate_set`` and ``treatment_multiplier`` must be given

    Returns
    -------
    rate [um/yr], of the broadcast shape

    Raises
    ------
    InputError : metal or set not known, a value out of range

    Notes
    -----
    All sizes are our own (source ``own``): no table of measured rates could be read. What is read is the
    order of metals and treatments, and simulated decks at 5 and 45 um/yr.

    >>> rate = loss_rate_um_yr("carbon_steel", 35.0, 20.0, rate_set="early_plateau", treatment_multiplier=2.0)
    >>> round(float(rate), 1)
    50.0
    """
    strength = saturated_loss_um_yr(metal, terms, trace)
    response = moisture_response(moisture_pct, terms["rate_set"])
    warmth = temperature_response(temperature_c, terms.get("activation_energy_kj_mol"))
    rate = np.asarray(strength * response * warmth)
    if trace is not None and rate.ndim == 0:
        note(
            trace,
            "loss rate in this wood",
            "r",
            "r = r_sat f_T / (1 + exp(B (C - MC)))",
            {
                "r_sat": f"{float(strength):.4g} um/yr",
                "MC": f"{np.asarray(moisture_pct, dtype=float):.4g} %",
                "T": f"{np.asarray(temperature_c, dtype=float):g} deg C",
                "moisture response": response_word(str(terms["rate_set"])),
                "f_T": f"{float(warmth):.4g}",
            },
            float(rate),
            "um/yr",
            "own",
            Mark.OWN,
            "the form is published, its parameters were not found",
        )
    return rate


def yearly_loss_um(
    states: MoistureStates, metal: str, *, trace: Trace | None = None, **terms: Unpack[RateTerms]
) -> NDArray[np.float64]:
    """Depth that a metal loses in the first year in wood of steady moisture.

    x1 = sum over states of share of the year x rate(state).

    Parameters
    ----------
    states : from ``moisture.steady_moisture``, with states along the last axis
    metal : a name in ``metal_bands``
    trace : records the calculation of scalars
    terms : see ``RateTerms``; ``rate_set`` and ``treatment_multiplier`` must be given

    Returns
    -------
    loss of the first year [um], scalar or of shape (draws,)

    Raises
    ------
    InputError : as ``loss_rate_um_yr``, or a term whose last axis is not 1

    Notes
    -----
    Source ``own``. A first year runs high: products build up and the copper nearby is used up (see
    ``time_laws``).

    >>> wet = MoistureStates.of([40.0, 10.0], [20.0, 20.0], [0.25, 0.75], [True, False], "a quarter wet")
    >>> round(float(yearly_loss_um(wet, "zinc", rate_set="late_plateau", treatment_multiplier=2.0)), 1)
    12.5
    """
    for name, value in terms.items():
        shape = np.asarray(value).shape
        if shape and shape[-1] != 1:
            allowed = "must be a scalar, or an array of draws whose last axis has length 1."
            raise InputError(Problem(name, shape, allowed))
    parts = states.share_of_year * loss_rate_um_yr(metal, states.moisture_pct, states.temperature_c, **terms)
    loss = np.asarray(parts.sum(axis=-1))
    if trace is not None and loss.ndim == 0:
        strength = float(saturated_loss_um_yr(metal, terms, trace))
        from_wet = float(parts[states.wet].sum())
        note(
            trace,
            "loss in the first year in wood, at the worst depth",
            "x1",
            "x1 = r_sat sum of share f_T / (1 + exp(B (C - MC)))",
            {
                "r_sat": f"{strength:.4g} um/yr",
                "states": states.how,
                "moisture response": response_word(str(terms["rate_set"])),
                "of it while wet": f"{from_wet:.3g} um",
                "of it at other times": f"{float(loss) - from_wet:.3g} um",
            },
            float(loss),
            "um",
            "own",
            Mark.OWN,
            "; ".join(states.assumptions),
        )
    return loss


def saturated_loss_um_yr(metal: str, terms: RateTerms, trace: Trace | None) -> NDArray[np.float64]:
    """Rate at which a metal loses depth in saturated wood above 0 deg C [um/yr].

    r_sat = A m p q s f c k, see ``RateTerms``; for stainless a small absolute figure.

    Raises
    ------
    InputError : a metal that is not known, a value out of range
    """
    band = metal_bands().get(metal)
    if band is None:
        raise InputError(Problem("metal", metal, f"must be one of {', '.join(metal_bands())}."))
    given: dict[str, ArrayLike] = {
        "saturated_rate_um_yr": terms.get("saturated_rate_um_yr", saturated_rate_band().median),
        "metal_factor": terms.get("metal_factor", band.median),
        "treatment_multiplier": terms["treatment_multiplier"],
        "retention_factor": terms.get("retention_factor", 1.0),
        "species_factor": terms.get("species_factor", 1.0),
        "finish_factor": terms.get("finish_factor", 1.0),
        "contact_factor": terms.get("contact_factor", 1.0),
        "coat_factor": terms.get("coat_factor", 1.0),
    }
    factors = {name: checked(name, value, 0.0, _INFINITE, "") for name, value in given.items()}
    if band.unit == "um/yr":
        # left out of the figure, the other factors still take part in its shape
        shape = np.broadcast_shapes(*(factor.shape for factor in factors.values()))
        strength = np.broadcast_to(factors["metal_factor"], shape)
        equation, shown = "r_sat = absolute rate of the passive metal", ["metal_factor"]
    else:
        A, m, p, q, s, f, c, k = factors.values()
        strength = np.asarray(A * m * p * q * s * f * c * k)
        equation, shown = "r_sat = A m p q s f c k", list(factors)
    if trace is not None and all_scalar(*factors.values()):
        symbols = dict(zip(factors, "Ampqsfck", strict=True))
        units = {"saturated_rate_um_yr": " um/yr", "metal_factor": "" if len(shown) > 1 else " um/yr"}
        note(
            trace,
            f"loss rate of {metal.replace('_', ' ')} in saturated wood",
            "r_sat",
            equation,
            {symbols[name]: f"{float(factors[name]):.4g}{units.get(name, '')}" for name in shown},
            float(strength),
            "um/yr",
            "own",
            Mark.OWN,
            band.words,
        )
    return strength
