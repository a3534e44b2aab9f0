"""Area wood, files of stations: moisture of sheltered wood outdoors by month, from position alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from longhold.base.errors import InputError
from longhold.base.recent import once
from longhold.base.tables import Parser, load_csv, number
from longhold.base.tables import Row as TableRow
from longhold.validate.area import Area, Judged, Row, Table, UnansweredError, number_in

__all__ = ["OUTDOOR"]

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_WITHIN_PCT = 1.5
_AIM_SHARE = 0.80


class _Months(tuple[float, ...]):
    """Moisture by month; empty where a row does not give all twelve."""

    def __str__(self) -> str:
        return f"{sum(self) / len(self):.1f} in the year" if self else "months are not given"


@dataclass(frozen=True)
class _Station:
    """Longhold's months for a station, or why there are none."""

    name: str
    months: _Months
    cold_current: str


@dataclass(frozen=True)
class _StationJudged(Judged):
    """Judged, with the departures of the months [% moisture]."""

    name: str = ""
    off: tuple[float, ...] = ()
    cold_current: str = ""


def _skip(row: Row) -> str:
    return "" if any(row[month].strip() for month in _MONTHS) else "no months are given"


def _expect(row: Row) -> _Months:
    return _Months(number_in(row, month) for month in _MONTHS)


def _answer(given: Mapping[str, str]) -> _Station:
    from longhold.air.grid_climate import climate_at
    from longhold.wood.sorption import equilibrium_moisture_pct

    name = " ".join(filter(None, (given["city"].strip(), given["state"].strip())))
    latitude, longitude = _position(given)
    try:
        climate = climate_at(latitude, longitude).climate
        moisture = equilibrium_moisture_pct(climate.temperature_c, climate.relative_humidity_pct)
    except InputError as error:
        raise UnansweredError(str(error)) from None
    months = _Months(float(month) for month in moisture)
    return _Station(name, months, _cold_current(latitude, longitude))


def _judge(expected: _Months, answer: _Station) -> Judged:
    off = tuple(ours - theirs for ours, theirs in zip(answer.months, expected, strict=True))
    mean = sum(off) / len(off)
    right = abs(mean) <= _WITHIN_PCT
    why = "" if right else f"differs by {mean:+.1f} % moisture in the year"
    if answer.cold_current:
        why = "; ".join(filter(None, (why, f"a shore of the {answer.cold_current}")))
    return _StationJudged(
        str(expected), str(answer.months), right, why, mean, (), answer.name, off, answer.cold_current
    )


def _own(judged: Sequence[Judged]) -> list[_StationJudged]:
    return [one for one in judged if isinstance(one, _StationJudged)]


def _figures(judged: Sequence[Judged]) -> Mapping[str, float]:
    own = _own(judged)
    if not own:
        return {}
    away = [one for one in own if not one.cold_current]
    months = [off for one in own for off in one.off]
    figures = {
        "stations": float(len(own)),
        "bias_pct_moisture": round(sum(months) / len(months), 2),
        "station_months_within_1.5_pct": _share([abs(off) <= _WITHIN_PCT for off in months]),
        "yearly_means_within_1.5_pct": _share([one.right is True for one in own]),
        "yearly_means_aim": _AIM_SHARE,
    }
    if away and len(away) < len(own):
        figures["yearly_means_within_1.5_pct_away_from_cold_currents"] = _share(
            [one.right is True for one in away]
        )
    return figures


def _share(held: Sequence[bool]) -> float:
    return round(sum(held) / len(held), 3)


def _tables(judged: Sequence[Judged]) -> Sequence[Table]:
    heads = ("Station", "In the year", "Worst month", "Shore of")
    groups = (
        (
            "Shores of cold currents (departure, % moisture)",
            [one for one in _own(judged) if one.cold_current],
        ),
        (
            f"Other stations off by more than {_WITHIN_PCT:g} % moisture in the year",
            [one for one in _own(judged) if not one.cold_current and not one.right],
        ),
    )
    tables = [Table(title, heads, tuple(_line(one) for one in group)) for title, group in groups if group]
    words = (
        "The maps' humidity was fitted to stations of the same network, so this is not an independent check"
    )
    return [*tables, Table(words, ("Stations",), ((f"{len(_own(judged))}",),))] if _own(judged) else tables


def _line(one: _StationJudged) -> tuple[str, ...]:
    return (one.name, f"{one.error:+.1f}", f"{max(one.off, key=abs):+.1f}", one.cold_current)


def _position(given: Mapping[str, str]) -> tuple[float, float]:
    """The row's own position, else the station's in Longhold's tables."""
    from longhold.air.climates import stations

    for names in (("latitude", "longitude"), ("lat", "lon")):
        if all(given.get(name, "").strip() for name in names):
            try:
                return number_in(given, names[0]), number_in(given, names[1])
            except ValueError as error:
                raise UnansweredError(str(error)) from None
    city, state = given["city"].strip().lower(), given["state"].strip().upper()
    for row in _positions():
        if (row["state"], row["city"].lower()) == (state, city):
            return row["latitude"], row["longitude"]
    named = [one for one in stations() if one.name.lower() in (city, f"{city} {state.lower()}")]
    if len(named) == 1:
        return named[0].latitude, named[0].longitude
    raise UnansweredError(f"position of {given['city']!r} is not known: give latitude and longitude")


@once
def _positions() -> tuple[TableRow, ...]:
    columns: dict[str, Parser] = {"state": str, "city": str, "latitude": number, "longitude": number}
    return load_csv("wood/outdoor_stations.csv", columns, key=("state", "city"))


@once
def _currents() -> tuple[TableRow, ...]:
    columns: dict[str, Parser] = {"name": str}
    columns |= dict.fromkeys(("south", "north", "west", "east", "within_km"), number)
    return load_csv("wood/cold_currents.csv", columns, key=("name",))


def _cold_current(latitude: float, longitude: float) -> str:
    """Name of the cold current on whose shore a place lies; empty if on none."""
    from longhold.air.coast import Coast

    for row in _currents():
        if row["south"] <= latitude <= row["north"] and row["west"] <= longitude <= row["east"]:
            shore = Coast.load().nearest_shore(latitude, longitude, ocean_only=True)
            return str(row["name"]) if float(shore.distance_m) <= 1000.0 * row["within_km"] else ""
    return ""


OUTDOOR = Area(
    name="wood",
    words="moisture of sheltered wood outdoors: right where the yearly mean is within 1.5 % moisture",
    columns=("state", "city", *_MONTHS),
    given=("state", "city", "latitude", "longitude", "lat", "lon"),
    expect=_expect,
    answer=_answer,
    judge=_judge,
    figures=_figures,
    skip=_skip,
    tables=_tables,
)
