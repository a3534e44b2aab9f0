"""A structure: named joints on one site, with a design life and the code that governs."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from longhold.model.facing import RainFrom, facing_clash
from longhold.model.fields import (
    Concentration,
    Deposition,
    Distance,
    Elevation,
    Force,
    Length,
    Record,
    Retention,
    Temperature,
    Years,
    assumed,
)
from longhold.model.fits import hole_clash, row_clash
from longhold.model.layout import Layout, LoadDuration
from longhold.model.parts import Part
from longhold.model.sizes import read_lumber_size
from longhold.model.surroundings import PlaceName, places

__all__ = [
    "Access",
    "Air",
    "Application",
    "Code",
    "Joint",
    "Nearby",
    "Role",
    "Site",
    "StrengthClass",
    "StrengthStandard",
    "Structure",
    "Timber",
    "Weather",
]

Role = Literal["structural", "other"]
Access = Literal["easy", "moderate", "hard"]
Application = Literal[
    "deck",
    "deck_ledger",
    "floor_framing",
    "wall_framing",
    "roof_framing",
    "sill_plate",
    "roof_sheathing",
    "wood_foundation",
    "other",
]
UseCategory = Literal["UC1", "UC2", "UC3A", "UC3B", "UC4A", "UC4B", "UC4C", "UC5A", "UC5B", "UC5C"]
StrengthClass = Literal["C14", "C16", "C18", "C20", "C22", "C24", "C27", "C30", "D30", "GL24h"]
StrengthStandard = Literal["nds", "en1995"]
# steps that pydantic adds for the branches of a union; no field of ours has such a name
_BRANCH = re.compile(r"(function-[a-z]+\[.*|list\[.*|constrained-\w+|float|nullable|literal)$")
_ID = r"^[A-Za-z0-9][A-Za-z0-9_-]*$"
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


class Timber(Record):
    """One kind of timber in the structure."""

    species: str = Field(min_length=1, max_length=100, description='such as "southern pine"')
    preservative: str = Field(
        min_length=1, max_length=100, description='such as "ACQ-D", "CCA-C", "MCA", "none"'
    )
    retention: Retention | None = Field(default=None, description="preservative retention on the end tag")
    use_category: (
        Literal["UC1", "UC2", "UC3A", "UC3B", "UC4A", "UC4B", "UC4C", "UC5A", "UC5B", "UC5C"] | None
    ) = Field(default=None, description="AWPA use category on the end tag; stands for the retention")
    modification: Literal["heat_treated", "acetylated"] | None = Field(
        default=None, description="modified wood: heat_treated or acetylated"
    )
    oiled: bool = Field(default=False, description="whether it is kept oiled")
    strength_class: StrengthClass | None = Field(
        default=None, description='strength class on the stamp, such as "C24": sets the density in EN 1995'
    )
    coat: Literal["paint", "stain", "water_repellent"] | None = Field(
        default=None,
        description="film kept sound on its faces: paint, stain or water_repellent; bare if absent",
    )
    size: str | None = Field(default=None, description='nominal size such as "2x8"')
    thickness: Length | None = Field(default=None, description="thickness that the fastener passes")
    width: Length | None = Field(
        default=None,
        description="across its grain, on the face that the fastener enters; by its size if absent",
    )

    @model_validator(mode="after")
    def _has_thickness(self) -> Timber:
        if self.thickness is None and self.size is None:
            raise ValueError("needs a size such as '2x8' or a thickness")
        if self.size is not None:
            try:
                read_lumber_size(self.size)
            except ValueError as error:
                raise ValueError(f"size {self.size!r} {error}") from None
        return self

    @property
    def thickness_mm(self) -> float:
        """Thickness that a fastener passes through the flat face [mm]."""
        if self.thickness is not None:
            return self.thickness
        if self.size is None:
            raise ValueError("timber without size or thickness")
        return read_lumber_size(self.size).thickness_mm

    @property
    def width_mm(self) -> float | None:
        """Width of the face that the fastener enters, across the grain [mm]; None where not stated."""
        if self.width is not None:
            return self.width
        return None if self.size is None else read_lumber_size(self.size).width_mm


class Joint(Record):
    """Timbers and parts acting together."""

    id: str = Field(
        pattern=_ID, max_length=60, description="short name, unique in the structure; results key on it"
    )
    name: str = Field(min_length=1, max_length=200)
    place: PlaceName
    main: str = Field(description="name of the timber that holds the point of the fastener")
    side: str | None = Field(default=None, description="name of the timber under the head, if there is one")
    parts: list[Part] = Field(min_length=1, max_length=50)
    quantity: int = Field(default=1, ge=1, le=10_000_000, description="how many such joints")
    role: Role = assumed(
        "structural", "the joint is taken as structural: strength decides", description="structural, or other"
    )
    access: Access = assumed("moderate", "how hard the joint is to reach and replace is not stated")
    application: Application | None = Field(default=None, description="overrides the structure's application")
    demand: Force | None = Field(default=None, description="lateral load on one joint at the design level")
    demand_withdrawal: Force | None = Field(
        default=None, description="load on one joint at the design level that pulls its fasteners out"
    )
    load_duration: LoadDuration | None = Field(
        default=None,
        description="of the load that decides, as the NDS or EN 1995 classes it; if absent ten_years, by "
        "EN 1995 medium_term",
    )
    layout: Layout | None = Field(default=None, description="rows, distances and service of the fasteners")
    rain_from: RainFrom | None = Field(
        default=None,
        description="whether the metal enters a level face, on which rain falls, or an upright one",
    )
    main_end_grain: bool = assumed(
        False,
        "the metal is taken to meet a long face of the main timber, not its end grain",
        description="whether the metal enters end grain of the main timber, as at the end of a joist",
    )
    double_shear: bool = assumed(False, "the fastener is taken to cross one plane of shear")
    load_to_grain_main_deg: float = assumed(
        0.0, "load along the grain of the main timber", ge=0, le=90, description="angle of load to grain"
    )
    load_to_grain_side_deg: float = assumed(0.0, "load along the grain of the side timber", ge=0, le=90)

    @model_validator(mode="after")
    def _part_ids_differ(self) -> Joint:
        if twice := _repeated(part.id for part in self.parts):
            raise ValueError(f"part id {twice!r} stands twice in the joint")
        return self

    @model_validator(mode="after")
    def _parts_fit(self) -> Joint:
        if clash := row_clash(self.layout, self.parts) or hole_clash(self.parts):
            raise ValueError(clash)
        return self

    @property
    def main_angle_deg(self) -> float:
        """Angle of the load to the grain of the main timber [deg]; across it in end grain."""
        return 90.0 if self.main_end_grain else self.load_to_grain_main_deg

    @model_validator(mode="after")
    def _end_grain_is_crossed(self) -> Joint:
        if not self.main_end_grain:
            return self
        angle = self.load_to_grain_main_deg
        if "load_to_grain_main_deg" in self.model_fields_set and angle != 90.0:
            raise ValueError(
                f"load_to_grain_main_deg is {angle:g}, but metal in end grain is loaded across the grain: "
                "leave it out, or leave main_end_grain out"
            )
        if through := [part for part in self.parts if part.kind in ("bolt", "dowel")]:
            raise ValueError(
                f"part {through[0].id!r} is a {through[0].kind}, which passes through long faces: "
                "leave main_end_grain out"
            )
        return self

    @model_validator(mode="after")
    def _faces_fit(self) -> Joint:
        for part in self.parts:
            if part.faces is None:
                continue
            if clash := facing_clash(part.kind, part.faces, places()[self.place], self.rain_from):
                raise ValueError(f'part {part.id!r} has faces = "{part.faces}": {clash}')
        return self


class Code(Record):
    """The code that governs, by edition: never guessed from the date."""

    pack: str = Field(
        min_length=1, description='rule pack, such as "us_irc", or the file of your own, such as "town.toml"'
    )
    edition: str = Field(min_length=1, description='edition, such as "2021"')
    rules: str = Field(
        default="",
        max_length=2_000_000,
        description="text of a pack of your own; filled in from the file that pack names",
    )


class Structure(Record):
    """A whole structure on one site."""

    name: str = Field(min_length=1, max_length=200)
    units: Literal["us", "si"] = Field(default="us", description="units of what is written back")
    design_life: Years
    build_date: datetime.date | None = Field(default=None, description="when it was or will be built")
    code: Code
    application: Application = assumed(
        "deck", "the structure is taken as a deck", description="what the structure is, for the code"
    )
    target_chance: float = assumed(
        0.9,
        "asked chance of reaching the design life",
        gt=0,
        lt=1,
        description="least chance of reaching the design life",
    )
    strength_fraction: float = assumed(
        0.80,
        "without a demand, strength ends at this fraction of new",
        gt=0,
        lt=1,
        description="fraction of new strength at which strength ends, where no demand is given",
    )
    strength_standard: StrengthStandard | None = Field(
        default=None,
        description="whose equations give the strength of fasteners: nds, or en1995; by the code if absent",
    )
    note: str = Field(default="", max_length=2000)
    site: Site
    timbers: dict[Annotated[str, Field(pattern=_ID)], Timber] = Field(min_length=1)
    joints: list[Joint] = Field(min_length=1, max_length=100_000)

    @model_validator(mode="after")
    def _names_fit(self) -> Structure:
        if twice := _repeated(joint.id for joint in self.joints):
            raise ValueError(f"joint id {twice!r} stands twice")
        for joint in self.joints:
            for role in ("main", "side"):
                name = getattr(joint, role)
                if name is not None and name not in self.timbers:
                    known = ", ".join(self.timbers)
                    raise ValueError(
                        f"joint {joint.id!r}: {role} timber {name!r} is not described; known are {known}"
                    )
        return self

    def at(self, site: Site) -> Structure:
        """The same structure on another site."""
        return self.model_copy(update={"site": site})


def _repeated(ids: Iterable[str]) -> str | None:
    seen: set[str] = set()
    for one in ids:
        if one in seen:
            return one
        seen.add(one)
    return None


def to_place(path: Iterable[Any]) -> str:
    """A validation path as people read it: ``joints[2].parts[0].size``."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step}]"
        elif not _BRANCH.match(str(step)):
            text += f".{step}" if text else str(step)
    return text
