"""Hourly rows with holes to a whole series: every hole is filled and said, or the series is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from longhold.air.moist_air import relative_humidity_pct
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import load_csv, load_toml, number
from longhold.model.weather import HOURS_A_YEAR, HourlyWeather

__all__ = ["HourRows", "to_hourly"]

Array = NDArray[np.float64]
_GAPS = "intake/weather_gaps.toml"
# what a file writes where it has no value: 99.9, 999, 9999, -9900, -999 and so on
_SENTINELS = (99.9, 999.0, 9999.0, 99999.0, 999999.0, -999.0, -9900.0, -9999.0)


@dataclass(frozen=True)
class HourRows:
    """Rows of a weather file as they stand, before anything is filled.

    Attributes
    ----------
    month : 1 to 12, day : 1 to 31, hour : hour of the day that begins, 0 to 23
    parts : temperature_c, dew_point_c, relative_humidity_pct, rain_mm, wind_speed_m_s,
        wind_from_deg, sun_w_m2, as far as the file has them; NaN where a cell is blank
    how : in words, what the file is
    notes : what is already known of it
    """

    month: NDArray[np.int64]
    day: NDArray[np.int64]
    hour: NDArray[np.int64]
    parts: Mapping[str, Array]
    how: str
    notes: tuple[str, ...] = ()


class _Limit(NamedTuple):
    words: str
    least: float
    most: float
    unit: str


@dataclass
class _Log:
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def to_hourly(rows: HourRows) -> HourlyWeather:
    """A whole hourly series.

    29 February is left out. Cells without a value and impossible ones count as missing. A gap of up
    to 6 hours is filled straight across, a longer one from the same hour of the days around; both are told
    in the notes. Humidity that is missing where a dew point stands is computed from it. Rain gaps are taken
    as dry. Temperature and humidity are needed; another part with too many holes is absent, which is told.

    Raises
    ------
    InputError : rows out of order or twice, more than a tenth of temperature or humidity missing or a gap
        of more than two weeks
    """
    log = _Log(list(rows.notes))
    place, length = _places(rows, log)
    parts = {name: _spread(values, place, length) for name, values in rows.parts.items()}
    parts = {name: _possible(name, values, log) for name, values in parts.items()}
    _humidity_from_dew_point(parts, log)
    temperature = _needed("temperature_c", parts, log)
    humidity = _needed("relative_humidity_pct", parts, log)
    if log.problems:
        raise InputError(*log.problems)
    humidity = _at_most_100(humidity, log)
    rain = _rain(parts.get("rain_mm"), humidity, log)
    speed = _optional("wind_speed_m_s", parts, log)
    from_deg = _direction(parts.get("wind_from_deg"), log) if speed is not None else None
    sun = _optional("sun_w_m2", parts, log)
    wet = None if rain is None else rain >= load_toml(_GAPS)["rain"]["wet_least_mm"]
    return HourlyWeather(
        temperature,
        humidity,
        rain,
        wet,
        speed,
        from_deg,
        sun,
        rows.how,
        "user",
        Mark.VERIFIED,
        tuple(log.notes),
    )


def _places(rows: HourRows, log: _Log) -> tuple[NDArray[np.int64], int]:
    """Position of each row in whole years of 365 days, -1 for 29 February; and how many hours there are."""
    leap = (rows.month == 2) & (rows.day == 29)
    if leap.any():
        log.notes.append(f"29 February left out: {int(leap.sum())} hours")
    starts = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])
    of_year = (starts[rows.month - 1] + rows.day - 1) * 24 + rows.hour
    kept = of_year[~leap]
    if kept.size == 0:
        raise InputError(Problem("weather", None, "holds no hours."))
    year = np.concatenate([[0], np.cumsum(np.diff(kept) < -HOURS_A_YEAR // 2)])
    slot = year * HOURS_A_YEAR + kept
    if (np.diff(slot) < 0).any():
        row = int(np.flatnonzero(np.diff(slot) < 0)[0]) + 2
        raise InputError(
            Problem(
                "weather",
                None,
                f"hour {row:,} of the file comes before the one above it.",
                "Sort it by time.",
            )
        )
    if (twice := int((np.diff(slot) == 0).sum())) > 0:
        raise InputError(Problem("weather", None, f"{twice:,} hours stand twice.", "Keep one of each."))
    place = np.full(leap.size, -1, dtype=np.int64)
    place[~leap] = slot
    length = (int(year[-1]) + 1) * HOURS_A_YEAR
    if (lacking := length - kept.size) > 0:
        log.notes.append(f"{lacking:,} of {length:,} hours are not in the file")
    return place, length


def _spread(values: Array, place: NDArray[np.int64], length: int) -> Array:
    whole = np.full(length, np.nan)
    whole[place[place >= 0]] = np.asarray(values, dtype=float)[place >= 0]
    return whole


def _possible(name: str, values: Array, log: _Log) -> Array:
    """Values with sentinels and impossible ones as NaN; the impossible ones are told."""
    limit = _limits()[name]
    values = np.where(np.isin(values, _SENTINELS), np.nan, values)
    bad = np.isfinite(values) & ((values < limit.least) | (values > limit.most))
    if not bad.any():
        return np.asarray(np.where(np.isfinite(values), values, np.nan))
    worst = values[bad][np.abs(values[bad]).argmax()]
    said = f"{int(bad.sum()):,} hours of {limit.words} are impossible, such as {worst:g} {limit.unit}"
    if name == "rain_mm":
        log.notes.append(f"{said}: rain taken as absent (is it in tenths of a millimeter?)")
        return np.full(values.shape, np.nan)
    log.notes.append(f"{said}: taken as missing")
    return np.where(bad, np.nan, values)


def _humidity_from_dew_point(parts: dict[str, Array], log: _Log) -> None:
    dew = parts.get("dew_point_c")
    if dew is None or "temperature_c" not in parts:
        return
    humidity = parts.get("relative_humidity_pct", np.full(dew.shape, np.nan))
    usable = np.isnan(humidity) & np.isfinite(dew) & np.isfinite(parts["temperature_c"])
    if usable.any():
        found = relative_humidity_pct(parts["temperature_c"][usable], dew[usable])
        humidity = humidity.copy()
        humidity[usable] = found
        log.notes.append(f"{int(usable.sum()):,} hours of relative humidity computed from the dew point")
    parts["relative_humidity_pct"] = humidity


def _needed(name: str, parts: Mapping[str, Array], log: _Log) -> Array:
    """A filled part, or a problem where it cannot be filled."""
    words = _limits()[name].words
    if name not in parts:
        log.problems.append(Problem("weather", None, f"has no {words}.", "Hourly weather needs it."))
        return np.zeros(1)
    missing = np.isnan(parts[name])
    why = _too_holed(missing)
    if why:
        do = "Use a file that is whole, or give monthly values."
        log.problems.append(Problem("weather", None, f"{words}: {why}; too much to fill.", do))
        return np.zeros(1)
    return _filled(parts[name], words, log)


def _optional(name: str, parts: Mapping[str, Array], log: _Log) -> Array | None:
    """A filled part, or None with a note where it has too many holes."""
    values, words = parts.get(name), _limits()[name].words
    if values is None or np.isnan(values).all():
        log.notes.append(f"{words} is not in the file")
        return None
    why = _too_holed(np.isnan(values))
    if why:
        log.notes.append(f"{words}: {why}; taken as absent")
        return None
    return _filled(values, words, log)


def _too_holed(missing: NDArray[np.bool_]) -> str:
    rule = load_toml(_GAPS)["fill"]
    share, longest = float(missing.mean()), int(max(_runs(missing)[1], default=0))
    if share > rule["most_share"]:
        return f"{int(missing.sum()):,} of {missing.size:,} hours are missing"
    return f"{longest:,} hours are missing in a row" if longest > rule["longest_hours"] else ""


def _filled(values: Array, words: str, log: _Log) -> Array:
    """Short gaps straight across; long ones from the same clock hour of the days around; told."""
    missing = np.isnan(values)
    if not missing.any():
        return values
    starts, lengths = _runs(missing)
    short = np.zeros(values.size, dtype=bool)
    straight = load_toml(_GAPS)["fill"]["straight_hours"]
    for start, length in zip(starts, lengths, strict=True):
        short[start : start + length] = length <= straight
    hours = np.arange(values.size)
    across = np.interp(hours, hours[~missing], values[~missing], period=values.size)
    daily = values.reshape(-1, 24).copy()
    days = np.arange(len(daily))
    for hour in range(24):
        known = np.isfinite(daily[:, hour])
        if known.any():
            daily[:, hour] = np.interp(days, days[known], daily[known, hour], period=len(daily))
    around = np.where(np.isfinite(daily), daily, across.reshape(-1, 24)).ravel()
    told = [
        f"{int(count):,} hours {way}"
        for count, way in (
            (short.sum(), "straight across"),
            ((missing & ~short).sum(), "from the same hour of the days around"),
        )
        if count
    ]
    log.notes.append(f"{words} filled: {', '.join(told)}")
    return np.where(missing, np.where(short, across, around), values)


def _runs(missing: NDArray[np.bool_]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Start and length of each run of missing hours."""
    edge = np.diff(np.concatenate([[0], missing.astype(np.int8), [0]]))
    starts = np.flatnonzero(edge == 1)
    return starts, np.flatnonzero(edge == -1) - starts


