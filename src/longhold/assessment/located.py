"""A site as the middle sees it: its weather, its salt and sulphur, and how far the sea is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import exp
from typing import TYPE_CHECKING, TypeVar

from longhold.air.climates import climate_from_annual, climate_from_monthly, station
from longhold.air.grid_climate import climate_at
from longhold.air.settings import NearAnswer, near_setting
from longhold.air.site_air import air_load
from longhold.air.sulphur import deposition_from_concentration
from longhold.air.untold import Untold, untold, untold_sd_ln
from longhold.air.weather import site_weather
from longhold.assessment.findings import Assumption
from longhold.base.distances import distance_words
from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import load_toml
from longhold.base.trace import Section, Trace
from longhold.forecast.scatter import scatter
from longhold.model.site import Nearby, Site, Weather
from longhold.model.surroundings import AirLoad, Climate
from longhold.model.weather import SiteWeather

if TYPE_CHECKING:
    from longhold.air.coast import Coast, ShoreDistance, ShoreType

Found = TypeVar("Found")

__all__ = ["LocatedSite", "locate", "shoreline"]


@dataclass(frozen=True)
class LocatedSite:
    """What the physics needs of a site.

    Attributes
    ----------
    weather : twelve months, with rain hours and wind where known
    temperature_sd_c, humidity_sd_pct : standard deviation of the error of its yearly means
    air_load : chloride and sulphur dioxide
    untold : what may stand near and is not stated
    setting_stated : whether rural, urban or industrial was stated, or industry near
    distance_to_salt_m : given or found from the position; None where only chloride is known
    shore, shore_type : of the nearest salt water, where the position is known and the shoreline installed
    refer : why the air here is beyond what Longhold computes; empty where it is not
    assumptions : what was taken on the way
    calculation : how the air load came about
    """

    weather: SiteWeather
    temperature_sd_c: float
    humidity_sd_pct: float
    air_load: AirLoad
    untold: Untold
    setting_stated: bool
    distance_to_salt_m: float | None
    shore: ShoreDistance | None
    shore_type: ShoreType | None
    refer: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    calculation: Section

    @property
    def climate(self) -> Climate:
        """Twelve months of the site's weather."""
        return self.weather.climate


@once
def shoreline() -> Coast:
    """The world's shoreline, loaded once.

    Raises
    ------
    InputError : where the places data is not installed
    """
    from longhold.air.coast import Coast

    return Coast.load()


def locate(site: Site) -> LocatedSite:
    """Find a site's climate, distance to salt water and air load from what its description gives.

    Raises
    ------
    InputError : with every problem found, each under ``site``
    """
    problems: list[Problem] = []
    assumptions: list[Assumption] = []
    climate = _tried(lambda: _climate(site, assumptions), problems)
    shore = _tried(lambda: _shore(site, assumptions), problems)
    trace = Trace("What the air carries")
    near = [_near(one, trace) for one in site.air.near]
    load = None
    if not problems:
        load = _tried(lambda: _load(site, shore, near, assumptions, trace), problems)
    if problems or climate is None or load is None:
        raise InputError(*problems)
    found, temperature_sd_c, humidity_sd_pct = climate
    return LocatedSite(
        weather=found,
        temperature_sd_c=temperature_sd_c,
        humidity_sd_pct=humidity_sd_pct,
        air_load=load,
        untold=_untold(site, assumptions, trace),
        setting_stated=_setting_stated(site),
        distance_to_salt_m=_distance_m(site, shore),
        shore=shore,
        shore_type=_shore_type(site, shore),
        refer=tuple(one.why for one in near if not one.computed),
        assumptions=tuple(assumptions),
        calculation=trace.root,
    )


def _tried(make: Callable[[], Found], problems: list[Problem]) -> Found | None:
    try:
        return make()
    except InputError as error:
        for one in error.problems:
            where = one.where if one.where.startswith("site") else f"site.{one.where}"
            problems.append(Problem(where, one.value, one.allowed, one.do))
        return None


def _climate(site: Site, assumptions: list[Assumption]) -> tuple[SiteWeather, float, float]:
    if site.climate is not None:
        climate = _stated(site.climate)
        if site.climate.how:
            climate = replace(climate, how=site.climate.how)
            assumptions.append(Assumption("site.climate", "weather file", site.climate.how))
        if site.climate.station is not None:
            because = f"the station stands for the site: {climate.how}"
            assumptions.append(Assumption("site.climate", site.climate.station, because))
        weather = site_weather(climate, site.latitude, site.longitude, site.elevation)
        return weather, scatter("temperature"), scatter("humidity")
    latitude, longitude = site.position
    weather = climate_at(latitude, longitude, site.elevation)
    assumptions.append(Assumption("site.climate", weather.climate.how, "; ".join(weather.notes)))
    return weather, weather.temperature_sd_c, weather.humidity_sd_pct


