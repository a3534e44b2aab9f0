"""A weather file named in a site's climate, put in its place as monthly values."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from longhold.air.grid_climate import climate_at, has_grid
from longhold.base.errors import InputError, Problem
from longhold.intake.weather_files import read_weather
from longhold.model.weather import SiteWeather

__all__ = ["monthly_csv", "with_weather_file"]

_ALONE = ("station", "temperature", "relative_humidity_pct", "rain_days", "rain_mm")


def with_weather_file(site: Mapping[str, Any], folder: Path, where: str) -> dict[str, Any]:
    """A described site whose ``climate.file`` is replaced by what the file says; others stay as they are.

    Parameters
    ----------
    site : as parsed, not validated
    folder : that the file's name is relative to
    where : path of the site inside the input, for refusals

    Raises
    ------
    InputError : a file that cannot be used, or values beside it
    """
    climate = site.get("climate")
    if not isinstance(climate, dict) or not isinstance(climate.get("file"), str):
        return dict(site)
    if beside := [name for name in _ALONE if name in climate]:
        allowed = "stands for the whole climate."
        do = f"Leave out {', '.join(beside)}, or leave out the file."
        raise InputError(Problem(f"{where}.climate.file", climate["file"], allowed, do))
    try:
        weather = read_weather(folder / climate["file"])
    except InputError as error:
        field = f"{where}.climate.file"
        raise InputError(*(_of_field(one, field, climate["file"]) for one in error.problems)) from None
    return {**site, "climate": _values(weather, climate["file"])}


def monthly_csv(weather: SiteWeather) -> str:
    """A weather record as the monthly CSV that ``monthly_file`` reads, its provenance in comment lines."""
    climate = weather.climate
    columns = {
        "temperature_c": climate.temperature_c,
        "relative_humidity_pct": climate.relative_humidity_pct,
        "rain_mm": climate.rain_mm,
        "rain_days": climate.rain_days,
    }
    known = {name: values for name, values in columns.items() if values is not None}
    lines = [f"# {one}" for one in (climate.how, *weather.notes)]
    rows = zip(*known.values(), strict=True)
    lines.append(",".join(["month", *known]))
    lines += [",".join([str(month), *(f"{value:.2f}" for value in row)]) for month, row in enumerate(rows, 1)]
    return "\n".join(lines) + "\n"


def _of_field(problem: Problem, field: str, name: str) -> Problem:
    """What is wrong with a weather file, said of the field that names it."""
    inside = problem.where.removeprefix("weather").lstrip(".: ")
    where_inside = "" if not inside or inside.endswith(name) else f"{inside}: "
    given = "" if problem.value is None else f"{problem.value!r}: "
    return Problem(field, name, f"{where_inside}{given}{problem.allowed}", problem.do)


def _values(weather: SiteWeather, name: str) -> dict[str, Any]:
    climate, notes = weather.climate, list(weather.notes)
    rain_mm, rain_days = climate.rain_mm, climate.rain_days
    if rain_mm is None and rain_days is None and weather.latitude is not None and has_grid():
        assert weather.longitude is not None  # noqa: S101  the record holds both or neither
        maps = climate_at(weather.latitude, weather.longitude, weather.elevation_m).climate
        rain_mm, rain_days = maps.rain_mm, maps.rain_days
        notes.append("the file has no rain: that of the world maps at its position is taken")
    found: dict[str, Any] = {
        "temperature": [f"{value:.3f} degC" for value in climate.temperature_c],
        "relative_humidity_pct": [float(value) for value in climate.relative_humidity_pct],
        "how": f"{name}: {'; '.join([climate.how, *notes])}"[:1500],
    }
    if rain_mm is not None:
        found["rain_mm"] = [float(value) for value in rain_mm]
    if rain_days is not None:
        found["rain_days"] = [float(value) for value in rain_days]
    return found
