"""Simulated timbers of one site: each kind once, however many joints and draws share it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from longhold.air.rain_statistics import rain_hours
from longhold.air.weather_generator import generate_weather, with_drawn_rain
from longhold.base.errors import InputError, Problem
from longhold.base.kept import KeptArrays, key_of
from longhold.base.recent import once
from longhold.model.surroundings import Climate
from longhold.model.weather import HOURS_A_YEAR, HourlyWeather, SiteWeather
from longhold.wood.simulation import simulate_many
from longhold.wood.surface import Surface, design_points
from longhold.wood.taken import most_humid_pct, most_wet_hours
from longhold.wood.timber_runs import (
    RUN_YEARS,
    RUNS,
    Situation,
    TimberSurfaces,
    design_causes,
    driven_rain,
    timber_case,
    timber_surfaces,
)
from longhold.wood.transport import transport_band
from longhold.wood.wetting import humidity_shift_pct, rain_from_rain_days, wetting_bands

__all__ = ["TimberKind", "WoodRuns"]

Array = NDArray[np.float64]

_SEED = 2025
_COMPUTES = ("base", "model", "air", "wood", "tables/wood", "tables/air/weather", "tables/air/own")
_HOURS_A_DAY = 24


@dataclass(frozen=True)
class TimberKind:
    """What a simulation depends on besides the site's weather.

    Attributes
    ----------
    thickness_mm, specific_gravity : of the timber [mm], [-]; for end grain the length looked at
    situation : how rain reaches the face that the metal enters
    coat : name of the film on its faces; empty for bare wood
    end_grain : whether the metal enters end grain
    """

    thickness_mm: float
    specific_gravity: float
    situation: Situation
    coat: str = ""
    end_grain: bool = False


class WoodRuns:
    """Moisture of the timbers of one site, hour by hour, from its weather.

    Parameters
    ----------
    weather : of the site; hourly years are used as they are, else years are generated from the months
    kept : where results are kept between sessions
    threads : in which a timber is simulated; None takes one for each processor
    """

    def __init__(
        self, weather: SiteWeather, kept: KeptArrays | None = None, threads: int | None = None
    ) -> None:
        self._site = weather
        self._threads = threads
        self._kept = kept or KeptArrays(None)
        self._found: dict[TimberKind, TimberSurfaces] = {}
        self._weathers: tuple[HourlyWeather, ...] = ()

    def surfaces(self, kind: TimberKind) -> TimberSurfaces:
        """What metal across a timber of this kind meets.

        Raises
        ------
        InputError : where rain reaches the timber and none is known
        MoistureNotConverged : where the simulation finds no answer
        """
        if kind not in self._found:
            key = key_of([_code(), _as_key(self._site), kind, RUNS, RUN_YEARS, _SEED])
            kept = self._kept.get(key)
            if kept is None:
                made = self._simulated(kind)
                self._kept.put(key, _arrays(made))
                self._found[kind] = made
            else:
                self._found[kind] = _from_arrays(kept)
        return self._found[kind]

    def shown_year(self, kind: TimberKind) -> tuple[Array, Array]:
        """One year of a timber, for a picture: all that is not known at its middle, weather drawn anew.

        It is the last year of one run more than the surfaces go through; of its start at rest with the air
        nothing is left but deep in thick timber.

        Returns
        -------
        depth of the cells from the face that the metal enters [mm], and moisture at the end of each day
        [%], 365 x cells

        Raises
        ------
        InputError, MoistureNotConverged : as ``surfaces``
        """
        year = self._year(kind)
        return year["depth_mm"], year["daily_pct"]

    def decay_year(self, kind: TimberKind) -> tuple[Array, Array, Array]:
        """The same year with the mean temperature of the air of each day, for the dose of decay.

        Returns
        -------
        depth of the cells [mm], moisture at the end of each day [%], 365 x cells, and temperature [C], 365

        Raises
        ------
        InputError, MoistureNotConverged : as ``surfaces``
        """
        year = self._year(kind)
        return year["depth_mm"], year["daily_pct"], year["daily_c"]

    def _year(self, kind: TimberKind) -> Mapping[str, Array]:
        key = key_of([_code(), "shown year", _as_key(self._site), kind, RUNS, RUN_YEARS, _SEED])
        kept = self._kept.get(key)
        if kept is None:
            if kind.situation != "covered":
                _needs_rain(self._site.climate)
            middle = dict.fromkeys(design_causes(kind.situation), 0.0)
            case = timber_case(
                kind.thickness_mm,
                kind.specific_gravity,
                kind.situation,
                middle,
                0,
                coat=kind.coat,
                end_grain=kind.end_grain,
            )
            weather = _weather(self._site, 0.0, 0.0, RUNS)
            if "side_rain" in middle:
                weather = driven_rain(weather, transport_band("side_spells_share").median, RUNS)
            (run,) = simulate_many([case], [weather], spin_up_years=0, history_h=_HOURS_A_DAY)
            days = HOURS_A_YEAR // _HOURS_A_DAY
            history = run.history_pct if run.history_pct is not None else np.zeros((days, 0))
            kept = {"depth_mm": 1000.0 * run.depth_m, "daily_pct": history[-days:]}
            warm = weather.temperature_c[-HOURS_A_YEAR:].reshape(days, _HOURS_A_DAY).mean(axis=1)
            kept["daily_c"] = warm
            self._kept.put(key, kept)
        return kept

    def _simulated(self, kind: TimberKind) -> TimberSurfaces:
        if kind.situation != "covered":
            _needs_rain(self._site.climate)
        z = design_points(RUNS, len(design_causes(kind.situation)))
        if not self._weathers:
            self._weathers = tuple(
                _weather(self._site, offset, spells, run) for run, (offset, spells) in enumerate(z[:, :2])
            )
        return timber_surfaces(
            kind.thickness_mm,
            kind.specific_gravity,
            kind.situation,
            z,
            self._weathers,
            coat=kind.coat,
            end_grain=kind.end_grain,
            threads=self._threads,
        )


def _needs_rain(climate: Climate) -> None:
    if climate.rain_mm is None and climate.rain_days is None:
        raise InputError(
            Problem(
                "site.climate.rain_mm",
                None,
                "rain reaches this timber, but neither rain nor days with rain are known.",
                "Give rain_mm or rain_days by month.",
            )
        )


def _weather(site: SiteWeather, z_offset: float, z_spells: float, run: int) -> HourlyWeather:
    """The years of one run, moister or drier and with longer or shorter rain as its causes say."""
    rng = np.random.default_rng([_SEED, run])
    bands = wetting_bands()
    climate = site.climate
    offset = float(bands["moisture_offset_pct"].at(z_offset))
    shift = humidity_shift_pct(climate.temperature_c, climate.relative_humidity_pct, offset)
    rained = _with_rain(site, float(bands["rain_hours_factor"].at(z_spells)))
    if site.hourly is not None:
        return _of_file(rained, site.hourly, shift, run, rng)
    humidity = np.array(climate.relative_humidity_pct)
    moved = np.clip(humidity + shift, 1.0, np.maximum(humidity, most_humid_pct()))
    changed = replace(rained.climate, relative_humidity_pct=tuple(moved.tolist()))
    return generate_weather(replace(rained, climate=changed), RUN_YEARS, rng)


def _with_rain(site: SiteWeather, longer: float) -> SiteWeather:
    """The site with rain from its rain days where only they are known, and its wet hours times a factor."""
    climate = site.climate
    rain = climate.rain_mm
    if rain is None and climate.rain_days is not None:
        rain = tuple(rain_from_rain_days(climate.rain_days).tolist())
    if rain is None:
        return site
    known = site.rain_hours if site.rain_hours is not None else rain_hours(rain, climate.temperature_c)
    hours = tuple(np.minimum(np.asarray(known) * longer, most_wet_hours()).tolist())
    return replace(site, climate=replace(climate, rain_mm=rain), rain_hours=hours)


def _of_file(
    site: SiteWeather, hourly: HourlyWeather, shift: Array, run: int, rng: np.random.Generator
) -> HourlyWeather:
    at = np.concatenate(
        [np.arange(HOURS_A_YEAR) + year % hourly.years * HOURS_A_YEAR for year in range(run, run + RUN_YEARS)]
    )
    parts: dict[str, Any] = {
        name: None if (part := getattr(hourly, name)) is None else part[at]
        for name in ("rain_mm", "wet", "wind_speed_m_s", "wind_from_deg", "sun_w_m2")
    }
    months = hourly.months()[at]
    humidity = np.clip(hourly.relative_humidity_pct[at] + shift[months], 0.0, 100.0)
    one = replace(hourly, temperature_c=hourly.temperature_c[at], relative_humidity_pct=humidity, **parts)
    lacks_rain = one.rain_mm is None and site.climate.rain_mm is not None
    return with_drawn_rain(one, site, rng) if lacks_rain else one


@once
def _code() -> bytes:
    """Every file whose change could change a simulated moisture."""
    root = files("longhold")
    read = {f"{folder}/{one.name}": one for folder in _COMPUTES for one in root.joinpath(folder).iterdir()}
    read["forecast/wood_runs.py"] = root.joinpath("forecast", "wood_runs.py")
    kept = sorted(path for path in read if path.endswith((".py", ".csv", ".toml")))
    return b"".join(path.encode() + read[path].read_bytes() for path in kept)


def _as_key(site: SiteWeather) -> tuple[object, ...]:
    climate = site.climate
    months = (
        climate.temperature_c,
        climate.relative_humidity_pct,
        climate.rain_mm,
        climate.rain_days,
        site.rain_hours,
        site.wind_speed_m_s,
        site.wind_from_deg,
        site.wind_steadiness_share,
    )
    hourly: tuple[object, ...] = ()
    if site.hourly is not None:
        hour = site.hourly
        parts = (hour.temperature_c, hour.relative_humidity_pct, hour.rain_mm, hour.sun_w_m2)
        hourly = (key_of(parts),)
    return (*months, site.latitude, site.elevation_m, *hourly)


def _arrays(found: TimberSurfaces) -> Mapping[str, Array]:
    arrays = {
        "depth_mm": found.depth_mm,
        "monthly_pct": found.monthly_pct,
        "above_share": found.above_share,
        "balance_error": np.array(found.balance_error),
        "causes": np.array(found.causes),
    }
    for name, surface in found.responses.items():
        arrays[f"fit:{name}"] = surface.coefficients
        arrays[f"unseen:{name}"] = surface.unseen_sd
        arrays[f"most:{name}"] = np.array(surface.most)
    return arrays


def _from_arrays(kept: Mapping[str, Array]) -> TimberSurfaces:
    names = [name.removeprefix("fit:") for name in kept if name.startswith("fit:")]
    return TimberSurfaces(
        depth_mm=kept["depth_mm"],
        causes=tuple(str(one) for one in kept["causes"]),
        responses=MappingProxyType(
            {
                name: Surface(kept[f"fit:{name}"], kept[f"unseen:{name}"], RUNS, float(kept[f"most:{name}"]))
                for name in names
            }
        ),
        monthly_pct=kept["monthly_pct"],
        above_share=kept["above_share"],
        balance_error=float(kept["balance_error"]),
    )
