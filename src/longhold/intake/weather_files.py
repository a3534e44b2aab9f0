"""Weather files that people hand in: hourly EPW, TMY2 and TMY3, and monthly CSV; one record from each."""

from __future__ import annotations

import re
from importlib import import_module
from io import StringIO
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from longhold.air.weather import monthly_climate
from longhold.base.errors import InputError, Problem
from longhold.base.extras import lacking
from longhold.base.files import MOST_BYTES
from longhold.base.quiet import quiet
from longhold.intake.monthly_file import monthly_weather
from longhold.intake.weather_gaps import HourRows, to_hourly
from longhold.model.weather import SiteWeather

__all__ = ["pvlib_readers", "read_weather"]

_EPW = {
    "temp_air": "temperature_c",
    "temp_dew": "dew_point_c",
    "relative_humidity": "relative_humidity_pct",
    "liquid_precipitation_depth": "rain_mm",
    "wind_speed": "wind_speed_m_s",
    "wind_direction": "wind_from_deg",
    "ghi": "sun_w_m2",
}
_TMY3 = {**_EPW, "Lprecip depth (mm)": "rain_mm"}
_TMY2 = {
    "DryBulb": "temperature_c",
    "DewPoint": "dew_point_c",
    "RHum": "relative_humidity_pct",
    "Wspd": "wind_speed_m_s",
    "Wdir": "wind_from_deg",
    "GHI": "sun_w_m2",
}
_TENTHS = ("DryBulb", "DewPoint", "Wspd")  # TMY2 writes these in tenths
_NO_NUMBER = re.compile(r"could not convert string to float: (.*)")


class _Place(NamedTuple):
    latitude: float
    longitude: float
    elevation_m: float


def read_weather(path: str | Path) -> SiteWeather:
    """A weather file as the common record, with everything that was filled in its notes.

    EPW, TMY3 and TMY2 are read with pvlib (extra ``places``); another CSV is a monthly one
    (``monthly_file``). The kind is told from the content, not the name.

    Raises
    ------
    InputError : not such a file, not whole, or not credible; pvlib not installed
    """
    file = Path(path)
    text = _text(file)
    try:
        kind = _kind(text, file)
        if kind == "monthly":
            return monthly_weather(text)
        rows, place = _READERS[kind](text, file)
        return monthly_climate(to_hourly(rows), place.latitude, place.longitude, place.elevation_m)
    except InputError as error:
        raise error.in_file(str(path)) from None


def pvlib_readers() -> Any:
    """pvlib's readers, or an InputError that says how to get them."""
    try:
        return import_module("pvlib.iotools")
    except ModuleNotFoundError:
        raise InputError(lacking("weather", "weather", otherwise="Or give monthly values.")) from None


def _text(file: Path) -> str:
    """Text in UTF-8, else in Latin-1, which older weather files use for names of towns."""
    try:
        raw = file.read_bytes() if file.stat().st_size <= MOST_BYTES else None
    except FileNotFoundError:
        raise InputError(Problem(str(file), None, "there is no such file.")) from None
    except OSError as error:
        raise InputError(Problem(str(file), None, f"cannot be read: {error.strerror or error}.")) from None
    if raw is None:
        raise InputError(Problem(str(file), None, f"is larger than {MOST_BYTES // 1_000_000} MB."))
    if not raw.strip():
        raise InputError(Problem(str(file), None, "is empty."))
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def _kind(text: str, file: Path) -> str:
    first, _, rest = text.partition("\n")
    second = rest.partition("\n")[0]
    if first.startswith("LOCATION"):
        return "epw"
    if "Time (HH:MM)" in second:
        return "tmy3"
    if file.suffix.lower() == ".tm2":
        return "tmy2"
    if "month" in text[:2000].lower():
        return "monthly"
    raise InputError(
        Problem(
            "weather",
            None,
            "is none of the files that are read: EPW, TMY3, TMY2, or a CSV of twelve months.",
            "An EPW starts with LOCATION; a monthly CSV has a column month.",
        )
    )


