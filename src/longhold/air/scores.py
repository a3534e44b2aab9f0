"""Predicted against measured first-year loss: bias, spread, and how often the law comes near."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product
from math import erf, exp, hypot, log, sqrt
from typing import Literal

import numpy as np

from longhold.air.dose_response import model_scatter
from longhold.air.first_year import LAWS, FirstYear, Law, first_year
from longhold.air.metals import METALS, Metal
from longhold.air.site_rows import SiteInputs
from longhold.air.untold import untold_sd_ln

__all__ = ["Basis", "Outcome", "Prediction", "Score", "claimed_share", "outcomes", "predict", "scores"]

Basis = Literal["own_inputs", "position"]
_Z80 = 1.2816  # of a normal distribution, 10 to 90 %


@dataclass(frozen=True)
class Prediction:
    """First-year loss of one metal by one law at one site.

    Attributes
    ----------
    basis : from the row's own inputs, or from its position alone
    law, metal : which
    median_um : [um]
    sd_ln : of its logarithm: the law's, that of inputs which are not taken as given, and that of what may
        stand near and is not stated
    words : what was assumed, and what lies outside the range of the law
    """

    basis: Basis
    law: Law
    metal: Metal
    median_um: float
    sd_ln: float
    words: tuple[str, ...]


@dataclass(frozen=True)
class Outcome:
    """A prediction held against a measurement.

    Attributes
    ----------
    site, group : of the measurement
    fitted : whether the calibrated law was fitted to this site
    assumed : whether an input was assumed
    prediction : what was predicted
    measured_um : what was measured [um]
    """

    site: str
    group: str
    fitted: bool
    assumed: bool
    prediction: Prediction
    measured_um: float

    @property
    def error_ln(self) -> float:
        """ln(predicted / measured)."""
        return log(self.prediction.median_um / self.measured_um)


@dataclass(frozen=True)
class Score:
    """What a set of outcomes says.

    Attributes
    ----------
    which : the set of sites in words
    basis, law, metal : of the predictions
    count : how many
    bias_ratio : geometric mean of predicted over measured
    spread_ln : standard deviation of ln(predicted / measured) about that mean; 0 for a single one
    rms_ln : root mean square of ln(predicted / measured)
    within_1_5_share, within_2_share : share within a factor of 1.5 and 2
    in_band_share : share of measurements inside the predicted 10 to 90 % band
    """

    which: str
    basis: Basis
    law: Law
    metal: Metal
    count: int
    bias_ratio: float
    spread_ln: float
    rms_ln: float
    within_1_5_share: float
    within_2_share: float
    in_band_share: float


def predict(inputs: SiteInputs, basis: Basis) -> tuple[Prediction, ...]:
    """Every metal by both laws for one site.

    The band holds that of the law, that of what is not stated of the surroundings and, by the slope of the
    law at the site, those of uncertain inputs.

    >>> found = predict(SiteInputs(5.0, 75.0, 2.0, 3.0), "own_inputs")
    >>> [(one.law, round(one.median_um, 2)) for one in found if one.metal == "zinc"]
    [('printed', 0.55), ('calibrated', 0.95)]
    """
    return tuple(_predicted(metal, law, inputs, basis) for metal, law in product(METALS, LAWS))


def outcomes(
    predictions: Sequence[Prediction],
    measured_um: Mapping[Metal, float],
    site: str,
    group: str,
    *,
    fitted: bool,
    assumed: bool,
) -> tuple[Outcome, ...]:
    """Each prediction beside its measurement; predictions of a metal that was not measured are left out."""
    return tuple(
        Outcome(site, group, fitted, assumed, one, measured_um[one.metal])
        for one in predictions
        if one.metal in measured_um
    )


def scores(found: Sequence[Outcome]) -> tuple[Score, ...]:
    """Figures by basis, metal and law, for all sites, those the fit never saw, complete ones, each group.

    Sets that hold no outcome, or every outcome again, are left out.
    """
    sets: dict[str, Callable[[Outcome], bool]] = {
        "all sites": lambda _: True,
        "sites the fit never saw": lambda one: not one.fitted,
        "sites with every input measured": lambda one: not one.assumed,
    }
    for name in sorted({one.group for one in found}):
        sets[name] = partial(_of_group, name)
    result = []
    bases: tuple[Basis, ...] = ("own_inputs", "position")
    for basis, metal, law in product(bases, METALS, LAWS):
        of = [
            one
            for one in found
            if (one.prediction.basis, one.prediction.metal, one.prediction.law) == (basis, metal, law)
        ]
        for which, belongs in sets.items():
            kept = [one for one in of if belongs(one)]
            if kept and (which == "all sites" or len(kept) < len(of)):
                result.append(_score(which, basis, law, metal, kept))
    return tuple(result)


def claimed_share(metal: str, factor: float) -> float:
    """Share within a factor that the standard's own uncertainty claims, errors being lognormal [-].

    Source iso9223-2012, Annex A, from memory.

    >>> round(claimed_share("zinc", 1.5), 2), round(claimed_share("zinc", 2.0), 2)
    (0.69, 0.92)
    """
    return erf(log(factor) / model_scatter(metal, "annex_a").sd_ln / sqrt(2.0))


def _predicted(metal: Metal, law: Law, inputs: SiteInputs, basis: Basis) -> Prediction:
    point = (
        inputs.temperature_c,
        inputs.relative_humidity_pct,
        inputs.sulphur_dioxide_mg_m2_d,
        inputs.chloride_mg_m2_d,
    )
    found = _first_year(metal, law, point)
    spread = [float(found.sd_ln), untold_sd_ln(metal, inputs.untold_share)]
    for index, (low, high) in enumerate(_either_side(inputs, point)):
        if low != high:
            ends = [
                float(_first_year(metal, law, (*point[:index], end, *point[index + 1 :])).median_um)
                for end in (low, high)
            ]
            spread.append(log(ends[1] / ends[0]) / 2.0)
    words = (*inputs.assumed, *found.words)
    return Prediction(basis, law, metal, float(found.median_um), hypot(*spread), words)


def _first_year(metal: Metal, law: Law, point: tuple[float, ...]) -> FirstYear:
    t, rh, pd, sd = point
    return first_year(metal, t, rh, pd, sd, law=law)


def _either_side(inputs: SiteInputs, point: tuple[float, ...]) -> list[tuple[float, float]]:
    """One standard deviation below and above each input."""
    t, rh, pd, sd = point
    pd_up, sd_up = exp(inputs.sulphur_sd_ln), exp(inputs.chloride_sd_ln)
    return [
        (t - inputs.temperature_sd_c, t + inputs.temperature_sd_c),
        (max(rh - inputs.humidity_sd_pct, 0.0), min(rh + inputs.humidity_sd_pct, 100.0)),
        (pd / pd_up, pd * pd_up),
        (sd / sd_up, sd * sd_up),
    ]


def _of_group(name: str, one: Outcome) -> bool:
    return one.group == name


def _score(which: str, basis: Basis, law: Law, metal: Metal, kept: Sequence[Outcome]) -> Score:
    errors = np.array([one.error_ln for one in kept])
    bands = np.array([one.prediction.sd_ln for one in kept])
    size = np.abs(errors)
    return Score(
        which,
        basis,
        law,
        metal,
        len(kept),
        float(np.exp(errors.mean())),
        float(errors.std(ddof=1)) if len(kept) > 1 else 0.0,
        float(np.sqrt(np.mean(errors**2))),
        float(np.mean(size <= np.log(1.5))),
        float(np.mean(size <= np.log(2.0))),
        float(np.mean(size <= _Z80 * bands)),
    )
