"""Monthly relative humidity from yearly vapour quantiles: the step that the maps leave open.

The vapour map tells how often in a year each vapour density is exceeded, not when. Months whose
humidity is ``level`` times exp(``tilt`` times the month's standing between coldest and warmest), each with
a lognormal spread of vapour within the month, give a year's distribution; level and tilt are those that come
closest to the map's. A linear correction with what else is known of the month (rain against
drying power, whether the months are warming or cooling, the air over the nearest sea, the yearly
range of temperature) is then fitted to stations by ``fit_climate.py``.
"""

from __future__ import annotations

import numpy as np
from climate_maps import PERCENT, Maps, saturation_g_m3, saturation_hpa
from scipy.special import ndtr, ndtri

USED = (PERCENT >= 5.0) & (PERCENT <= 95.0)
FEATURES = ("level", "season", "wetness", "warming", "sea", "coast", "range")
_STEPS, _LEAST_RANGE_C, _TILT_PRIOR = 25, 6.0, 0.3
_COAST_KM, _RANGE_AT_MOST_C = 40.0, 25.0


def from_quantiles(vapour_g_m3: np.ndarray, temperature_c: np.ndarray) -> np.ndarray:
    """Monthly relative humidity [%] whose mixture over the year matches the quantiles.

    Gauss-Newton on (ln level, tilt) in units of the normal quantile of exceedance.
    """
    span = temperature_c.max(1) - temperature_c.min(1)
    standing = (temperature_c - temperature_c.mean(1, keepdims=True)) / np.maximum(span, _LEAST_RANGE_C)[
        :, None
    ]
    spread = np.clip(0.12 + 0.008 * span, 0.1, 0.4)[:, None, None]
    ln_sat = np.log(saturation_g_m3(temperature_c))[:, :, None]
    ln_q = np.log(np.maximum(vapour_g_m3[:, USED], 1e-4))[:, None, :]
    wanted = ndtri(PERCENT[USED] / 100.0)
    x = np.stack([np.full(len(span), np.log(0.7)), np.zeros(len(span))], 1)

    def miss(x: np.ndarray) -> np.ndarray:
        ln_rh = np.clip(x[:, :1] + x[:, 1:] * standing, np.log(0.05), 0.0)[:, :, None]
        above = ndtr((ln_rh + ln_sat - spread**2 / 2 - ln_q) / spread).mean(1)
        return ndtri(np.clip(above, 1e-3, 1 - 1e-3)) - wanted

    step = 1e-3
    for _ in range(_STEPS):
        base = miss(x)
        jac = np.stack([(miss(x + step * np.eye(2)[k]) - base) / step for k in (0, 1)], -1)
        normal = np.einsum("nqa,nqb->nab", jac, jac) + np.diag([1e-3, _TILT_PRIOR])
        right = np.einsum("nqa,nq->na", jac, base)
        right[:, 1] += _TILT_PRIOR * x[:, 1]
        x = x - np.clip(np.linalg.solve(normal, right[..., None])[..., 0], -0.2, 0.2)
        x = np.clip(x, [np.log(0.1), -0.9], [0.0, 0.9])
    return 100.0 * np.exp(np.clip(x[:, :1] + x[:, 1:] * standing, np.log(0.05), 0.0))


def features(maps: Maps, latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """What the correction knows of each month: points x 12 x FEATURES."""
    raw = from_quantiles(
        maps.vapour_g_m3.at(latitude, longitude), maps.coarse_temperature_c.at(latitude, longitude)
    )
    t = maps.temperature_c.at(latitude, longitude)
    level = np.repeat(raw.mean(1, keepdims=True), 12, 1)
    wetness = np.log((rain(maps, latitude, longitude) + 5.0) / (6.0 * saturation_hpa(t) + 5.0))
    warming = (np.roll(t, -1, 1) - np.roll(t, 1, 1)) / 2.0
    coast = np.exp(-maps.sea_distance_km(latitude, longitude) / _COAST_KM)[:, None]
    over_sea = maps.at_sea(latitude, longitude, maps.marine_humidity_pct)
    sea = np.where(np.isfinite(over_sea), coast * (over_sea - level), 0.0)
    span = np.minimum(t.max(1) - t.min(1), _RANGE_AT_MOST_C)[:, None] + 0.0 * t
    return np.stack([level, raw - level, wetness, warming, sea, coast + 0.0 * t, span], -1)


def rain(maps: Maps, latitude: np.ndarray, longitude: np.ndarray) -> np.ndarray:
    """Monthly rain [mm]: geometric mean of the two maps, which err in opposite directions."""
    a = np.maximum(maps.rain_mm.at(latitude, longitude), 0.0)
    b = np.maximum(maps.reanalysis_rain_mm.at(latitude, longitude), 0.0)
    return np.sqrt((a + 1.0) * (b + 1.0)) - 1.0


def corrected(known: np.ndarray, coefficients: np.ndarray) -> np.ndarray:
    """Monthly relative humidity [%] from the features, 8 to 98."""
    return np.clip(coefficients[0] + known @ coefficients[1:], 8.0, 98.0)
