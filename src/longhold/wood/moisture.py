"""Steady moisture of wood, indoors and where it is always wet: how wet, how warm, for what share of the year.

Wood in outdoor air is simulated hour by hour instead, see ``simulation``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, number
from longhold.base.trace import Trace, note
from longhold.model.surroundings import Climate, Place
from longhold.wood.checks import checked
from longhold.wood.sorption import equilibrium_moisture_pct, fibre_saturation_pct
from longhold.wood.wetting import WettingParameters

__all__ = ["MoistureStates", "steady_moisture"]

_DAYS = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@dataclass(frozen=True, eq=False)
class MoistureStates:
    """States of the wood, alike at every depth, along the last axis.

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


def steady_moisture(
    climate: Climate,
    place: Place,
    *,
    wetting: WettingParameters | None = None,
    trace: Trace | None = None,
) -> MoistureStates:
    """Moisture, temperature and share of the year of wood that no weather reaches, or that never dries.

    Inside: two half years of a stated indoor climate, at the equilibrium moisture of its air. Always wet: at
    or above fibre saturation all the year, as warm as each month's air.

    Parameters
    ----------
    climate : twelve months of the site
    place : surroundings of the joint, indoors or always wet
    wetting : uncertain inputs; medians of the table where None. Arrays of shape (draws, 1) give states of
        shape (draws, states)
    trace : records the calculation where nothing is drawn

    Returns
    -------
    states; what was assumed on the way is listed in them

    Raises
    ------
    InputError : a place that Longhold does not compute, or whose moisture is not steady; a climate without
        twelve months; a value out of range

    Notes
    -----
    Source ``own``.

    >>> from longhold.model.surroundings import places
    >>> mild = Climate((10.0,) * 12, (75.0,) * 12, None, None, "example", "own", Mark.OWN)
    >>> steady_moisture(mild, places()["ground_contact"]).moisture_pct.tolist() == [30.0] * 12
    True
    """
    if not place.computed:
        raise InputError(Problem("place", place.name, f"is not computed: {place.why_not}."))
    given = WettingParameters.medians() if wetting is None else wetting
    if place.air_face.startswith("inside") and not place.rain_wets_wood:
        states = _inside(place, given)
    elif place.always_wet:
        states = _always_wet(climate, place, given)
    else:
        do = "Its moisture follows the weather: simulate it."
        raise InputError(Problem("place", place.name, "is neither indoors nor always wet.", do))
    states = _drawn(states, given)
    if trace is not None and states.moisture_pct.ndim == 1:
        _note(trace, states)
    return states


def _inside(place: Place, wetting: WettingParameters) -> MoistureStates:
    rows = [row for row in _indoor() if row["place"] == place.name]
    if not rows:
        raise InputError(Problem("place", place.name, "has no indoor climate in the tables."))
    temperature = np.array([row["temperature_c"] for row in rows])
    humidity = np.array([row["relative_humidity_pct"] for row in rows])
    share = np.array([row["share_of_year"] for row in rows])
    rest = equilibrium_moisture_pct(temperature, humidity)
    moisture = np.clip(rest + wetting.moisture_offset_pct, 0.0, fibre_saturation_pct())
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


def _drawn(states: MoistureStates, wetting: WettingParameters) -> MoistureStates:
    # a figure that plays no part in this place is still drawn: every joint has the same number of draws
    shape = np.broadcast_shapes(wetting.shape, states.moisture_pct.shape)
    moisture, temperature, share = (
        np.broadcast_to(one, shape)
        for one in (states.moisture_pct, states.temperature_c, states.share_of_year)
    )
    return replace(states, moisture_pct=moisture, temperature_c=temperature, share_of_year=share)


def _monthly(
    where: str, values: Sequence[float], least: float, most: float, unit: str
) -> NDArray[np.float64]:
    if len(values) != len(_DAYS):
        raise InputError(Problem(where, f"{len(values)} values", "needs twelve, January first."))
    return checked(where, values, least, most, unit)


@once
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


def _note(trace: Trace, states: MoistureStates) -> None:
    note(
        trace,
        "share of the year in which the wood is wet",
        "w",
        "w = sum of share of the year while wet",
        {
            "moisture": f"{_span(states.moisture_pct)} %",
            "temperature": f"{_span(states.temperature_c)} deg C",
        },
        float(states.wet_share_of_year),
        "-",
        states.source,
        states.mark,
        "; ".join((states.how, *states.assumptions)),
    )
