"""Climate of any place on land or near its shores, offline, from the table of the places package."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import IO

import numpy as np
from numpy.typing import NDArray

from longhold.air.metals import Array
from longhold.air.moist_air import saturation_hpa
from longhold.air.rain_statistics import rain_days, rain_hours
from longhold.base.errors import InputError, Problem, TableError
from longhold.base.extras import lacking
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_toml
from longhold.model.surroundings import Climate
from longhold.model.weather import SiteWeather

__all__ = ["climate_at", "has_grid", "map_height_m"]

_TABLE = "air/own/grid_climate.toml"
_PACKAGE, _FILE = "longhold_places", "climate.npz"
_ROWS, _COLUMNS, _STEP_DEG = 361, 720, 0.5


@dataclass(frozen=True)
class _Corner:
    """Nodes around a point and their weights, which add up to one."""

    rows: NDArray[np.int64]
    weights: Array

    def mean(self, values: Array) -> Array:
        return np.asarray(values @ self.weights)


def has_grid() -> bool:
    """Whether the places package with the table is installed."""
    try:
        return files(_PACKAGE).joinpath(_FILE).is_file()
    except ModuleNotFoundError:
        return False


def map_height_m(latitude: float, longitude: float) -> float:
    """Height of the land that the table's temperatures belong to [m]: smooth over some 40 km.

    Raises
    ------
    InputError : for a position not on earth, in the open sea or in Antarctica
    """
    corner = _corner(latitude, longitude)
    return float(corner.mean(_grid()["height"][corner.rows].astype(float)))


def climate_at(latitude: float, longitude: float, elevation_m: float | None = None) -> SiteWeather:
    """Monthly climate of a position, interpolated between half-degree nodes and corrected for height.

    Temperature falls by 6.3 deg C a km between the map's height and the site's; vapour thins with the
    map's own scale height; rain is not corrected. Rain days and rain hours follow from rain and
    temperature (``rain_statistics``). Within 80 km of the sea the wind is that of the nearest open sea;
    inland it is unknown. Errors widen with the height that had to be bridged. Source climate-grid.

    Parameters
    ----------
    latitude, longitude : [deg], north and east positive; longitude -180 to 180
    elevation_m : of the site [m above sea level]; None takes the map's

    Raises
    ------
    InputError : for a position not on earth, in the open sea or in Antarctica, an elevation that no land
        has, or when the places package is not installed
    """
    corner = _corner(latitude, longitude)
    grid, law = _grid(), load_toml(_TABLE)
    height = grid["height"][corner.rows].astype(float)
    map_m = float(corner.mean(height))
    site_m = map_m if elevation_m is None else _checked_elevation(elevation_m)
    temperature, humidity = _at_height(corner, height, site_m, map_m if elevation_m is None else None)
    rain = np.maximum(corner.mean(_months("rain", corner.rows)), 0.0)
    notes = [_height_note(map_m, elevation_m)]
    wind = _wind(corner, notes)
    bridged_km = abs(site_m - map_m) / 1000.0
    climate = Climate(
        temperature_c=_told(temperature, 1),
        relative_humidity_pct=_told(humidity, 1),
        rain_mm=_told(rain, 1),
        rain_days=_told(rain_days(rain, temperature), 1),
        how=f"world maps at {_position(latitude, longitude)}, temperature and rain of 2000 to 2025",
        source="climate-grid",
        mark=Mark.OWN,
    )
    errors = law["errors"]
    return SiteWeather(
        climate=climate,
        rain_hours=_told(rain_hours(rain, temperature), 1),
        **wind,
        hourly=None,
        latitude=latitude,
        longitude=longitude,
        elevation_m=site_m,
        temperature_sd_c=float(np.hypot(errors["temperature_sd_c"], law["height"]["sd_c_km"] * bridged_km)),
        humidity_sd_pct=float(np.hypot(errors["humidity_sd_pct"], law["height"]["sd_pct_km"] * bridged_km)),
        rain_sd_ln=errors["rain_sd_ln"],
        notes=tuple(notes),
    )


def _at_height(corner: _Corner, height: Array, site_m: float, map_m: float | None) -> tuple[Array, Array]:
    """Temperature [deg C] and humidity [%] of the nodes brought to the site's height, then averaged."""
    law, grid = load_toml(_TABLE)["height"], _grid()
    rise = np.zeros_like(height) if map_m is not None else site_m - height
    t = _months("temperature", corner.rows)
    moved = t - law["lapse_c_km"] * rise / 1000.0
    thinner = np.exp(-rise / grid["scale_height"][corner.rows].astype(float))
    humidity = _months("humidity", corner.rows) * thinner * saturation_hpa(t) / saturation_hpa(moved)
    return corner.mean(moved), np.clip(corner.mean(humidity), law["driest_pct"], law["dampest_pct"])


