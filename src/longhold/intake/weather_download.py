"""Weather from public climate services, only when asked for; kept on disk, so that it is asked for once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Literal, get_args

import numpy as np

from longhold.air.weather import monthly_climate
from longhold.base.errors import InputError, Problem
from longhold.base.whole_files import whole_file
from longhold.intake.weather_files import pvlib_readers
from longhold.intake.weather_gaps import HourRows, to_hourly
from longhold.model.weather import SiteWeather

__all__ = ["Service", "download_weather"]

Service = Literal["pvgis", "nasa_power"]
Fetch = Callable[[float, float], Any]
_NAMES = {
    "temp_air": "temperature_c",
    "relative_humidity": "relative_humidity_pct",
    "PRECTOTCORR": "rain_mm",
    "wind_speed": "wind_speed_m_s",
    "wind_direction": "wind_from_deg",
    "WD10M": "wind_from_deg",
    "ghi": "sun_w_m2",
}
_YEARS = {"first": "2014-01-01", "last": "2023-12-31"}
_HOW = {
    "pvgis": "typical year of PVGIS, European Commission Joint Research Centre",
    "nasa_power": "hours of 2014 to 2023, NASA POWER",
}


def download_weather(
    latitude: float,
    longitude: float,
    cache: Path,
    service: Service = "pvgis",
    ask_network: bool = False,
    fetch: Fetch | None = None,
) -> SiteWeather:
    """Hourly weather of a position from a public climate service, through pvlib.

    Off unless asked for: without ``ask_network`` only what is already in the cache is used. pvgis gives a
    typical year without rain; nasa_power ten years with rain. Hours come in UTC and are moved to the site's
    own by its longitude.

    Parameters
    ----------
    latitude, longitude : [deg], north and east positive
    cache : folder where the answer is kept
    service : pvgis or nasa_power
    ask_network : whether the network may be asked
    fetch : stands in for pvlib's reader in tests: latitude, longitude -> table with an hourly UTC index

    Raises
    ------
    InputError : not in the cache and the network not asked for or not reached; an answer that is not whole
    """
    if service not in get_args(Service):
        raise InputError(
            Problem("weather.service", service, f"must be one of {', '.join(get_args(Service))}.")
        )
    if not (-90.0 <= latitude <= 90.0 and -180.0 <= longitude <= 180.0):
        raise InputError(
            Problem(
                "site.position", f"{latitude}, {longitude}", "must be a latitude and a longitude on earth."
            )
        )
    kept = cache / f"{service}_{latitude:.3f}_{longitude:.3f}.npz"
    if not kept.is_file():
        if not ask_network:
            raise InputError(
                Problem(
                    "weather.download",
                    None,
                    f"{service} was not asked for this position before, and is asked only when told to.",
                    "Ask for the download, or give a weather file or monthly values.",
                )
            )
        _keep(kept, _table(service, latitude, longitude, fetch))
    rows = _kept_rows(kept, service)
    return monthly_climate(to_hourly(rows), latitude, longitude)


def _table(service: Service, latitude: float, longitude: float, fetch: Fetch | None) -> Any:
    ask = fetch or _SERVICES[service]
    try:
        return ask(latitude, longitude)
    except InputError:
        raise
    except Exception as error:
        said = "no network" if "NameResolution" in repr(error) else type(error).__name__
        raise InputError(
            Problem(
                "weather.download",
                None,
                f"{service} could not be reached or did not answer ({said}).",
                "Without a network give a weather file or monthly values.",
            )
        ) from error


def _pvgis(latitude: float, longitude: float) -> Any:
    data, _ = pvlib_readers().get_pvgis_tmy(latitude, longitude, map_variables=True, coerce_year=1990)
    return data


def _nasa_power(latitude: float, longitude: float) -> Any:
    wanted = ["temp_air", "relative_humidity", "PRECTOTCORR", "wind_speed", "WD10M", "ghi"]
    data, _ = pvlib_readers().get_nasa_power(latitude, longitude, _YEARS["first"], _YEARS["last"], wanted)
    return data


_SERVICES: Mapping[str, Fetch] = {"pvgis": _pvgis, "nasa_power": _nasa_power}


def _keep(file: Path, data: Any) -> None:
    """The answer on disk: month, day and hour in UTC, and every part that is known."""
    index = data.index
    arrays: dict[str, Any] = {
        name: np.asarray(getattr(index, name), dtype=np.int64) for name in ("month", "day", "hour")
    }
    for column, name in _NAMES.items():
        if column in data.columns:
            arrays[name] = np.asarray(data[column], dtype=float)
    with whole_file(file, folders=True) as part, part.open("wb") as stream:
        np.savez_compressed(stream, **arrays)


def _kept_rows(file: Path, service: str) -> HourRows:
    """Rows in the site's own hours: whole UTC days are rolled by the longitude's hours."""
    try:
        with np.load(file) as stored:
            arrays = {name: stored[name] for name in stored.files}
    except (OSError, ValueError) as error:
        raise InputError(Problem(str(file), None, "cannot be read.", "Delete it and ask again.")) from error
    longitude = float(file.stem.rsplit("_", 1)[1])
    ahead = round(longitude / 15.0)
    parts = {name: np.roll(values, ahead) for name, values in arrays.items() if name in _NAMES.values()}
    note = f"hours moved from UTC by {ahead:+d} h, the hours of the longitude"
    return HourRows(arrays["month"], arrays["day"], arrays["hour"], parts, _HOW[service], (note,))
