"""First-year loss in open air from climate, sulphur dioxide and chloride (ISO 9223, equations 1 to 4)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.metals import Array, Metal, checked_metal, known, not_negative
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Estimate

__all__ = [
    "OutsideValidity",
    "ScatterBasis",
    "first_year_loss_um",
    "model_scatter",
    "outside_validity",
]

ScatterBasis = Literal["annex_a", "rows", "calibrated"]

_EQUATION = "r = A Pd^a exp(b RH + f) + B Sd^c exp(d RH + e T), f = k (T - 10)"
_NAMES = {
    "temperature_c": "temperature",
    "relative_humidity_pct": "relative humidity",
    "sulphur_dioxide_mg_m2_d": "sulphur dioxide deposition",
    "chloride_mg_m2_d": "chloride deposition",
}
_COEFFICIENTS = (
    "dry_factor",
    "dry_sulphur_power",
    "dry_humidity_rate",
    "dry_cold_rate_per_c",
    "dry_warm_rate_per_c",
    "salt_factor",
    "salt_chloride_power",
    "salt_humidity_rate",
    "salt_temperature_rate_per_c",
)
_PIVOT_C = 10.0  # where the two branches of f meet; part of the form of the equation


@dataclass(frozen=True)
class OutsideValidity:
    """One input of the law that leaves the range for which ISO 9223 states it.

    Attributes
    ----------
    name : the argument, such as ``chloride_mg_m2_d``
    least, most : the stated range, in the unit that the name carries
    share : share of the values given that lie outside, 0 to 1
    words : one plain sentence
    source, mark : of the range
    """

    name: str
    least: float
    most: float
    share: float
    words: str
    source: str
    mark: Mark


def first_year_loss_um(
    metal: str,
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    sulphur_dioxide_mg_m2_d: ArrayLike,
    chloride_mg_m2_d: ArrayLike,
    trace: Trace | None = None,
) -> Array:
    """Depth lost in the first year on a surface open to rain [um].

    r = A Pd^a exp(b RH + f) + B Sd^c exp(d RH + e T), with f = k (T - 10), where k differs below and
    above 10 C. Inputs are yearly means. Aluminium is read as um; one quoted copy of the standard says
    g/m2, which would be 2.7 times less.

    Parameters
    ----------
    metal : carbon_steel, zinc, copper or aluminium
    temperature_c : T, air temperature [deg C]
    relative_humidity_pct : RH [%], 0 to 100
    sulphur_dioxide_mg_m2_d : Pd, sulphur dioxide deposition [mg/(m2 d)], not negative
    chloride_mg_m2_d : Sd, chloride deposition [mg/(m2 d)], not negative
    trace : records the equation with numbers put in; only where every input is a single number

    Shapes broadcast. The range is not enforced: ask ``outside_validity``. Not for sheltered faces or
    indoors. Source iso9223-2012.

    Raises
    ------
    InputError : for another metal, a humidity outside 0 to 100 %, a negative deposition, no number

    >>> round(float(first_year_loss_um("zinc", 10, 75, 5, 3)), 3)
    0.965
    """
    row = _coefficients()[checked_metal(metal)]
    T = known("temperature_c", temperature_c)
    RH = not_negative("relative_humidity_pct", relative_humidity_pct)
    if (RH > 100).any():
        raise InputError(Problem("relative_humidity_pct", float(RH.max()), "must lie between 0 and 100 %."))
    Pd = not_negative("sulphur_dioxide_mg_m2_d", sulphur_dioxide_mg_m2_d)
    Sd = not_negative("chloride_mg_m2_d", chloride_mg_m2_d)

    cold, warm = float(row["dry_cold_rate_per_c"]), float(row["dry_warm_rate_per_c"])
    k = np.asarray(np.where(T <= _PIVOT_C, cold, warm), dtype=float)
    dry = (
        row["dry_factor"]
        * Pd ** row["dry_sulphur_power"]
        * np.exp(row["dry_humidity_rate"] * RH + k * (T - _PIVOT_C))
    )
    salt = (
        row["salt_factor"]
        * Sd ** row["salt_chloride_power"]
        * np.exp(row["salt_humidity_rate"] * RH + row["salt_temperature_rate_per_c"] * T)
    )
    loss = np.asarray(dry + salt)
    if trace is not None and loss.ndim == 0:
        _record(trace, row, (float(T), float(RH), float(Pd), float(Sd)), float(k), float(loss))
    return loss


def outside_validity(
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    sulphur_dioxide_mg_m2_d: ArrayLike,
    chloride_mg_m2_d: ArrayLike,
) -> tuple[OutsideValidity, ...]:
    """Which inputs leave the range of the law, empty where none does; widen and warn, do not refuse.

    Arguments as in ``first_year_loss_um``. Source iso9223-2012, Table 3, from memory.

    >>> [out.words for out in outside_validity(30.5, 80, 5, 60)]
    ['temperature 30.5 C is outside the range -17.1 to 28.7 C for which the law is stated']
    """
    given = {
        "temperature_c": temperature_c,
        "relative_humidity_pct": relative_humidity_pct,
        "sulphur_dioxide_mg_m2_d": sulphur_dioxide_mg_m2_d,
        "chloride_mg_m2_d": chloride_mg_m2_d,
    }
    found = []
    for row in _validity():
        values = known(row["input"], given[row["input"]])
        outside = (values < row["least"]) | (values > row["most"])
        if outside.any():
            found.append(_outside(row, values, float(np.mean(outside))))
    return tuple(found)


def model_scatter(metal: str, basis: ScatterBasis = "rows") -> Estimate:
    """Factor of the true first-year loss on the law's: a median and the spread of its logarithm.

    ``annex_a`` is the uncertainty that the standard states. ``rows`` keeps the law where it is and
    takes the wider spread that measured sites show. ``calibrated`` also moves the law to the median of
    measured over predicted at 28 mostly cool sites, where it runs low; the spread there includes that of
    the inputs.

    >>> model_scatter("zinc").sd_ln, model_scatter("zinc", "annex_a").sd_ln
    (0.55, 0.4)
    """
    row = _scatter()[checked_metal(metal), basis]
    opening = "stated by the standard" if basis == "annex_a" else "found at measured sites"
    return Estimate(
        row["median_factor"], row["sd_ln"], f"{opening}: {row['note']}", row["source"], row["mark"]
    )


@once
def _coefficients() -> Mapping[Metal, Row]:
    columns: dict[str, Parser] = {"metal": checked_metal, **dict.fromkeys(_COEFFICIENTS, number), "note": str}
    rows = load_csv("air/iso9223_2012/dose_response.csv", columns, key=("metal",))
    return {row["metal"]: row for row in rows}


@once
def _validity() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"input": str, "least": number, "most": number, "unit": str}
    return load_csv("air/iso9223_2012/validity.csv", columns, key=("input",))


@once
def _scatter() -> Mapping[tuple[str, str], Row]:
    columns: dict[str, Parser] = {
        "metal": checked_metal,
        "basis": str,
        "median_factor": number,
        "sd_ln": number,
        "note": str,
    }
    rows = load_csv("air/iso9223_2012/scatter.csv", columns, key=("metal", "basis"))
    return {(row["metal"], row["basis"]): row for row in rows}


def _outside(row: Row, values: Array, share: float) -> OutsideValidity:
    bounds = f"{row['least']:g} to {row['most']:g} {row['unit']}"
    words = f"is outside the range {bounds} for which the law is stated"
    if values.ndim == 0:
        words = f"{_NAMES[row['input']]} {float(values):g} {row['unit']} {words}"
    else:
        words = f"{_NAMES[row['input']]} {words} in {share:.0%} of the cases"
    return OutsideValidity(row["input"], row["least"], row["most"], share, words, row["source"], row["mark"])


def _record(
    trace: Trace, row: Row, given: tuple[float, float, float, float], k: float, loss_um: float
) -> None:
    T, RH, Pd, Sd = given
    note(
        trace,
        f"first-year loss of {row['metal'].replace('_', ' ')} in open air",
        "r",
        _EQUATION,
        {
            "A": f"{row['dry_factor']:g}",
            "Pd": f"{Pd:.4g} mg/(m2 d)",
            "a": f"{row['dry_sulphur_power']:g}",
            "b": f"{row['dry_humidity_rate']:g}",
            "RH": f"{RH:.4g} %",
            "k": f"{k:g} per C",
            "T": f"{T:.4g} C",
            "B": f"{row['salt_factor']:g}",
            "Sd": f"{Sd:.4g} mg/(m2 d)",
            "c": f"{row['salt_chloride_power']:g}",
            "d": f"{row['salt_humidity_rate']:g}",
            "e": f"{row['salt_temperature_rate_per_c']:g} per C",
        },
        loss_um,
        "um",
        row["source"],
        row["mark"],
        row["note"],
    )