def _wind(corner: _Corner, notes: list[str]) -> dict[str, tuple[float, ...] | None]:
    """Marine wind where a node around the point has it; else absent, which a note says."""
    grid = _grid()
    near = np.isin(corner.rows, grid["shore"])
    names = ("wind_speed_m_s", "wind_from_deg", "wind_steadiness_share")
    if corner.weights[near].sum() < load_toml(_TABLE)["wind"]["least_weight"]:
        notes.append("wind is unknown: the table has it near the sea only")
        return dict.fromkeys(names)
    places = np.searchsorted(grid["shore"], corner.rows[near])
    shore = _Corner(places, corner.weights[near] / corner.weights[near].sum())
    speed, east, north = (
        shore.mean(_months(name, places)) for name in ("wind_speed", "wind_east", "wind_north")
    )
    notes.append("wind is that over the nearest open sea, from ships' reports: on land it is weaker")
    from_deg = np.degrees(np.arctan2(-east, -north)) % 360.0
    share = np.hypot(east, north) / np.maximum(speed, 0.1)
    return {
        "wind_speed_m_s": _told(speed, 2),
        "wind_from_deg": _told(from_deg, 0),
        "wind_steadiness_share": _told(np.minimum(share, 1.0), 2),
    }


def _corner(latitude: float, longitude: float) -> _Corner:
    """The kept nodes of the half-degree square around a point, bilinear weights scaled to one."""
    _check_position(latitude, longitude)
    y, x = (latitude + 90.0) / _STEP_DEG, (longitude + 180.0) / _STEP_DEG
    south, west = min(int(y), _ROWS - 2), int(x)
    dy, dx = y - south, x - west
    row = np.array([south, south, south + 1, south + 1])
    column = np.array([west, west + 1, west, west + 1]) % _COLUMNS
    weight = np.array([(1 - dy) * (1 - dx), (1 - dy) * dx, dy * (1 - dx), dy * dx])
    node = _grid()["index"][row, column]
    kept = (node >= 0) & (weight > 0.0)
    if not kept.any():
        raise InputError(
            Problem(
                "site.position",
                _position(latitude, longitude),
                "lies in Antarctica or in the open sea, more than some 120 km from land on the map.",
                "Check latitude and longitude: west and south have a minus. A place out there needs a "
                "climate of its own in a structure: monthly values, or an hourly weather file.",
            )
        )
    return _Corner(node[kept].astype(np.int64), weight[kept] / weight[kept].sum())


def _check_position(latitude: float, longitude: float) -> None:
    problems = [
        Problem(f"site.{where}", value, f"must lie between {-limit:g} and {limit:g} degrees.")
        for where, value, limit in (("latitude", latitude, 90.0), ("longitude", longitude, 180.0))
        if not -limit <= value <= limit
    ]
    if problems:
        raise InputError(*problems)


def _checked_elevation(elevation_m: float) -> float:
    law = load_toml(_TABLE)["height"]
    if not law["lowest_m"] <= elevation_m <= law["highest_m"]:
        raise InputError(
            Problem(
                "site.elevation",
                elevation_m,
                f"must lie between {law['lowest_m']:g} and {law['highest_m']:g} m above the sea.",
            )
        )
    return float(elevation_m)


def _height_note(map_m: float, elevation_m: float | None) -> str:
    if elevation_m is None:
        return f"elevation not stated: the map's {map_m:.0f} m taken"
    return f"temperature and humidity brought from the map's {map_m:.0f} m to {elevation_m:.0f} m"


def _position(latitude: float, longitude: float) -> str:
    north, east = "N" if latitude >= 0 else "S", "E" if longitude >= 0 else "W"
    return f"{abs(latitude):.3f} {north}, {abs(longitude):.3f} {east}"


def _told(values: Array, digits: int) -> tuple[float, ...]:
    return tuple(round(float(value), digits) for value in values)


def _months(name: str, rows: NDArray[np.int64]) -> Array:
    """Twelve months of one layer at some nodes, in its own unit: months x nodes."""
    return np.asarray(_grid()[name][:, rows] / load_toml(_TABLE)["scales"][name])


@once
def _grid() -> Mapping[str, NDArray[np.signedinteger]]:
    """The table's arrays; they are stored as differences from node to node."""
    if not has_grid():
        do = "Or give the climate of the site."
        raise InputError(lacking("site.position", "places", otherwise=do))
    with files(_PACKAGE).joinpath(_FILE).open("rb") as file:
        return _arrays(file)


def _arrays(file: IO[bytes]) -> dict[str, NDArray[np.signedinteger]]:
    with np.load(file) as stored:
        arrays = {
            name: stored[name]
            if name == "index"
            else np.cumsum(stored[name], axis=-1, dtype=stored[name].dtype)
            for name in stored.files
        }
    if arrays["index"].shape != (_ROWS, _COLUMNS) or arrays["temperature"].shape != (
        12,
        arrays["height"].size,
    ):
        raise TableError(f"{_PACKAGE}/{_FILE} has another layout than this version reads")
    for values in arrays.values():
        values.flags.writeable = False
    return arrays
