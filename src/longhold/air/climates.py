"""Climates: a small built-in table of stations, and climates that a user states."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem, TableError
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, number
from longhold.model.surroundings import Climate

__all__ = [
    "Station",
    "climate_from_annual",
    "climate_from_monthly",
    "nearest_station",
    "station",
    "stations",
]

MONTHS = 12
_EARTH_RADIUS_KM = 6371.0
_TEMPERATURE_C = ("temperature", -90.0, 60.0, "deg C")
_HUMIDITY_PCT = ("relative_humidity_pct", 0.0, 100.0, "%")
_RAIN_MM = ("rain_mm", 0.0, 5000.0, "mm a month")
_RAIN_DAYS = ("rain_days", 0.0, 31.0, "days a month")
_Range = tuple[str, float, float, str]


@dataclass(frozen=True)
class Station:
    """A place of the built-in table.

    Attributes
    ----------
    name : as ``station`` takes it, such as "Portland OR"
    place : in full
    country : two letters
    latitude, longitude : [deg], north and east positive
    source, mark : of the position
    """

    name: str
    place: str
    country: str
    latitude: float
    longitude: float
    source: str
    mark: Mark


def stations() -> list[Station]:
    """Every station of the built-in table, by name.

    >>> "Hilo" in [entry.name for entry in stations()]
    True
    """
    return [_stations()[key] for key in sorted(_stations())]


def station(name: str) -> Climate:
    """Climate of a built-in station: normals recalled from memory, mark memory.

    Humidity is the mean of the whole day. Capitals and commas do not matter. Source
    climate-normals-memory.

    Raises
    ------
    InputError : for a name that is not in the table; names close to it are suggested

    >>> climate = station("Phoenix")
    >>> round(sum(climate.relative_humidity_pct) / 12)
    37
    """
    entry = _stations().get(_key(name))
    if entry is None:
        near = get_close_matches(_key(name), list(_stations()), n=3, cutoff=0.5)
        known = ", ".join(_stations()[key].name for key in near) or ", ".join(s.name for s in stations())
        raise InputError(
            Problem(
                "climate.station",
                name,
                f"is not in the built-in table. {'Nearest names' if near else 'Known'}: {known}.",
                "Or give temperature and relative_humidity_pct of the site.",
            )
        )
    return _climates()[entry.name]


def nearest_station(latitude: float, longitude: float) -> tuple[Station, float]:
    """The built-in station nearest to a position, and its distance [km] over a sphere.

    Nearest is not alike: a shore, a hill or a desert may lie between. Whoever uses the station for
    the site lists that as an assumption, with the distance.

    Parameters
    ----------
    latitude, longitude : [deg], north and east positive

    Raises
    ------
    InputError : for a position that is not on earth

    >>> found, km = nearest_station(47.6, -122.3)
    >>> found.name, round(km)
    ('Seattle', 17)
    """
    problems = [
        Problem(where, value, f"must lie between {-limit:g} and {limit:g} degrees.")
        for where, value, limit in (("latitude", latitude, 90.0), ("longitude", longitude, 180.0))
        if not -limit <= value <= limit
    ]
    if problems:
        raise InputError(*problems)
    entries = stations()
    distances = _distance_km(
        latitude,
        longitude,
        np.array([entry.latitude for entry in entries]),
        np.array([entry.longitude for entry in entries]),
    )
    index = int(np.argmin(distances))
    return entries[index], float(distances[index])


def climate_from_monthly(
    temperature_c: Sequence[float],
    relative_humidity_pct: Sequence[float],
    rain_mm: Sequence[float] | None = None,
    rain_days: Sequence[float] | None = None,
) -> Climate:
    """A climate from twelve monthly values, January first, as the user states them.

    Parameters
    ----------
    temperature_c : monthly mean air temperature [deg C], -90 to 60
    relative_humidity_pct : monthly mean of the whole day [%], 0 to 100
    rain_mm : rain a month [mm]; None if not known
    rain_days : days a month with at least 0.25 mm of rain; None if not known

    Raises
    ------
    InputError : with every problem found: not twelve values, or values out of range

    >>> climate_from_monthly([10.0] * 12, [75.0] * 12).rain_mm is None
    True
    """
    problems: list[Problem] = []
    t = _twelve(temperature_c, _TEMPERATURE_C, problems)
    rh = _twelve(relative_humidity_pct, _HUMIDITY_PCT, problems)
    rain = None if rain_mm is None else _twelve(rain_mm, _RAIN_MM, problems)
    days = None if rain_days is None else _twelve(rain_days, _RAIN_DAYS, problems)
    if problems:
        raise InputError(*problems)
    return Climate(t, rh, rain, days, "monthly values stated by the user", "user", Mark.VERIFIED)


def climate_from_annual(
    temperature_c: float,
    relative_humidity_pct: float,
    rain_mm: float | Sequence[float] | None = None,
    rain_days: float | Sequence[float] | None = None,
) -> Climate:
    """A climate from yearly means, taken the same in every month; ``how`` says so.

    Parameters
    ----------
    temperature_c, relative_humidity_pct : yearly means [deg C], [%]
    rain_mm, rain_days : a yearly total, spread evenly, or twelve monthly values; None if not known

    Raises
    ------
    InputError : with every problem found

    >>> climate_from_annual(10.0, 75.0, rain_mm=600.0).rain_mm[0]
    50.0
    """
    stated = climate_from_monthly(
        [temperature_c] * MONTHS, [relative_humidity_pct] * MONTHS, _spread(rain_mm), _spread(rain_days)
    )
    how = "yearly means stated by the user, taken the same in every month"
    return Climate(
        stated.temperature_c,
        stated.relative_humidity_pct,
        stated.rain_mm,
        stated.rain_days,
        how,
        stated.source,
        stated.mark,
    )


def _twelve(values: Sequence[float], rule: _Range, problems: list[Problem]) -> tuple[float, ...]:
    where, least, most, unit = rule
    if len(values) != MONTHS:
        problems.append(
            Problem(
                where, None, f"has {len(values)} values, must have 12.", "Give one a month, January first."
            )
        )
        return ()
    for index, value in enumerate(values):
        if not (isfinite(value) and least <= value <= most):
            problems.append(
                Problem(f"{where}[{index}]", value, f"must lie between {least:g} and {most:g} {unit}.")
            )
    return tuple(float(value) for value in values)


def _spread(values: float | Sequence[float] | None) -> Sequence[float] | None:
    if values is None or isinstance(values, Sequence):
        return values
    return [values / MONTHS] * MONTHS


def _key(name: str) -> str:
    return " ".join(name.replace(",", " ").split()).casefold()


def _distance_km(
    latitude: float, longitude: float, latitudes: NDArray[np.float64], longitudes: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Great-circle distances [km] by the haversine formula."""
    a, b = np.radians(latitude), np.radians(latitudes)
    half = np.sin((b - a) / 2.0) ** 2
    half = half + np.cos(a) * np.cos(b) * np.sin(np.radians(longitudes - longitude) / 2.0) ** 2
    return np.asarray(2.0 * _EARTH_RADIUS_KM * np.arcsin(np.sqrt(np.minimum(half, 1.0))))