def _stated(weather: Weather) -> Climate:
    if weather.station is not None:
        return station(weather.station)
    temperature, humidity = weather.temperature, weather.relative_humidity_pct
    if isinstance(temperature, list) and isinstance(humidity, list):
        return climate_from_monthly(temperature, humidity, weather.rain_mm, weather.rain_days)
    if isinstance(temperature, float) and isinstance(humidity, float):
        return climate_from_annual(temperature, humidity, weather.rain_mm, weather.rain_days)
    allowed = "needs temperature and humidity, both by month or both by year."
    raise InputError(Problem("site.climate", None, allowed))


def _shore(site: Site, assumptions: list[Assumption]) -> ShoreDistance | None:
    if site.latitude is None or site.longitude is None:
        return None
    needed = site.distance_to_salt_water is None and site.air.chloride is None
    try:
        found = shoreline().nearest_shore(site.latitude, site.longitude)
        if bool(found.refer) and float(found.to_salt_water_m) > _inland_sea_reach_m():
            found = shoreline().nearest_shore(site.latitude, site.longitude, ocean_only=True)
    except InputError:
        if needed:
            raise
        return None
    if not needed:
        return found
    if bool(found.refer):
        allowed = f"lies close to {found.water}, whose salt the laws for sea air do not know."
        do = "Give a measured chloride, or the distance to the ocean."
        raise InputError(Problem("site.latitude, site.longitude", None, allowed, do))
    distance = float(found.to_salt_water_m)
    because = "found from the position on a shoreline that is good to some 160 m; give it if you know better"
    assumptions.append(Assumption("site.distance_to_salt_water", distance_words(distance), because))
    return found


def _inland_sea_reach_m() -> float:
    return float(load_toml("assessment/inland_sea.toml")["reach"]["within_m"])


def _shore_type(site: Site, shore: ShoreDistance | None) -> ShoreType | None:
    if shore is None or bool(shore.refer):
        return None
    latitude, longitude = site.position
    return shoreline().shore_type(latitude, longitude)


def _distance_m(site: Site, shore: ShoreDistance | None) -> float | None:
    if site.distance_to_salt_water is not None or shore is None or bool(shore.refer):
        return site.distance_to_salt_water
    return float(shore.to_salt_water_m)


def _near(one: Nearby, trace: Trace) -> NearAnswer:
    return near_setting(one.setting, one.distance, trace, era="today")


def _load(
    site: Site,
    shore: ShoreDistance | None,
    near: list[NearAnswer],
    assumptions: list[Assumption],
    trace: Trace,
) -> AirLoad:
    air = site.air
    sulphur = air.sulphur_deposition
    if air.sulphur_dioxide is not None:
        sulphur = float(deposition_from_concentration(air.sulphur_dioxide))
    industry = any(one.name == "industrial_sulphur" for one in near)
    road = next((one.distance for one in air.near if one.setting == "salted_road"), None)
    load, said = air_load(
        _distance_m(site, shore),
        site.shore,
        "industrial" if industry else air.setting,
        air.chloride,
        sulphur,
        trace=trace,
        chloride_method=air.chloride_method,
        salted_road_m=road,
        onshore_share=air.onshore_wind_share,
        era="today",
        setting_stated=_setting_stated(site),
    )
    for text in said:
        chloride = text.startswith("chloride")
        field = "chloride" if chloride else "sulphur_deposition"
        taken = load.chloride_mg_m2_d if chloride else load.sulphur_dioxide_mg_m2_d
        assumptions.append(Assumption(f"site.air.{field}", f"{taken.median:.3g} mg/(m2 d)", text))
    return load


def _setting_stated(site: Site) -> bool:
    industry = any(one.setting == "industrial_sulphur" for one in site.air.near)
    return industry or "setting" in site.air.model_fields_set


def _untold(site: Site, assumptions: list[Assumption], trace: Trace) -> Untold:
    air = site.air
    left = untold(
        chloride_measured=air.chloride is not None,
        sulphur_measured=air.sulphur_dioxide is not None or air.sulphur_deposition is not None,
        setting_told=_setting_stated(site),
        trace=trace,
    )
    if left.share:
        steel, zinc = (exp(untold_sd_ln(metal, left.share)) for metal in ("carbon_steel", "zinc"))
        because = (
            "sites known by their position lie farther off than law and inputs say; beyond those, at one "
            f"standard deviation, a factor of {steel:.2g} for steel and {zinc:.2g} for zinc; "
            "what is measured, or a setting that is stated, takes its part away"
        )
        assumptions.append(Assumption("site.air", "what stands near is not stated", because))
    return left
