"""Where a structure stands: its climate, its air and what is near."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from longhold.model.fields import (
    Concentration,
    Deposition,
    Distance,
    Elevation,
    Record,
    Temperature,
    assumed,
)

__all__ = ["Air", "Nearby", "Site", "Weather"]

_Percent = Annotated[float, Field(ge=0, le=100)]
_Days = Annotated[float, Field(ge=0, le=31)]
_RainMm = Annotated[float, Field(ge=0, le=5_000)]


class Weather(Record):
    """Climate of the site: a station of the built-in table, or monthly or yearly values."""

    station: str | None = Field(default=None, description="name of a station in the built-in table")
    file: str | None = Field(
        default=None, description="weather file, EPW, TMY or monthly CSV, relative to this file"
    )
    how: str = Field(default="", max_length=1500, description="where the values come from")
    temperature: list[Temperature] | Temperature | None = Field(
        default=None, description="mean air temperature: twelve months from January, or one yearly mean"
    )
    relative_humidity_pct: list[_Percent] | _Percent | None = None
    rain_days: list[_Days] | None = Field(default=None, description="days with rain, each month")
    rain_mm: list[_RainMm] | None = Field(default=None, description="rain each month [mm]")

    @model_validator(mode="after")
    def _is_one_climate(self) -> Weather:
        if self.file is not None:
            raise ValueError("a weather file is read only while a structure or site file is loaded")
        values = ("temperature", "relative_humidity_pct", "rain_days", "rain_mm")
        given = [name for name in values if getattr(self, name) is not None]
        if self.station is not None and given:
            raise ValueError(f"give either a station or values, not both (station and {', '.join(given)})")
        if self.station is None and not {"temperature", "relative_humidity_pct"} <= set(given):
            raise ValueError("needs a station, or temperature and relative_humidity_pct")
        for name in given:
            value = getattr(self, name)
            if isinstance(value, list) and len(value) != 12:
                raise ValueError(f"{name} has {len(value)} values; give 12, from January, or one yearly mean")
        if isinstance(self.temperature, list) != isinstance(self.relative_humidity_pct, list):
            raise ValueError(
                "give temperature and relative_humidity_pct both by month or both as yearly means"
            )
        return self


class Nearby(Record):
    """Something near the structure that changes its air."""

    setting: Literal[
        "salted_road",
        "salt_water_splash",
        "outdoor_pool_edge",
        "indoor_pool_hall",
        "fertiliser_or_manure_store",
        "industrial_sulphur",
    ]
    distance: Distance | None = Field(default=None, description="from the structure to it")


class Air(Record):
    """What the air carries. A measured value overrides an estimate."""

    chloride: Deposition | None = Field(default=None, description="measured chloride deposition")
    chloride_method: Literal["wet_candle", "dry_plate", "gauze"] = assumed(
        "wet_candle", "a measured chloride is taken as that of a wet candle"
    )
    onshore_wind_share: float | None = Field(
        default=None, ge=0, le=1, description="share of hours with wind from the water, if known"
    )
    near: list[Nearby] = Field(default=[], description="what stands near: a salted road, industry, a store")
    sulphur_dioxide: Concentration | None = Field(default=None, description="measured yearly mean in air")
    sulphur_deposition: Deposition | None = Field(default=None, description="measured deposition")
    setting: Literal["rural", "urban", "industrial"] = assumed(
        "rural",
        "sulphur dioxide is estimated for rural air, the cleanest setting; its band is that of any setting",
    )

    @model_validator(mode="after")
    def _sulphur_is_told_once(self) -> Air:
        if self.sulphur_dioxide is not None and self.sulphur_deposition is not None:
            raise ValueError("give sulphur_dioxide or sulphur_deposition, not both")
        return self


class Site(Record):
    """Where the structure stands."""

    name: str = Field(min_length=1, max_length=200)
    jurisdiction: str = Field(default="US", min_length=1, description="country whose code governs")
    latitude: float | None = Field(default=None, ge=-90, le=90)
    longitude: float | None = Field(default=None, ge=-180, le=180)
    elevation: Elevation | None = Field(default=None, description="height above the sea")
    distance_to_salt_water: Distance | None = Field(
        default=None,
        description="to the nearest shore of the sea, a salt bay or a tidal estuary; found from the position",
    )
    shore: Literal["surf", "sheltered", "not_told"] = assumed(
        "not_told", "whether surf breaks at the nearest shore is not stated; the band covers both"
    )
    climate: Weather | None = Field(
        default=None, description="taken from world maps at the position if absent"
    )
    air: Air = Air()

    @model_validator(mode="after")
    def _is_somewhere(self) -> Site:
        if (self.latitude is None) != (self.longitude is None):
            raise ValueError("give latitude and longitude together")
        if self.latitude is not None:
            return self
        if self.climate is None:
            raise ValueError("needs a climate, or latitude and longitude")
        if self.distance_to_salt_water is None and self.air.chloride is None:
            raise ValueError(
                "needs distance_to_salt_water, a measured chloride under air, or latitude and longitude"
            )
        return self

    @property
    def position(self) -> tuple[float, float]:
        """Latitude and longitude [deg].

        Raises
        ------
        ValueError : where the site has none
        """
        if self.latitude is None or self.longitude is None:
            raise ValueError("a site without a position")
        return self.latitude, self.longitude
