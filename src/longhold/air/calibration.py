"""How far measured first-year loss stands from the printed equations: a shift with its spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.discrepancy import Discrepancy, InputRange, MetalShift
from longhold.air.dose_response import first_year_loss_um
from longhold.air.metals import Array, Metal, checked_metal, known
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, number
from longhold.base.trace import Trace, note

__all__ = ["CalibratedLoss", "calibrated_first_year_loss_um", "calibration"]

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
    printed_um : what the printed equation gives at the inputs as given [um]
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

    r_c = r exp(w (a + s ln(r' / r0))), where r is the printed loss of ISO 9223 with a chloride of at least 1
    mg/(m2 d), r' the same at inputs held within the data, a the level of the metal and s = -0.15 one slope
    for all four metals: the printed equations answer a little too steeply, too low where little is lost. w
    is 1 within the data of the fit (23 sites: -13.6 to 18.6 C, humidity 58 to 90 %, sulphur dioxide 0.8 to
    72 and chloride up to 184 mg/(m2 d)) and falls to 0 beyond, where the printed loss stands with a wider
    band. Where the shift fades, loss may stand still or dip a little as sulphur or chloride rise. The band is
    that of a group of sites which the fit did not see. See docs/decisions/air-calibration.md.

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
    (0.55, 0.95, 0.48)
    """
    name = checked_metal(metal)
    inputs = (temperature_c, relative_humidity_pct, sulphur_dioxide_mg_m2_d, chloride_mg_m2_d)
    if trace is not None:
        first_year_loss_um(name, *inputs, trace=trace)
    row, discrepancy = _rows()[name], calibration()
    moved = discrepancy.shifted(name, inputs)
    inside, outside, weight = row["inside_sd_ln"], row["outside_sd_ln"], moved.weight_share
    sd_ln = np.asarray(np.sqrt(weight * inside**2 + (1.0 - weight) * outside**2))
    words = tuple(_out_words(row, limit, share, inputs) for limit, share in moved.out_share.items())
    found = CalibratedLoss(
        moved.median_um, sd_ln, moved.printed_um, weight, words, row["source"], row["mark"]
    )
    if trace is not None and moved.median_um.ndim == 0:
        _record(trace, name, discrepancy, found)
    return found


@once
def calibration() -> Discrepancy:
    """The shift with the figures of ``tables/air/own``: what ``calibrated_first_year_loss_um`` applies.

    >>> calibration().slope_ratio
    -0.15
    """
    rules = load_toml(_TABLE)
    metals = {
        metal: MetalShift(row["level_ln"], row["pivot_um"], row["least_printed_um"], row["most_printed_um"])
        for metal, row in _rows().items()
    }
    ranges = [
        InputRange(
            row["input"], row["least"], row["most"], row["fade_below"], row["fade_above"], row["scale"]
        )
        for row in _range_rows().values()
    ]
    law, fade = rules["law"], rules["fade"]
    return Discrepancy(law["slope"], metals, ranges, fade["loss_factor"], law["least_chloride_mg_m2_d"])


def _out_words(row: Row, name: str, share: float, inputs: tuple[ArrayLike, ...]) -> str:
    if name not in _NAMES:
        least, most = row["least_printed_um"], row["most_printed_um"]
        return f"the printed loss leaves the {least:.3g} to {most:.3g} um of the sites"
    limits = _range_rows()[name]
    values = known(name, inputs[list(_NAMES).index(name)])
    words = f"leaves the {limits['least']:g} to {limits['most']:g} {limits['unit']} of the measured sites"
    if values.ndim == 0:
        return f"{_NAMES[name]} {float(values):g} {limits['unit']} {words}"
    return f"{_NAMES[name]} {words} in {share:.0%} of the cases"


def _record(trace: Trace, metal: Metal, discrepancy: Discrepancy, found: CalibratedLoss) -> None:
    of, printed, median = discrepancy.metals[metal], float(found.printed_um), float(found.median_um)
    note(
        trace,
        f"first-year loss of {metal.replace('_', ' ')} where measured sites stand",
        "r_c",
        "r_c = r k, ln k = w (a + s ln(r' / r0))",
        {
            "r": f"{printed:.4g} um",
            "k": f"{median / printed if printed else 1.0:.4g}",
            "a": f"{of.level_ln:g}",
            "s": f"{discrepancy.slope_ratio:g}",
            "r0": f"{of.pivot_um:g} um",
        },
        median,
        "um",
        found.source,
        found.mark,
        "; ".join(
            (
                f"chloride at least {discrepancy.least_chloride_mg_m2_d:g} mg/(m2 d)",
                f"standard deviation of ln {float(found.sd_ln):.3g}",
                *found.words,
            )
        ),
    )


@once
def _rows() -> Mapping[Metal, Row]:
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


@once
def _range_rows() -> Mapping[str, Row]:
    numbers = ("least", "most", "fade_below", "fade_above")
    columns: dict[str, Parser] = {"input": str, **dict.fromkeys(numbers, number), "scale": str, "unit": str}
    return {row["input"]: row for row in load_csv("air/own/calibration_range.csv", columns, key=("input",))}
