"""Sulphur dioxide deposition from the setting or from a concentration in air."""

from __future__ import annotations

from collections.abc import Mapping
from math import log
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from longhold.air.metals import Array, not_negative
from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, load_toml, number
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Estimate

__all__ = ["Era", "Setting", "deposition_from_concentration", "sulphur_from_setting"]

Setting = Literal["rural", "urban", "industrial"]
Era = Literal["stations_1986_94", "today"]
_P10_TO_P90_IN_SD = 2.5631  # of a normal distribution
_WORDS: Mapping[Era, str] = {
    "stations_1986_94": "stations of 1986-94; today's air in North America and western Europe is often "
    "several times cleaner",
    "today": "monitors of recent years in Brazil and South Africa, and from memory where they have none; "
    "towns in North America and western Europe are often cleaner still",
}


def sulphur_from_setting(
    setting: Setting | None,
    trace: Trace | None = None,
    *,
    era: Era = "stations_1986_94",
    stated: bool = True,
) -> Estimate:
    """Yearly mean sulphur dioxide deposition [mg/(m2 d)] for a setting; None where it is not stated.

    Median and 10 to 90 % band of stations in such surroundings; which surroundings stand for which setting
    is our choice. The stations of 1986-94 err to the harmful side in most places, since the air is cleaner
    now. ``today`` rests on city monitors of two countries, and for the countryside on memory. Weights of
    town, industry and emissions around the station were tried: they do not carry from one campaign to the
    next, so the setting stays a word. Source open-sulphur-stations, mark own.

    Parameters
    ----------
    setting : rural, urban or industrial; None where not stated
    trace : records the step
    era : stations_1986_94 or today
    stated : False where the setting is an assumption: its median stands, with the band of any setting

    Raises
    ------
    InputError : for another setting or era

    >>> sulphur_from_setting("rural").median, sulphur_from_setting("rural", era="today").median
    (4.2, 0.8)
    >>> [round(sulphur_from_setting("rural", stated=stated).sd_ln, 2) for stated in (True, False)]
    [0.99, 1.26]
    """
    if era not in get_args(Era):
        raise InputError(Problem("era", era, f"must be one of {', '.join(get_args(Era))}."))
    row = _settings().get((era, "not_told" if setting is None else setting))
    if row is None:
        raise InputError(Problem("setting", setting, "must be rural, urban or industrial."))
    band = row if stated else _settings()[era, "not_told"]
    sd_ln = log(band["p90_mg_m2_d"] / band["p10_mg_m2_d"]) / _P10_TO_P90_IN_SD
    air = f"{setting} air" if setting else "air of a setting not stated"
    how = f"estimated for {air} ({row['words']}) from {_WORDS[era]}"
    if band is not row:
        how += "; the setting is an assumption, so the band is that of any setting"
    note(
        trace,
        "sulphur dioxide deposition",
        "Pd",
        "median of stations, band P10 to P90" if stated else "median of stations, band as wide as P10 to P90",
        {"P10": f"{band['p10_mg_m2_d']:g} mg/(m2 d)", "P90": f"{band['p90_mg_m2_d']:g} mg/(m2 d)"},
        row["median_mg_m2_d"],
        "mg/(m2 d)",
        row["source"],
        row["mark"],
        how,
    )
    return Estimate(row["median_mg_m2_d"], sd_ln, how, row["source"], row["mark"])


def deposition_from_concentration(sulphur_dioxide_ug_m3: ArrayLike) -> Array:
    """Yearly mean deposition [mg/(m2 d)] from a yearly mean concentration [ug/m3]: Pd = 0.8 x.

    Source iso9223-2012.

    >>> float(deposition_from_concentration(10.0))
    8.0
    """
    factor = load_toml("air/iso9223_2012/sulphur.toml")["deposition_per_concentration"]
    concentration = not_negative("sulphur_dioxide_ug_m3", sulphur_dioxide_ug_m3)
    return np.asarray(factor["mg_m2_d_per_ug_m3"] * concentration)


@once
def _settings() -> Mapping[tuple[str, str], Row]:
    numbers = ("p10_mg_m2_d", "median_mg_m2_d", "p90_mg_m2_d")
    columns: dict[str, Parser] = {"era": str, "setting": str, **dict.fromkeys(numbers, number), "words": str}
    rows = load_csv("air/own/sulphur_settings.csv", columns, key=("era", "setting"))
    return {(row["era"], row["setting"]): row for row in rows}
