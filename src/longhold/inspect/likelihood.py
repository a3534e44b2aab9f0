"""How likely a reading is beside what the forecast expects of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import log_ndtr, ndtr

from longhold.inspect.observed import Observed
from longhold.inspect.spreads import gauge_sd, spread
from longhold.model.reading import Reading

__all__ = ["log_likelihood", "scatter_sd", "seen", "wild_chance"]

Array = NDArray[np.float64]
_LEAST_AMOUNT = 1e-9
_LOG_ROOT_2PI = 0.5 * float(np.log(2.0 * np.pi))


def log_likelihood(one: Observed, expected: Array, gauge: ArrayLike = 0.0) -> Array:
    """Logarithm of the density (of a grade: the chance) of a reading in each draw, slips allowed for.

    Parameters
    ----------
    expected : what the forecast expects, in the unit of the reading, shape (draws,)
    gauge : standard normal error of its gauge, shared by all readings of it
    """
    sound, wild = _parts(one, expected, gauge)
    return np.asarray(np.logaddexp(sound, wild))


def wild_chance(one: Observed, expected: Array, gauge: ArrayLike = 0.0) -> float:
    """Chance that a reading is a slip, given draws as all readings leave them."""
    sound, wild = _parts(one, expected, gauge)
    return float(np.mean(np.exp(wild - np.logaddexp(sound, wild))))


def seen(one: Observed, expected: Array, generator: np.random.Generator) -> Array:
    """Readings as they might come of what is expected, slips left out, shape (draws,); of rust, shares."""
    noise = generator.standard_normal(expected.shape)
    if one.reading.measured == "rust":
        return np.asarray(np.minimum(expected * np.exp(spread("rust_seen") * noise), 1.0))
    if one.reading.measured == "chloride":
        return np.asarray(expected * np.exp(_chloride_sd_ln(one.reading) * noise))
    total = np.hypot(scatter_sd(one.reading, expected), gauge_sd(one.reading))
    return np.asarray(expected + total * noise)


def scatter_sd(reading: Reading, expected: ArrayLike) -> Array:
    """Standard deviation of a mean over spots about what is expected, without the gauge, in its unit."""
    x = np.abs(np.asarray(expected, float))
    if reading.measured in ("diameter_left", "thickness_left"):
        new = spread("size_new") * x if reading.size_new is None else 0.0
        return np.asarray(np.hypot(new, spread("metal_floor_um") / 1000.0 / np.sqrt(reading.spots)))
    kind = "zinc" if reading.measured == "zinc" else "metal"
    one_spot = np.hypot(spread(f"{kind}_spots") * x, spread(f"{kind}_floor_um"))
    return np.asarray(one_spot / np.sqrt(reading.spots))


def _parts(one: Observed, expected: Array, gauge: ArrayLike) -> tuple[Array, Array]:
    """Log density as a sound reading and as a slip, each with its share."""
    share = spread("wild_share")
    sound_share, wild_share = np.log1p(-share), np.log(share)
    if one.reading.measured == "rust":
        grade = _log_grade(one.reading, expected)
        return sound_share + grade, np.full(expected.shape, wild_share - np.log(spread("grade_scale")))
    if one.reading.measured == "chloride":
        apart = np.log(_value(one.reading)) - np.log(expected)
        sd: ArrayLike = _chloride_sd_ln(one.reading)
        wide = sd
    else:
        bias = gauge_sd(one.reading)
        apart = _value(one.reading) - expected - bias * np.asarray(gauge)
        sd = scatter_sd(one.reading, expected)
        wide = np.hypot(sd, bias)
    return (
        sound_share + _log_normal(apart, sd),
        wild_share + _log_cauchy(apart, spread("wild_factor") * np.asarray(wide)),
    )


def _log_grade(reading: Reading, expected: Array) -> Array:
    """Log chance that an eye grades a rusted share within the reading's interval."""
    low, high = reading.rusted
    high = max(high, spread("least_seen"))
    middle = np.log(expected)
    with np.errstate(divide="ignore"):
        below = (np.log(low) - middle) / spread("rust_seen")
    above = np.inf if high >= 1.0 else (np.log(high) - middle) / spread("rust_seen")
    # of two ways to take the difference, the one in the nearer tail keeps its digits
    upper = np.asarray(above) > 0.0
    plain = np.where(upper, ndtr(-below) - ndtr(-np.asarray(above)), ndtr(above) - ndtr(below))
    return np.asarray(np.log(np.maximum(plain, np.exp(log_ndtr(-30.0)))))


def _chloride_sd_ln(reading: Reading) -> float:
    return float(np.hypot(spread("chloride_year"), gauge_sd(reading) / _value(reading)))


def _value(reading: Reading) -> float:
    return max(reading.amount, _LEAST_AMOUNT)


def _log_normal(apart: ArrayLike, sd: ArrayLike) -> Array:
    sd = np.asarray(sd, float)
    return np.asarray(-0.5 * (np.asarray(apart) / sd) ** 2 - np.log(sd) - _LOG_ROOT_2PI)


def _log_cauchy(apart: ArrayLike, scale: ArrayLike) -> Array:
    """A slip may lie anywhere; with the tail of a normal, one far off would drag the forecast to its edge."""
    scale = np.asarray(scale, float)
    return np.asarray(-np.log1p((np.asarray(apart) / scale) ** 2) - np.log(np.pi * scale))