def _at_most_100(humidity: Array, log: _Log) -> Array:
    over = humidity > 100.0
    if over.any():
        log.notes.append(f"{int(over.sum()):,} hours of relative humidity above 100 % taken as 100 %")
    return np.minimum(humidity, 100.0)


def _rain(values: Array | None, humidity: Array, log: _Log) -> Array | None:
    rule = load_toml(_GAPS)
    if values is None or np.isnan(values).all():
        if not any("rain taken as absent" in line for line in log.notes):
            log.notes.append("rain is not in the file")
        return None
    missing = np.isnan(values)
    if missing.mean() > rule["fill"]["most_share"]:
        log.notes.append(
            f"rain: {int(missing.sum()):,} of {missing.size:,} hours are missing; taken as absent"
        )
        return None
    if not np.nansum(values) and humidity.mean() > rule["rain"]["dry_below_pct"]:
        log.notes.append("rain is 0 in every hour of a file that is not a desert's: taken as not recorded")
        return None
    if missing.any():
        log.notes.append(f"{int(missing.sum()):,} hours without a word on rain taken as dry")
    return np.where(missing, 0.0, values)


def _direction(values: Array | None, log: _Log) -> Array | None:
    """Wind direction, holes filled with the last one known."""
    if values is None or np.isnan(values).all() or _too_holed(np.isnan(values)):
        log.notes.append("wind direction is not in the file, or has too many holes; taken as absent")
        return None
    known = np.isfinite(values)
    if known.all():
        return np.asarray(values % 360.0)
    last = np.maximum.accumulate(np.where(known, np.arange(values.size), -1))
    last = np.where(last < 0, int(np.flatnonzero(known)[0]), last)
    log.notes.append(f"wind direction filled with the last one known: {int((~known).sum()):,} hours")
    return np.asarray(values[last] % 360.0)


@once
def _limits() -> Mapping[str, _Limit]:
    rows = load_csv(
        "intake/weather_limits.csv",
        {"part": str, "words": str, "least": number, "most": number, "unit": str},
        key=("part",),
    )
    return {row["part"]: _Limit(row["words"], row["least"], row["most"], row["unit"]) for row in rows}