def _epw(text: str, file: Path) -> tuple[HourRows, _Place]:
    data, meta = _read("EPW", lambda pvlib: pvlib.read_epw(StringIO(text)))
    # pvlib's index of an EPW is the hour that begins, that of a TMY3 the hour that ends: here the file's
    # own columns are used, where hour 1 is the hour from 0 to 1
    _one_row_an_hour(data["minute"].nunique(), file)
    rows = _rows(data, _EPW, data["month"], data["day"], data["hour"] - 1, f"EPW {file.name}")
    return rows, _place(meta)


def _tmy3(text: str, file: Path) -> tuple[HourRows, _Place]:
    data, meta = _read("TMY3", lambda pvlib: pvlib.read_tmy3(StringIO(text), map_variables=True))
    date = data["Date (MM/DD/YYYY)"].str.split("/", expand=True).astype(int)
    hour = data["Time (HH:MM)"].str.partition(":")[0].astype(int)
    # hours run from 1 to 24, the one that ends, or in some files from 0 to 23, the one that begins
    begins = hour - 1 if hour.max() == 24 else hour
    return _rows(data, _TMY3, date[0], date[1], begins, f"TMY3 {file.name}"), _place(meta)


def _tmy2(_: str, file: Path) -> tuple[HourRows, _Place]:
    data, meta = _read("TMY2", lambda pvlib: pvlib.read_tmy2(str(file)))
    for name in _TENTHS:
        data[name] = data[name] / 10.0
    rows = _rows(data, _TMY2, data["month"], data["day"], data["hour"] - 1, f"TMY2 {file.name}")
    return rows, _place(meta)


_READERS = {"epw": _epw, "tmy3": _tmy3, "tmy2": _tmy2}


def _read(kind: str, reader: Any) -> tuple[Any, dict[str, Any]]:
    readers = pvlib_readers()
    try:
        with quiet():  # of mixed columns, which are read cell by cell here
            data, meta = reader(readers)
    except Exception as error:
        said = _of_the_file(error)
        raise InputError(Problem("weather", None, f"cannot be read as {kind}: {said}.")) from error
    return data, meta


def _of_the_file(error: Exception) -> str:
    """What a library says of the file; what it says of its own code helps nobody."""
    said = " ".join(str(error).split())[:200]
    if isinstance(error, KeyError):
        return f"it lacks {said}"
    if found := _NO_NUMBER.fullmatch(said):
        return f"{found[1]} is no number"
    of_lines = type(error).__name__ in ("ParserError", "EmptyDataError")  # of pandas
    return said if of_lines else "a head or a line is not as the format has it"


def _one_row_an_hour(minutes: int, file: Path) -> None:
    if minutes > 2:
        raise InputError(
            Problem(file.name, None, "has more than one row an hour.", "Give hourly values, their means.")
        )


def _rows(data: Any, names: dict[str, str], month: Any, day: Any, hour: Any, how: str) -> HourRows:
    parts: dict[str, Any] = {}
    for column, name in names.items():
        if column in data.columns:
            cells = data[column]
            parts[name] = np.array([_number(cell) for cell in cells], dtype=float)
    when = [np.asarray(values, dtype=np.int64) for values in (month, day, hour)]
    if not (_within(when[0], 1, 12) and _within(when[1], 1, 31) and _within(when[2], 0, 23)):
        raise InputError(
            Problem(
                "weather", None, "has a month, day or hour that does not exist.", "Hours run from 1 to 24."
            )
        )
    return HourRows(when[0], when[1], when[2], parts, how)


def _within(values: Any, least: int, most: int) -> bool:
    return bool(((values >= least) & (values <= most)).all())


def _number(cell: Any) -> float:
    try:
        return float(cell)
    except (TypeError, ValueError):
        return float("nan")


def _place(meta: dict[str, Any]) -> _Place:
    return _Place(float(meta["latitude"]), float(meta["longitude"]), float(meta["altitude"]))