@once
def _stations() -> Mapping[str, Station]:
    rows = load_csv(
        "air/station_places.csv",
        {"station": str, "place": str, "country": str, "latitude": number, "longitude": number},
        key=("station",),
    )
    found = [
        Station(
            row["station"],
            row["place"],
            row["country"],
            row["latitude"],
            row["longitude"],
            row["source"],
            row["mark"],
        )
        for row in rows
    ]
    return {_key(entry.name): entry for entry in found}


@once
def _climates() -> Mapping[str, Climate]:
    numbers = ("temperature_c", "relative_humidity_pct", "rain_mm", "rain_days")
    rows = load_csv(
        "air/stations.csv",
        {"station": str, "month": int, **dict.fromkeys(numbers, number)},
        key=("station", "month"),
    )
    months: dict[str, list[Row]] = {}
    for row in rows:
        months.setdefault(row["station"], []).append(row)
    if set(months) != {entry.name for entry in _stations().values()}:
        raise TableError("air/stations.csv and air/station_places.csv must name the same stations")
    return {name: _climate(name, of_station) for name, of_station in months.items()}


def _climate(name: str, rows: Sequence[Row]) -> Climate:
    if [row["month"] for row in rows] != list(range(1, MONTHS + 1)):
        raise TableError(f"air/stations.csv: {name} must have months 1 to 12 in order")
    return Climate(
        temperature_c=tuple(row["temperature_c"] for row in rows),
        relative_humidity_pct=tuple(row["relative_humidity_pct"] for row in rows),
        rain_mm=tuple(row["rain_mm"] for row in rows),
        rain_days=tuple(row["rain_days"] for row in rows),
        how=f"normals of {name} from the built-in table, recalled from memory",
        source=rows[0]["source"],
        mark=rows[0]["mark"],
    )
