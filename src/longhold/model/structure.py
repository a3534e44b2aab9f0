"""A structure: named joints on one site, with a design life and the code that governs."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from longhold.base.tables import figures
from longhold.model.facing import RainFrom, facing_clash
from longhold.model.fields import (
    Force,
    Record,
    Years,
    assumed,
)
from longhold.model.fits import hole_clash, row_clash
from longhold.model.layout import Layout, LoadDuration
from longhold.model.parts import Part
from longhold.model.site import Site
from longhold.model.surroundings import PlaceName, places
from longhold.model.timber import Timber

__all__ = [
    "Access",
    "Application",
    "Code",
    "Joint",
    "Role",
    "StrengthStandard",
    "Structure",
    "to_place",
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
StrengthStandard = Literal["nds", "en1995"]
# steps that pydantic adds for the branches of a union; no field of ours has such a name
_BRANCH = re.compile(r"(function-[a-z]+\[.*|list\[.*|constrained-\w+|float|nullable|literal)$")
_ID = r"^[A-Za-z0-9][A-Za-z0-9_-]*$"


def _asked(what: str) -> tuple[float, str]:
    """What is asked where nobody states it, and the words in which that is told."""
    row = figures("assessment/asked.csv")[what]
    return row["value"], row["meaning"]


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
        *_asked("target_chance"),
        gt=0,
        lt=1,
        description="least chance of reaching the design life",
    )
    strength_fraction: float = assumed(
        *_asked("strength_fraction"),
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
