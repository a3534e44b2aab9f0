"""Area air: first-year loss of bare metal in open air, predicted against measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.errors import InputError
from longhold.base.recent import once
from longhold.validate.area import Area, Judged, Row, Table, UnansweredError

if TYPE_CHECKING:
    from longhold.air.coast import Coast
    from longhold.air.metals import Metal
    from longhold.air.scores import Basis, Outcome, Prediction, Score
    from longhold.air.site_rows import SiteInputs

__all__ = ["AIR", "position_inputs"]

# the columns of a table of exposure tests; longhold.air.site_rows reads them
_GIVEN = (
    "group",
    "site",
    "lat",
    "lon",
    "T_C",
    "RH_pct",
    "Sd_Cl_mg_m2_d",
    "SO2_ug_m3",
    "Pd_SO2_mg_m2_d",
    "dist_sea_km",
)
_MEASURED = ("steel_um_y1", "zinc_um_y1", "copper_um_y1", "aluminium", "aluminium_unit")
_BASIS_WORDS: Mapping[str, str] = {
    "own_inputs": "from the row's own inputs",
    "position": "from position alone",
}
_FACTOR = 2.0


@dataclass(frozen=True)
class _Answer:
    """Predictions of one row, and why one way of predicting is missing."""

    site: str
    group: str
    predictions: tuple[Prediction, ...]
    assumed: Mapping[str, bool]
    silent: tuple[str, ...]


@dataclass(frozen=True)
class _AirJudged(Judged):
    """Judged, with every outcome for the figures."""

    outcomes: tuple[Outcome, ...] = ()


def position_inputs(latitude: float, longitude: float) -> SiteInputs:
    """Everything the laws need from latitude and longitude alone, by the offline climate and shoreline.

    Sulphur of a setting not stated, at the time of the stations; chloride by distance, no kind of shore
    stated; the band holds whatever may stand near and is not stated.

    Raises
    ------
    InputError : where the places data are not installed, the position has no climate there, or the nearest
        salt water is an inland sea
    """
    from longhold.air.grid_climate import climate_at
    from longhold.air.site_air import air_load, annual_means
    from longhold.air.site_rows import SiteInputs
    from longhold.air.untold import untold
    from longhold.base.errors import Problem

    weather = climate_at(latitude, longitude)
    shore = _coast().nearest_shore(latitude, longitude)
    if bool(shore.refer):
        raise InputError(Problem("position", None, f"lies nearest to the {shore.water}, which is refer."))
    load, assumed = air_load(float(shore.to_salt_water_m))
    temperature_c, humidity_pct = annual_means(weather.climate)
    chloride, sulphur = load.chloride_mg_m2_d, load.sulphur_dioxide_mg_m2_d
    return SiteInputs(
        temperature_c,
        humidity_pct,
        sulphur.median,
        chloride.median,
        weather.temperature_sd_c or 0.0,
        weather.humidity_sd_pct or 0.0,
        sulphur.sd_ln,
        chloride.sd_ln,
        (weather.climate.how, *assumed),
        untold(chloride_measured=False, sulphur_measured=False, setting_told=False).share,
    )


@once
def _coast() -> Coast:
    from longhold.air.coast import Coast

    return Coast.load()


def _skip(row: Row) -> str:
    return "" if any(row.get(name, "").strip() for name in _MEASURED[:4]) else "no measured loss"


def _expect(row: Row) -> Mapping[Metal, float]:
    from longhold.air.site_rows import measured_losses_um

    try:
        return _Losses(measured_losses_um(row))
    except InputError as error:
        raise ValueError(str(error)) from None


class _Losses(dict["Metal", float]):
    """Measured losses by metal [um]."""

    def __str__(self) -> str:
        return ", ".join(f"{_short(metal)} {value:.3g}" for metal, value in self.items()) + " um"


def _answer(given: Mapping[str, str]) -> _Answer:
    from longhold.air.scores import predict
    from longhold.air.site_rows import own_inputs, site_position

    found: list[Prediction] = []
    silent: list[str] = []
    assumed: dict[str, bool] = {}

    def add(basis: Basis, inputs: SiteInputs) -> None:
        assumed[basis] = bool(inputs.assumed)
        found.extend(predict(inputs, basis))

    try:
        position = site_position(given)
        add("own_inputs", own_inputs(given, _shore_distance_m(given, position)))
    except InputError as error:
        silent.append(str(error))
    try:
        position = site_position(given)
        if position is not None:
            add("position", position_inputs(*position))
    except InputError as error:
        silent.append(f"{_BASIS_WORDS['position']}: {error}")
    if not found:
        raise UnansweredError("; ".join(silent) or "the row has neither inputs nor position")
    return _Answer(given["site"], given["group"], tuple(found), assumed, tuple(silent))


def _shore_distance_m(given: Mapping[str, str], position: tuple[float, float] | None) -> float | None:
    """Distance to salt water for a row that tells neither chloride nor distance [m]."""
    if position is None or given["Sd_Cl_mg_m2_d"].strip() or given["dist_sea_km"].strip():
        return None
    try:
        shore = _coast().nearest_shore(*position)
    except InputError:
        return None
    return None if bool(shore.refer) else float(shore.to_salt_water_m)


def _judge(expected: Mapping[Metal, float], answer: _Answer) -> Judged:
    from math import log

    from longhold.air.scores import outcomes
    from longhold.air.site_rows import fitted_sites

    found = tuple(
        outcome
        for one in answer.predictions
        for outcome in outcomes(
            (one,),
            expected,
            answer.site,
            answer.group,
            fitted=answer.site in fitted_sites(),
            assumed=answer.assumed[one.basis],
        )
    )
    basis = found[0].prediction.basis
    judged = [o for o in found if (o.prediction.basis, o.prediction.law) == (basis, "calibrated")]
    off = [o for o in judged if abs(o.error_ln) > log(_FACTOR)]
    why = [f"{_short(o.prediction.metal)} off by a factor of {_factor(o)}" for o in off]
    why += [*dict.fromkeys(word for o in off for word in o.prediction.words), *answer.silent]
    worst = max((o.error_ln for o in judged), key=abs)
    return _AirJudged(str(expected), _got(found), not off, "; ".join(why), worst, (), found)


def _got(found: Sequence[Outcome]) -> str:
    parts = []
    for basis, words in _BASIS_WORDS.items():
        of = {(o.prediction.metal, o.prediction.law): o for o in found if o.prediction.basis == basis}
        told = [
            f"{_short(metal)} {one.prediction.median_um:.3g} "
            f"(printed {of[metal, 'printed'].prediction.median_um:.3g})"
            for (metal, law), one in of.items()
            if law == "calibrated"
        ]
        if told:
            parts.append(f"{', '.join(told)} um {words}")
    return "; ".join(parts)


def _factor(outcome: Outcome) -> str:
    from math import exp

    return f"{exp(abs(outcome.error_ln)):.2g} {'high' if outcome.error_ln > 0 else 'low'}"


def _scores(judged: Sequence[Judged]) -> tuple[Score, ...]:
    from longhold.air.scores import scores

    return scores([outcome for one in judged if isinstance(one, _AirJudged) for outcome in one.outcomes])


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    figures: dict[str, float] = {}
    for one in _scores(judged):
        if one.which == "all sites":
            name = f"{one.basis}_{one.metal}_{one.law}"
            figures[f"{name}_predicted_over_measured"] = round(one.bias_ratio, 3)
            figures[f"{name}_within_2"] = round(one.within_2_share, 3)
    return figures


def _tables(judged: Sequence[Judged]) -> Sequence[Table]:
    from longhold.air.metals import METALS
    from longhold.air.scores import claimed_share

    heads = (
        "Metal",
        "Law",
        "Sites",
        "Predicted over measured",
        "Spread of ln",
        "Within 1.5",
        "Within 2",
        "In 80 % band",
    )
    found = _scores(judged)
    tables = []
    for basis, which in dict.fromkeys((one.basis, one.which) for one in found):
        rows = [_score_row(one) for one in found if (one.basis, one.which) == (basis, which)]
        tables.append(Table(f"{which[0].upper()}{which[1:]}, {_BASIS_WORDS[basis]}", heads, tuple(rows)))
    claims = tuple(
        (_short(metal), f"{claimed_share(metal, 1.5):.0%}", f"{claimed_share(metal, 2.0):.0%}")
        for metal in METALS
    )
    title = "What the standard claims for its equations, from its own inputs"
    tables.append(Table(title, ("Metal", "Within 1.5", "Within 2"), claims))
    return tables


def _score_row(one: Score) -> tuple[str, ...]:
    return (
        _short(one.metal),
        one.law,
        f"{one.count}",
        f"{one.bias_ratio:.2f}",
        f"{one.spread_ln:.2f}",
        f"{one.within_1_5_share:.0%}",
        f"{one.within_2_share:.0%}",
        f"{one.in_band_share:.0%}",
    )


def _short(metal: str) -> str:
    return metal.removeprefix("carbon_")


AIR = Area(
    name="air",
    words="first-year loss in open air: right where each metal is within a factor of 2 of the calibrated law",
    columns=(*_GIVEN, *_MEASURED),
    given=_GIVEN,
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    skip=_skip,
    tables=_tables,
)
