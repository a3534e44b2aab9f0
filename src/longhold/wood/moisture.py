"""How wet the wood at a joint is, how warm, and for what share of the year.

``moisture_states`` is the seam: whatever computes moisture hour by hour later returns the same record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.tables import Row, load_csv, number
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Climate, Place
from longhold.wood.checks import checked
from longhold.wood.sorption import equilibrium_moisture_pct, evaluable_temperature_c, fibre_saturation_pct
from longhold.wood.wetting import WettingParameters, rain_days_from_rain

__all__ = ["MoistureStates", "RainFrom", "moisture_states"]

RainFrom = Literal["above", "side"]

_DAYS = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_HOURS_A_DAY = 24.0


@dataclass(frozen=True, eq=False)
class MoistureStates:
    """States of the wood at the worst depth, along the last axis.

    Attributes
    ----------
    moisture_pct : moisture content [% of dry mass], shape (states,) or (draws, states)
    temperature_c : temperature [deg C], of the same shape
    share_of_year : share of the year spent in the state [-], of the same shape; sums to 1 along the last axis
    wet : whether liquid water holds the wood wet in the state, shape (states,)
    how : in words, where the states come from
    assumptions : what had to be assumed, for the person to read
    source, mark : of the way they were made
    """

    moisture_pct: NDArray[np.float64]
    temperature_c: NDArray[np.float64]
    share_of_year: NDArray[np.float64]
    wet: NDArray[np.bool_]
    how: str
    assumptions: tuple[str, ...] = ()
    source: str = "own"
    mark: Mark = Mark.OWN

    @classmethod
    def of(
        cls,
        moisture_pct: ArrayLike,
        temperature_c: ArrayLike,
        share_of_year: ArrayLike,
        wet: Sequence[bool] | NDArray[np.bool_],
        how: str,
        assumptions: Sequence[str] = (),
    ) -> MoistureStates:
        """States from arrays that broadcast against each other; shares must sum to 1.

        Raises
        ------
        InputError : shares are negative, do not sum to 1, or a value is not a number
        """
        arrays = [np.asarray(one, dtype=float) for one in (moisture_pct, temperature_c, share_of_year)]
        moisture, temperature, share = np.broadcast_arrays(*arrays)
        checked("moisture_pct", moisture, 0.0, float("inf"), "%")
        checked("temperature_c", temperature, -273.15, 100.0, "deg C")
        checked("share_of_year", share, 0.0, 1.0, "")
        total = share.sum(axis=-1)
        if not np.allclose(total, 1.0, rtol=0.0, atol=1e-9):
            raise InputError(Problem("share_of_year", float(np.max(total)), "must sum to 1 over the states."))
        return cls(moisture, temperature, share, np.asarray(wet, dtype=bool), how, tuple(assumptions))

    @property
    def wet_share_of_year(self) -> NDArray[np.float64]:
        """Share of the year in which liquid water holds the wood wet [-]."""
        return np.asarray(np.where(self.wet, self.share_of_year, 0.0).sum(axis=-1))


def moisture_states(
    climate: Climate,
    place: Place,
    *,
    trapped: bool,
    rain_from: RainFrom = "above",
    wetting: WettingParameters | None = None,
    trace: Trace | None = None,
) -> MoistureStates:
    """Moisture, temperature and share of the year of the wood at a joint.

    Every month has a dry part at the equilibrium moisture of its mean air and, where rain reaches the timber,
    a wet part: share of the month = min(1, rain days x (rain hours + drying hours) x trap factor x side share
    / hours of the month), the trap factor only for a contact face that cannot drain and the side share only
    for an upright face. Timber that is always wet is wet all the year. Inside, two half years of a stated
    indoor climate take the place of the months.

    Parameters
    ----------
    climate : twelve months of the site
    place : surroundings of the joint
    trapped : whether water is held between the faces in question
    rain_from : above, where rain falls on the level face that the metal enters; side, where it is upright
    wetting : uncertain inputs; medians of the table where None. Arrays of shape (draws, 1) give states of
        shape (draws, states)
    trace : records the calculation where nothing is drawn

    Returns
    -------
    states; what was assumed on the way is listed in them

    Raises
    ------
    InputError : a place that Longhold does not compute; a climate without twelve months, or with neither rain
        days nor rain where rain reaches the timber; a value out of range

    Notes
    -----
    Source ``own``. The wetting figures were chosen by us looking at two published results: one set of them
    brings a desert with 34 rain days and a tropical shore with 275 near 5 and 45 um a year. No figure belongs
    to one place. Once a month is wet throughout, more rain days add nothing, so on a trapped face rain
    crowded into a few months wets less than the same days spread evenly; on a free face it wets as much.

    >>> from longhold.model.surroundings import places
    >>> mild = Climate((10.0,) * 12, (75.0,) * 12, None, (10.0,) * 12, "example", "own", Mark.OWN)
    >>> states = moisture_states(mild, places()["open_to_rain"], trapped=False)
    >>> states.moisture_pct.shape, round(float(states.wet_share_of_year), 2)
    ((24,), 0.3)
    """
    if not place.computed:
        raise InputError(Problem("place", place.name, f"is not computed: {place.why_not}."))
    given = WettingParameters.medians() if wetting is None else wetting
    if place.air_face.startswith("inside") and not place.rain_wets_wood:
        states = _inside(place, given)
    elif place.always_wet:
        states = _always_wet(climate, place, given)
    else:
        states = _outside(climate, place, trapped, rain_from, given)
    states = _drawn(states, given)
    if trace is not None and states.moisture_pct.ndim == 1:
        _note(trace, states, given, climate, trapped)
    return states


def _inside(place: Place, wetting: WettingParameters) -> MoistureStates:
    rows = [row for row in _indoor() if row["place"] == place.name]
    if not rows:
        raise InputError(Problem("place", place.name, "has no indoor climate in the tables."))
    temperature = np.array([row["temperature_c"] for row in rows])
    humidity = np.array([row["relative_humidity_pct"] for row in rows])
    share = np.array([row["share_of_year"] for row in rows])
    moisture = _dry_moisture(temperature, humidity, wetting)
    words = f"{place.words}: {_span(temperature)} deg C at {_span(humidity)} % humidity, whatever the site"
    dry = [False] * len(rows)
    return MoistureStates.of(moisture, temperature, share, dry, words, (f"indoor climate taken as {words}",))


def _always_wet(climate: Climate, place: Place, wetting: WettingParameters) -> MoistureStates:
    temperature = _monthly("climate.temperature_c", climate.temperature_c, -90.0, 90.0, "deg C")
    moisture = np.maximum(wetting.wet_moisture_pct, fibre_saturation_pct())
    return MoistureStates.of(
        moisture,
        temperature,
        _DAYS / _DAYS.sum(),
        [True] * 12,
        f"{place.words}: at or above fibre saturation all the year",
        ("wood is taken as warm as the month's air",),
    )


def _outside(
    climate: Climate, place: Place, trapped: bool, rain_from: RainFrom, wetting: WettingParameters
) -> MoistureStates:
    temperature = _monthly("climate.temperature_c", climate.temperature_c, -90.0, 90.0, "deg C")
    humidity = _monthly("climate.relative_humidity_pct", climate.relative_humidity_pct, 0.0, 100.0, "%")
    assumptions: list[str] = []
    dry = _dry_moisture(temperature, humidity, wetting, assumptions)
    month = _DAYS / _DAYS.sum()
    if not place.rain_wets_wood:
        how = f"{place.words}: twelve months at the equilibrium moisture of the air"
        return MoistureStates.of(dry, temperature, month, [False] * 12, how, assumptions)
    wet_share = _wet_share(climate, trapped, rain_from, wetting, assumptions)
    wet = np.maximum(wetting.wet_moisture_pct, dry)
    moisture = np.concatenate(np.broadcast_arrays(dry, wet), axis=-1)
    share = np.concatenate(np.broadcast_arrays((1.0 - wet_share) * month, wet_share * month), axis=-1)
    held = ", held between the faces" if trapped else ""
    reached = " that reaches its upright face" if rain_from == "side" else ""
    return MoistureStates.of(
        moisture,
        np.tile(temperature, 2),
        share,
        [False] * 12 + [True] * 12,
        f"{place.words}: twelve months, each with a part wet from rain{reached}{held}",
        assumptions,
    )


def _wet_share(
    climate: Climate,
    trapped: bool,
    rain_from: RainFrom,
    wetting: WettingParameters,
    assumptions: list[str],
) -> NDArray[np.float64]:
    if climate.rain_days is not None:
        days = _monthly("climate.rain_days", climate.rain_days, 0.0, 31.0, "days")
    elif climate.rain_mm is not None:
        rain = _monthly("climate.rain_mm", climate.rain_mm, 0.0, 1e4, "mm")
        days = rain_days_from_rain(rain, _DAYS)
        assumptions.append(
            f"days with rain are not known: estimated from rain as {days.sum():.0f} a year, "
            "good to a factor of about 1.5"
        )
    else:
        raise InputError(
            Problem(
                "climate.rain_days",
                None,
                "rain reaches this timber, but neither days with rain nor rain is known.",
                "Give rain_days or rain_mm by month.",
            )
        )
    hours_a_day = wetting.rain_hours_per_day + wetting.drying_hours
    if trapped:
        hours_a_day = hours_a_day * wetting.trap_factor
    if rain_from == "side":
        hours_a_day = hours_a_day * wetting.side_share
    return np.minimum(1.0, days * hours_a_day / (_DAYS * _HOURS_A_DAY))


def _drawn(states: MoistureStates, wetting: WettingParameters) -> MoistureStates:
    # a figure that plays no part in this place is still drawn: every joint has the same number of draws
    shape = np.broadcast_shapes(wetting.shape, states.moisture_pct.shape)
    moisture, temperature, share = (
        np.broadcast_to(one, shape)
        for one in (states.moisture_pct, states.temperature_c, states.share_of_year)
    )
    return replace(states, moisture_pct=moisture, temperature_c=temperature, share_of_year=share)


def _dry_moisture(
    temperature_c: NDArray[np.float64],
    humidity_pct: NDArray[np.float64],
    wetting: WettingParameters,
    assumptions: list[str] | None = None,
) -> NDArray[np.float64]:
    coldest, _ = evaluable_temperature_c()
    if assumptions is not None and (temperature_c < coldest).any():
        assumptions.append(
            f"months colder than {coldest:g} deg C have the moisture of {coldest:g}; nothing is lost in them"
        )
    equilibrium = equilibrium_moisture_pct(np.maximum(temperature_c, coldest), humidity_pct)
    return np.clip(equilibrium + wetting.moisture_offset_pct, 0.0, fibre_saturation_pct())


def _monthly(
    where: str, values: Sequence[float], least: float, most: float, unit: str
) -> NDArray[np.float64]:
    if len(values) != len(_DAYS):
        raise InputError(Problem(where, f"{len(values)} values", "needs twelve, January first."))
    return checked(where, values, least, most, unit)


@cache
def _indoor() -> tuple[Row, ...]:
    return load_csv(
        "wood/indoor_climates.csv",
        {
            "place": str,
            "season": str,
            "share_of_year": number,
            "temperature_c": number,
            "relative_humidity_pct": number,
        },
        key=("place", "season"),
    )


def _span(values: NDArray[np.float64]) -> str:
    low, high = float(values.min()), float(values.max())
    return f"{low:.3g}" if low == high else f"{low:.3g} to {high:.3g}"


def _note(
    trace: Trace, states: MoistureStates, wetting: WettingParameters, climate: Climate, trapped: bool
) -> None:
    dry, wet = states.moisture_pct[~states.wet], states.moisture_pct[states.wet]
    given = {"dry states": f"{_span(dry)} %"} if dry.size else {}
    if wet.size:
        given["wet states"] = f"{_span(wet)} %"
    if dry.size and wet.size:
        if climate.rain_days is not None:
            given["rain days a year"] = f"{sum(climate.rain_days):.0f}"
        given["rain on a rain day"] = f"{float(wetting.rain_hours_per_day):.3g} h"
        given["drying after it"] = f"{float(wetting.drying_hours):.3g} h"
        given["trap factor"] = f"{float(wetting.trap_factor) if trapped else 1.0:.3g}"
    note(
        trace,
        "share of the year in which the wood is wet",
        "w",
        "w = sum of month/year * min(1, rain days * (rain + drying) * trap factor / hours of month)",
        given,
        float(states.wet_share_of_year),
        "-",
        states.source,
        states.mark,
        "; ".join((states.how, *states.assumptions)),
    )
