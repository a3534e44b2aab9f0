"""How far measured first-year loss stands from the printed equations: a shift with its spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.dose_response import first_year_loss_um
from longhold.air.metals import Array, Metal, checked_metal, known
from longhold.base.marks import Mark
from longhold.base.tables import Parser, Row, load_csv, load_toml, number
from longhold.base.trace import Trace, note

__all__ = ["CalibratedLoss", "calibrated_first_year_loss_um"]

_TABLE = "air/own/calibration.toml"
_NAMES = {
    "temperature_c": "temperature",
    "relative_humidity_pct": "relative humidity",
    "sulphur_dioxide_mg_m2_d": "sulphur dioxide deposition",
    "chloride_mg_m2_d": "chloride deposition",
}


@dataclass(frozen=True)
class CalibratedLoss:
    """First-year loss moved to where measured sites stand, with its band.

    Attributes
    ----------
    median_um : middle value [um]
    sd_ln : standard deviation of its logarithm, of the model alone: the inputs' own bands come on top
    printed_um : what the printed equation gives [um]
    weight_share : 1 within the data of the fit, falling to 0 where the shift has faded to none
    words : one sentence for each input that leaves the data; empty where none does
    source, mark : of the shift
    """

    median_um: Array
    sd_ln: Array
    printed_um: Array
    weight_share: Array
    words: tuple[str, ...]
    source: str
    mark: Mark


def calibrated_first_year_loss_um(
    metal: str,
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    sulphur_dioxide_mg_m2_d: ArrayLike,
    chloride_mg_m2_d: ArrayLike,
    trace: Trace | None = None,
) -> CalibratedLoss:
    """Depth lost in the first year on a surface open to rain, as measured sites would have it [um].

    r_c = r exp(w (a + s ln(r / r0))), where r is the printed loss of ISO 9223 (``first_year_loss_um``), a the
    level of the metal, s = -0.33 one slope for all four metals: the printed equations answer too steeply, too
    low where little is lost and too high where much is. w is 1 within the data of the fit (23 sites,
    temperature -13.6 to 18.6 C, humidity 58 to 90 %, sulphur dioxide 0.8 to 72, chloride 0 to 184
    mg/(m2 d)) and falls to 0 beyond, where the printed loss stands with a wider band; a shift that lowers
    loss falls off sooner towards more salt. The band is that of a
    group of sites which the fit did not see. A printed loss of nought stays nought.

    Parameters
    ----------
    metal : carbon_steel, zinc, copper or aluminium
    temperature_c, relative_humidity_pct, sulphur_dioxide_mg_m2_d, chloride_mg_m2_d : as in
        ``first_year_loss_um``, yearly means; shapes broadcast
    trace : records printed equation and shift; only where every input is a single number

    Source open-loss-sites, mark own.

    Raises
    ------
    InputError : as ``first_year_loss_um``

    >>> loss = calibrated_first_year_loss_um("zinc", 5, 75, 2, 3)
    >>> round(float(loss.printed_um), 2), round(float(loss.median_um), 2), round(float(loss.sd_ln), 2)
    (0.55, 0.99, 0.39)
    """
    name = checked_metal(metal)
    inputs = (temperature_c, relative_humidity_pct, sulphur_dioxide_mg_m2_d, chloride_mg_m2_d)
    printed = first_year_loss_um(name, *inputs, trace=trace)
    row, slope = _levels()[name], load_toml(_TABLE)["law"]["slope"]
    positive = np.maximum(printed, np.finfo(float).tiny)
    raising, weight, words = _weights(row, inputs, positive)
    shift = row["level_ln"] + slope * np.log(positive / row["pivot_um"])
    median = np.asarray(printed * np.exp(np.where(shift > 0.0, raising, weight) * shift))
    inside, outside = row["inside_sd_ln"], row["outside_sd_ln"]
    sd_ln = np.asarray(np.sqrt(weight * inside**2 + (1.0 - weight) * outside**2))
    found = CalibratedLoss(median, sd_ln, printed, weight, words, row["source"], row["mark"])
    if trace is not None and median.ndim == 0:
        _record(trace, name, row, slope, found)
    return found


def _weights(
    row: Row, inputs: tuple[ArrayLike, ...], printed: Array
) -> tuple[Array, Array, tuple[str, ...]]:
    """Weights of a shift that raises loss and of one that lowers it: 1 within the data, 0 far out.

    The input that is farthest out decides. A lowering fades sooner towards more salt and more loss.
    """
    fade = load_toml(_TABLE)["fade"]
    steps = {
        "temperature_c": fade["temperature_c"],
        "relative_humidity_pct": fade["relative_humidity_pct"],
        "sulphur_dioxide_mg_m2_d": np.log(fade["sulphur_factor"]),
        "chloride_mg_m2_d": np.log(fade["chloride_factor"]),
        "loss": np.log(fade["loss_factor"]),
    }
    sooner = np.log(fade["lowering_factor"])
    raising, lowering, words = np.ones(printed.shape), np.ones(printed.shape), []
    for limits, given in zip(_ranges(), inputs, strict=True):
        name, values = limits["input"], known(limits["input"], given)
        out = _beyond(*(_scaled(name, x) for x in (values, limits["least"], limits["most"])))
        step = steps[name]
        raising = np.minimum(raising, 1.0 - out / step)
        lowering = np.minimum(lowering, 1.0 - out / (sooner if name == "chloride_mg_m2_d" else step))
        if (out > 0).any():
            words.append(_out_words(limits, values, float(np.mean(out > 0))))
    least, most = row["least_printed_um"], row["most_printed_um"]
    out = _beyond(np.log(printed), np.log(least), np.log(most))
    raising = np.minimum(raising, 1.0 - out / steps["loss"])
    lowering = np.minimum(lowering, 1.0 - out / sooner)
    if (out > 0).any():
        words.append(f"the printed loss leaves the {least:.3g} to {most:.3g} um of the sites")
    return np.maximum(raising, 0.0), np.maximum(lowering, 0.0), tuple(words)


def _scaled(name: str, values: ArrayLike) -> Array:
    """Temperature and humidity as they are, depositions as logarithms."""
    array = np.asarray(values, dtype=float)
    if name == "sulphur_dioxide_mg_m2_d":
        return np.asarray(np.log(np.maximum(array, np.finfo(float).tiny)))
    return np.asarray(np.log1p(array)) if name == "chloride_mg_m2_d" else array


def _beyond(values: Array, least: Array, most: Array) -> Array:
    return np.asarray(np.maximum(np.maximum(least - values, values - most), 0.0))


def _out_words(limits: Row, values: Array, share: float) -> str:
    words = f"leaves the {limits['least']:g} to {limits['most']:g} {limits['unit']} of the measured sites"
    name = _NAMES[limits["input"]]
    if values.ndim == 0:
        return f"{name} {float(values):g} {limits['unit']} {words}"
    return f"{name} {words} in {share:.0%} of the cases"


def _record(trace: Trace, metal: Metal, row: Row, slope: float, found: CalibratedLoss) -> None:
    note(
        trace,
        f"first-year loss of {metal.replace('_', ' ')} where measured sites stand",
        "r_c",
        "r_c = r exp(w (a + s ln(r / r0)))",
        {
            "r": f"{float(found.printed_um):.4g} um",
            "w": f"{float(found.weight_share):.4g}",
            "a": f"{row['level_ln']:g}",
            "s": f"{slope:g}",
            "r0": f"{row['pivot_um']:g} um",
        },
        float(found.median_um),
        "um",
        row["source"],
        row["mark"],
        "; ".join((f"standard deviation of ln {float(found.sd_ln):.3g}", *found.words)),
    )


@cache
def _levels() -> Mapping[Metal, Row]:
    numbers = (
        "level_ln",
        "pivot_um",
        "least_printed_um",
        "most_printed_um",
        "inside_sd_ln",
        "outside_sd_ln",
    )
    columns: dict[str, Parser] = {"metal": checked_metal, **dict.fromkeys(numbers, number)}
    rows = load_csv("air/own/calibration.csv", columns, key=("metal",))
    return {row["metal"]: row for row in rows}


@cache
def _ranges() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"input": str, "least": number, "most": number, "unit": str}
    return load_csv("air/own/calibration_range.csv", columns, key=("input",))
