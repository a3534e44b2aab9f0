"""A CSV of twelve months, with units in the column names, to the common weather record."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping, Sequence
from math import isfinite

from longhold.air.climates import climate_from_monthly
from longhold.air.weather import site_weather
from longhold.base.errors import InputError, Problem
from longhold.model.weather import SiteWeather

__all__ = ["monthly_weather"]

_Change = Callable[[float], float]
# column -> (part, change into its unit)
_COLUMNS: Mapping[str, tuple[str, _Change]] = {
    "temperature_c": ("temperature_c", float),
    "temperature_f": ("temperature_c", lambda f: (f - 32.0) / 1.8),
    "relative_humidity_pct": ("relative_humidity_pct", float),
    "rain_mm": ("rain_mm", float),
    "rain_in": ("rain_mm", lambda inches: 25.4 * inches),
    "rain_days": ("rain_days", float),
    "rain_hours": ("rain_hours", float),
    "wind_speed_m_s": ("wind_speed_m_s", float),
    "wind_speed_km_h": ("wind_speed_m_s", lambda kmh: kmh / 3.6),
    "wind_speed_mph": ("wind_speed_m_s", lambda mph: 0.44704 * mph),
    "wind_from_deg": ("wind_from_deg", float),
}
_NEEDED = ("temperature_c", "relative_humidity_pct")
_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
# own bounds of parts that climate_from_monthly does not check
_LIMITS = {
    "rain_hours": (0.0, 744.0, "h a month"),
    "wind_speed_m_s": (0.0, 40.0, "m/s"),
    "wind_from_deg": (0.0, 360.0, "deg"),
}


def monthly_weather(
    text: str,
    latitude: float | None = None,
    longitude: float | None = None,
    elevation_m: float | None = None,
) -> SiteWeather:
    """The record from CSV text: a column ``month`` (1 to 12, or names), others with their unit in the name.

    Needed are temperature_c (or temperature_f) and relative_humidity_pct; known besides are rain_mm (or
    rain_in), rain_days, rain_hours, wind_speed_m_s (km_h, mph) and wind_from_deg. Lines that start with # are
    passed over.

    Raises
    ------
    InputError : with every problem found: months missing, twice or unknown, columns unknown or the same
        thing in two units, cells that are not numbers, values out of range

    >>> months = "".join(f"{m},10,75\\n" for m in range(1, 13))
    >>> monthly_weather("month,temperature_c,relative_humidity_pct\\n" + months).climate.rain_mm is None
    True
    """
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    if not lines:
        raise InputError(
            Problem("weather", None, "holds no line but remarks.", "Give a head and twelve months.")
        )
    try:
        header, *body = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=_delimiter(lines)))
    except csv.Error as error:
        raise InputError(Problem("weather", None, f"is not CSV: {error}.")) from None
    names = [cell.strip().lower() for cell in header]
    problems = _column_problems(names)
    if problems:
        raise InputError(*problems)
    cells = _by_month(names, body, problems)
    if problems:
        raise InputError(*problems)
    parts = _parts(names, cells, problems)
    if not problems:
        problems.extend(_doubtful(names, parts))
    if problems:
        raise InputError(*problems)
    climate = climate_from_monthly(
        parts["temperature_c"], parts["relative_humidity_pct"], parts.get("rain_mm"), parts.get("rain_days")
    )
    rest = {name: tuple(parts[name]) for name in _LIMITS if name in parts}
    return site_weather(climate, latitude, longitude, elevation_m, **rest)


def _delimiter(lines: Sequence[str]) -> str:
    return ";" if lines and lines[0].count(";") > lines[0].count(",") else ","


def _column_problems(names: Sequence[str]) -> list[Problem]:
    known = ", ".join(["month", *_COLUMNS])
    problems = [
        Problem("columns", name, "is not known.", f"Known are {known}.")
        for name in names
        if name not in _COLUMNS and name != "month"
    ]
    if "month" not in names:
        problems.append(Problem("columns", None, "month is missing.", "Number the months 1 to 12."))
    given = [_COLUMNS[name][0] for name in names if name in _COLUMNS]
    for part in dict.fromkeys(given):
        if given.count(part) > 1:
            twice = [name for name in names if name in _COLUMNS and _COLUMNS[name][0] == part]
            problems.append(
                Problem("columns", None, f"{' and '.join(twice)} are the same thing.", "Keep one unit.")
            )
    problems.extend(
        Problem("columns", None, f"{part} is missing.", f"Known are {known}.")
        for part in _NEEDED
        if part not in given
    )
    return problems


def _by_month(
    names: Sequence[str], body: Sequence[Sequence[str]], problems: list[Problem]
) -> list[Sequence[str]]:
    """Rows in the order of the months; problems where they are not the twelve."""
    found: dict[int, Sequence[str]] = {}
    column = names.index("month")
    for line, row in enumerate(body, start=2):
        if len(row) != len(names):
            problems.append(Problem(f"line {line}", None, f"has {len(row)} cells, must have {len(names)}."))
            continue
        month = _month(row[column])
        if month is None:
            problems.append(Problem(f"line {line}, month", row[column], "must be 1 to 12 or a month's name."))
        elif month in found:
            problems.append(Problem(f"line {line}, month", row[column], "stands twice."))
        else:
            found[month] = row
    lacking = [str(month) for month in range(1, 13) if month not in found]
    if lacking and not problems:
        word = "month" if len(lacking) == 1 else "months"
        said = f"has {len(found)} months, must have 12: {word} {', '.join(lacking)} missing."
        problems.append(Problem("month", None, said))
    return [found[month] for month in sorted(found)]


def _month(cell: str) -> int | None:
    word = cell.strip().lower()
    if word[:3] in _NAMES and word.isalpha():
        return _NAMES.index(word[:3]) + 1
    return int(word) if re.fullmatch("0?[1-9]|1[0-2]", word) else None


def _parts(
    names: Sequence[str], rows: Sequence[Sequence[str]], problems: list[Problem]
) -> dict[str, list[float]]:
    parts: dict[str, list[float]] = {}
    for column, name in enumerate(names):
        if name == "month":
            continue
        part, change = _COLUMNS[name]
        values = []
        for month, row in enumerate(rows, start=1):
            value = _number(row[column])
            if value is None:
                said = "must be a number with a decimal point, without a unit."
                problems.append(Problem(f"{name}, month {month}", row[column], said))
            else:
                values.append(change(value))
        parts[part] = values
    return parts


def _number(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if isfinite(value) else None


def _doubtful(names: Sequence[str], parts: Mapping[str, Sequence[float]]) -> list[Problem]:
    """Values that are out of range, or that are in another unit than the column says."""
    problems = []
    humidity = parts["relative_humidity_pct"]
    if max(humidity) <= 1.0:
        said = "is a fraction in every month, must be in per cent."
        problems.append(Problem("relative_humidity_pct", max(humidity), said, "Multiply by 100."))
    if "temperature_c" in names and sum(t > 45.0 for t in parts["temperature_c"]) >= 2:
        said = "is hotter than any month on earth in two months or more."
        problems.append(
            Problem(
                "temperature_c",
                max(parts["temperature_c"]),
                said,
                "Is it in Fahrenheit? Then call it temperature_f.",
            )
        )
    for name, (least, most, unit) in _LIMITS.items():
        problems.extend(
            Problem(f"{name}, month {month}", value, f"must lie between {least:g} and {most:g} {unit}.")
            for month, value in enumerate(parts.get(name, ()), start=1)
            if not least <= value <= most
        )
    return problems
