"""Chloride deposition measured in another way, turned into that of the wet candle."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import Literal, get_args

from longhold.air.metals import not_negative
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, optional_number
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Estimate

__all__ = ["ChlorideMethod", "measured_chloride"]

ChlorideMethod = Literal["wet_candle", "dry_plate", "gauze"]


def measured_chloride(
    chloride_mg_m2_d: float, method: ChlorideMethod = "wet_candle", trace: Trace | None = None
) -> Estimate:
    """A measured yearly mean chloride deposition, as the wet candle would give it [mg/(m2 d)].

    Sd (candle) = 2.4 x Sd (dry plate), recalled from ISO 9225; the band then also holds 0.2 of our own for
    the factor. Gauze is refused. The laws of this room are for the wet candle.

    Parameters
    ----------
    chloride_mg_m2_d : as measured [mg/(m2 d)], more than 0
    method : wet_candle, dry_plate or gauze
    trace : records the step

    Raises
    ------
    InputError : for a value that is not above zero, another method, or gauze

    >>> estimate = measured_chloride(10.0, "dry_plate")
    >>> estimate.median, estimate.how
    (24.0, 'measured by dry plate, times 2.4')
    """
    where = "air.chloride"
    amount = float(not_negative(where, chloride_mg_m2_d))
    if amount == 0.0:
        do = "Give the limit of detection where nothing was found."
        raise InputError(Problem(where, chloride_mg_m2_d, "must be more than zero.", do))
    row = _methods().get(method)
    if row is None:
        raise InputError(
            Problem("air.chloride_method", method, f"must be one of {', '.join(get_args(ChlorideMethod))}.")
        )
    if row["why_not"]:
        raise InputError(
            Problem("air.chloride_method", method, f"is refused: {row['why_not']}.", "Measure by wet candle.")
        )
    spread = load_toml("air/own/measured.toml")
    own_sd_ln = spread["deposition"]["sd_ln"]
    unit, what = "mg/(m2 d)", "chloride deposition"
    if method == "wet_candle":
        note(trace, what, "m", "measured", {}, amount, unit, "user", Mark.VERIFIED)
        return Estimate(amount, own_sd_ln, "measured", "user", Mark.VERIFIED)
    factor = row["wet_candle_per_unit"]
    how = f"measured by {row['words']}, times {factor:g}"
    inputs = {"k": f"{factor:g}", "m": f"{amount:.4g} {unit}"}
    note(trace, what, "Cl", "Cl = k m", inputs, amount * factor, unit, row["source"], row["mark"], how)
    sd_ln = hypot(own_sd_ln, spread[method]["sd_ln"])
    return Estimate(amount * factor, sd_ln, how, row["source"], row["mark"])


@once
def _methods() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "method": str,
        "words": str,
        "wet_candle_per_unit": optional_number,
        "why_not": str,
    }
    return {row["method"]: row for row in load_csv("air/chloride_methods.csv", columns, key=("method",))}
