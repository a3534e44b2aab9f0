"""First-year loss by either law, with its band: the equations as printed, or moved to measured sites."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.calibration import calibrated_first_year_loss_um
from longhold.air.dose_response import (
    ScatterBasis,
    first_year_loss_um,
    model_scatter,
    outside_validity,
)
from longhold.air.metals import Array
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import load_toml

__all__ = ["LAWS", "FirstYear", "Law", "both_laws", "first_year"]

Law = Literal["printed", "calibrated"]
LAWS: tuple[Law, ...] = get_args(Law)


@dataclass(frozen=True)
class FirstYear:
    """First-year loss of one metal by one law.

    Attributes
    ----------
    law : printed or calibrated
    median_um : middle value [um]
    sd_ln : standard deviation of its logarithm, of the law alone
    words : one sentence for each input outside the range of the law; empty where none is
    source, mark : of the law and its band
    """

    law: Law
    median_um: Array
    sd_ln: Array
    words: tuple[str, ...]
    source: str
    mark: Mark


def first_year(
    metal: str,
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    sulphur_dioxide_mg_m2_d: ArrayLike,
    chloride_mg_m2_d: ArrayLike,
    law: Law = "calibrated",
    scatter: ScatterBasis = "rows",
) -> FirstYear:
    """First-year loss of bare metal open to rain, with the band of the law.

    Printed: ISO 9223 as it stands, the band from ``model_scatter`` and half as wide again where an input
    leaves the range that the standard states. Calibrated: see ``calibrated_first_year_loss_um``. Either is
    computed outside its range, flagged, and given more room.

    Parameters
    ----------
    metal, temperature_c, relative_humidity_pct, sulphur_dioxide_mg_m2_d, chloride_mg_m2_d : as in
        ``first_year_loss_um``; shapes broadcast
    law : printed or calibrated
    scatter : band of the printed law: annex_a as the standard states it, or rows as sites show it

    Raises
    ------
    InputError : as ``first_year_loss_um``; for another law

    >>> loss = first_year("zinc", 30.5, 80, 5, 60, law="printed", scatter="annex_a")
    >>> round(float(loss.sd_ln), 2), len(loss.words)
    (0.6, 1)
    """
    if law not in LAWS:
        raise InputError(Problem("law", law, f"must be one of {', '.join(LAWS)}."))
    inputs = (temperature_c, relative_humidity_pct, sulphur_dioxide_mg_m2_d, chloride_mg_m2_d)
    if law == "calibrated":
        found = calibrated_first_year_loss_um(metal, *inputs)
        return FirstYear(law, found.median_um, found.sd_ln, found.words, found.source, found.mark)
    loss, spread = first_year_loss_um(metal, *inputs), model_scatter(metal, scatter)
    outside = outside_validity(*inputs)
    out = np.zeros(loss.shape, dtype=bool)
    for limits, values in ((one, inputs[_ORDER.index(one.name)]) for one in outside):
        array = np.asarray(values, dtype=float)
        out |= (array < limits.least) | (array > limits.most)
    wider = load_toml("air/own/validity.toml")["outside"]["widened_by"]
    sd_ln = np.asarray(spread.sd_ln * np.where(out, wider, 1.0))
    words = tuple(one.words for one in outside)
    return FirstYear(law, np.asarray(loss * spread.median), sd_ln, words, spread.source, spread.mark)


def both_laws(
    metal: str,
    temperature_c: ArrayLike,
    relative_humidity_pct: ArrayLike,
    sulphur_dioxide_mg_m2_d: ArrayLike,
    chloride_mg_m2_d: ArrayLike,
) -> tuple[FirstYear, FirstYear]:
    """Printed and calibrated side by side.

    >>> printed, calibrated = both_laws("zinc", 5, 75, 2, 3)
    >>> bool(calibrated.median_um > printed.median_um)
    True
    """
    inputs = (temperature_c, relative_humidity_pct, sulphur_dioxide_mg_m2_d, chloride_mg_m2_d)
    return first_year(metal, *inputs, law="printed"), first_year(metal, *inputs, law="calibrated")


_ORDER = ("temperature_c", "relative_humidity_pct", "sulphur_dioxide_mg_m2_d", "chloride_mg_m2_d")
