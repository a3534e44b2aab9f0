"""What stands near a structure and is not sea, town or countryside: each a named setting, or a refer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Literal, get_args

from longhold.air.metals import not_negative
from longhold.air.sulphur import Era, sulphur_from_setting
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number, optional_number
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Estimate

__all__ = ["NearAnswer", "NearSetting", "near_setting", "near_settings", "road_salt", "with_added"]

NearSetting = Literal[
    "salted_road",
    "salt_water_splash",
    "outdoor_pool_edge",
    "indoor_pool_hall",
    "fertiliser_or_manure_store",
    "industrial_sulphur",
]


@dataclass(frozen=True)
class NearAnswer:
    """What a setting near the structure does to its air.

    Attributes
    ----------
    name, words : the setting
    computed : whether Longhold computes it; otherwise the answer is refer, with ``why``
    why : the reason in either case
    chloride_added : chloride deposition to add to that of the sea [mg/(m2 d)]; None where none is added
    sulphur : sulphur dioxide deposition that replaces the setting's [mg/(m2 d)]; None where it stays
    source, mark : of the reason
    """

    name: NearSetting
    words: str
    computed: bool
    why: str
    chloride_added: Estimate | None
    sulphur: Estimate | None
    source: str
    mark: Mark


def near_settings() -> tuple[NearSetting, ...]:
    """Every named setting.

    >>> "salted_road" in near_settings()
    True
    """
    return get_args(NearSetting)


def near_setting(
    name: NearSetting,
    distance_m: float | None = None,
    trace: Trace | None = None,
    *,
    era: Era = "stations_1986_94",
) -> NearAnswer:
    """What a named setting does to the air, or a refer with its reason.

    A salted road adds chloride by distance (see ``road_salt``); industry sets the sulphur of the industrial
    setting; splash, pools, stores of fertilizer or manure are refer. An open-air pool is refer within 3 m of
    its edge, or where the distance is not stated, and adds nothing beyond.

    Parameters
    ----------
    name : one of ``near_settings()``
    distance_m : to the road's edge or the pool's edge [m]; needed for the road
    trace : records what is computed
    era : of the stations behind the industrial setting

    Raises
    ------
    InputError : for another name, a negative distance, or a road without distance

    >>> near_setting("indoor_pool_hall").computed
    False
    >>> near_setting("salted_road", 8.0).chloride_added.median
    150.0
    """
    row = _rows().get(name)
    if row is None:
        raise InputError(Problem("near", name, f"must be one of {', '.join(near_settings())}."))
    computed, why = row["answer"] == "computed", row["why"]
    chloride = sulphur = None
    if name == "salted_road":
        if distance_m is None:
            raise InputError(
                Problem("near.salted_road", None, "needs the distance to the road's edge.", "Give it in m.")
            )
        chloride = road_salt(distance_m, trace)
    elif name == "industrial_sulphur":
        sulphur = sulphur_from_setting("industrial", trace, era=era)
    elif row["within_m"] is not None and distance_m is not None:
        computed = float(not_negative(f"near.{name}", distance_m)) > row["within_m"]
        if computed:
            why = f"farther than {row['within_m']:g} m: nothing is added"
    return NearAnswer(name, row["words"], computed, why, chloride, sulphur, row["source"], row["mark"])


def road_salt(distance_m: float, trace: Trace | None = None) -> Estimate | None:
    """Yearly mean chloride that a salted road adds at a distance [mg/(m2 d)]; None beyond 350 m.

    Steps by distance, our own: no study in reach gives a law. Field studies say that about 45 % of the salt
    laid goes through the air onto the first 100 m, most of it onto the first 10 m, and that road salt still
    leads in snow at 115 to 350 m. Factor 3.3 either way at one standard deviation. For a road salted all
    winter; wind, traffic and the salt laid decide. Source road-salt-studies, mark own.

    Raises
    ------
    InputError : for a negative distance

    >>> road_salt(60.0).median, road_salt(1000.0) is None
    (10.0, True)
    """
    asked_m = float(not_negative("near.salted_road", distance_m))
    row = next((row for row in _road() if asked_m <= row["to_m"]), None)
    if row is None:
        return None
    median, sd_ln = row["added_median_mg_m2_d"], row["sd_ln"]
    how = f"road salt at {asked_m:.3g} m from a salted road, step up to {row['to_m']:g} m"
    note(
        trace,
        "chloride deposition from a salted road",
        "Cl_r",
        "step by distance",
        {"x": f"{asked_m:.4g} m"},
        median,
        "mg/(m2 d)",
        row["source"],
        row["mark"],
        f"{row['words']}; standard deviation of ln {sd_ln:g}",
    )
    return Estimate(median, sd_ln, how, row["source"], row["mark"])


def with_added(base: Estimate, added: Estimate | None, trace: Trace | None = None) -> Estimate:
    """The sum of two independent estimates as one lognormal with the same mean and variance.

    Fenton and Wilkinson's way: exact in mean and variance, not in the tails.

    >>> from longhold.base.marks import Mark
    >>> one = Estimate(10.0, 0.5, "one", "own", Mark.OWN)
    >>> both = with_added(one, one)
    >>> round(both.median, 1), round(both.sd_ln, 2)
    (21.2, 0.36)
    """
    if added is None:
        return base
    means = [part.median * exp(part.sd_ln**2 / 2.0) for part in (base, added)]
    variance = sum(
        mean**2 * (exp(part.sd_ln**2) - 1.0) for mean, part in zip(means, (base, added), strict=True)
    )
    mean = sum(means)
    square = log(1.0 + variance / mean**2)
    median = mean * exp(-square / 2.0)
    mark = weakest((base.mark, added.mark))
    how = f"{base.how}; plus {added.how}"
    note(
        trace,
        "chloride deposition of both",
        "Cl",
        "sum of two lognormals by mean and variance",
        {"first": f"{base.median:.4g} mg/(m2 d)", "second": f"{added.median:.4g} mg/(m2 d)"},
        median,
        "mg/(m2 d)",
        "own",
        mark,
    )
    return Estimate(median, sqrt(square), how, added.source, mark)


@once
def _rows() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {
        "setting": str,
        "words": str,
        "answer": str,
        "adds": str,
        "within_m": optional_number,
        "why": str,
    }
    return {row["setting"]: row for row in load_csv("air/nearby.csv", columns, key=("setting",))}


@once
def _road() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "to_m": number,
        "added_median_mg_m2_d": number,
        "sd_ln": number,
        "words": str,
    }
    return load_csv("air/own/salted_road.csv", columns, rising="to_m")
