"""Parts: one piece of metal each, with its size and what its label says."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Annotated, Literal

from pydantic import Field, model_validator

from longhold.base.marks import Mark
from longhold.model.contact import ContactKind
from longhold.model.damage import DamageKind, damage_clash
from longhold.model.facing import FaceKind
from longhold.model.fields import Film, Force, Length, Record, Stress, Years, assumed
from longhold.model.sizes import PartKind, PartSize, is_fastener, read_part_size

__all__ = ["Cleaning", "Durability", "Part"]

Cleaning = Literal["none", "specified", "weekly"]
Durability = Literal["L", "M", "H", "VH"]
_SHEET_ONLY = (
    "thickness",
    "width",
    "hole_diameter",
    "holes_across",
    "clear_edge",
    "tensile_strength",
    "yield_strength",
)
_DOWEL_ONLY = ("diameter", "length", "root_diameter", "head_diameter", "thread_length", "shank", "predrilled")
_DRIVEN = ("nail", "wood_screw", "lag_screw")


def part_name(id: str, kind_words: str) -> str:
    """A part as people tell it from its likes: its kind and its id, or the id alone where that says the kind.

    >>> part_name("P1", "strap"), part_name("strap", "strap"), part_name("wood-screw-2", "wood screw")
    ('strap P1', 'strap', 'wood-screw-2')
    """
    says_kind = re.sub(r"[-_]", " ", id).casefold().startswith(kind_words.casefold())
    return id if says_kind else f"{kind_words} {id}"


class Part(Record):
    """One kind of metal part in a joint.

    A size is either a trade name (``size = "16d common"``) or measures (``diameter``, ``length``,
    ``thickness``), or a trade name with single measures that override it.
    """

    id: str = Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]*$", description="short name, unique in its joint")
    kind: PartKind = Field(description="what it is")
    label: str = Field(
        min_length=1, max_length=300, description='what the box, drawing or certificate says, such as "G185"'
    )
    size: str | None = Field(default=None, description='trade size: "16d common", "#10 x 2-1/2 in", "16 ga"')
    diameter: Length | None = Field(default=None, description="shank or body diameter")
    length: Length | None = Field(default=None, description="length under the head")
    root_diameter: Length | None = Field(default=None, description="diameter at the root of a screw's thread")
    head_diameter: Length | None = None
    thread_length: Length | None = Field(default=None, description="length of a screw's thread, tip included")
    shank: Literal["smooth", "ring"] | None = Field(
        default=None, description="shank of a nail; smooth if absent"
    )
    predrilled: bool | None = Field(
        default=None, description="whether the hole of a nail or screw is drilled first; assumed if absent"
    )
    thickness: Length | None = Field(default=None, description="bare steel thickness of a sheet part")
    width: Length | None = Field(default=None, description="width of a sheet part across its load")
    hole_diameter: Length | None = Field(default=None, description="diameter of its holes")
    holes_across: int | None = Field(
        default=None, ge=1, le=100, description="holes in one line across its width; 1 if absent"
    )
    clear_edge: Length | None = Field(
        default=None, description="from a hole's rim to the sheet's end along the load"
    )
    tensile_strength: Stress | None = Field(default=None, description="tensile strength of a sheet part")
    yield_strength: Stress | None = Field(default=None, description="yield strength of a sheet part")
    topcoat: Film | None = Field(
        default=None, description="thickness of an organic film over the label's metal"
    )
    topcoat_life: Years | None = Field(
        default=None,
        description="middle of how long the topcoat keeps water out, if known; a wide band is drawn about it",
    )
    topcoat_damaged: bool = Field(
        default=False, description="whether the topcoat is cut or scraped through: it then adds no life"
    )
    topcoat_durability: Durability | None = Field(
        default=None,
        description="durability range of a paint by ISO 12944, which is no guarantee: L up to 7 years, "
        "M 7 to 15, H 15 to 25, VH over 25; counts on faces in the air",
    )
    topcoat_shape: float | None = Field(
        default=None,
        ge=0.5,
        le=20,
        description="shape of a Weibull distribution of the topcoat's life about its middle, if known",
    )
    topcoat_bare_pct: float | None = Field(
        default=None, gt=0, le=100, description="share of the topcoat that is bare when new: holidays, nicks"
    )
    topcoat_repainted: bool = Field(
        default=False,
        description="credit paint over zinc with the printed factor: only brushed or sprayed paint of "
        "ordinary thickness on a structure that gets repainted",
    )
    damage: list[DamageKind] = Field(
        default=[], description="damage to it, and repairs; all pieces of the part are taken to have it"
    )
    contact: ContactKind | None = Field(
        default=None, description="what its faces away from the timber lie against, where that is not air"
    )
    cleaning: Cleaning = Field(
        default="none", description="how stainless is cleaned: none, specified (a written regime) or weekly"
    )
    class_short_accepted: str | None = Field(
        default=None,
        min_length=3,
        max_length=300,
        description="why stainless of a lower class than EN 1993-1-4, Annex A, asks for is accepted "
        "knowingly; listed in the result as an accepted deviation",
    )
    faces: FaceKind | None = Field(
        default=None,
        description="how its faces in outdoor air lie to rain; what is usual for its kind if absent",
    )
    isolated: bool = Field(
        default=False,
        description="whether sleeves, washers or a membrane keep its metal from that of every other part: "
        "no current then passes, as long as all of it is kept whole",
    )
    count: int = assumed(
        1, "one of it is taken to be in each joint", ge=1, le=10_000, description="how many in one joint"
    )
    elements: list[Annotated[str, Field(pattern=r"^[0-3][0-9A-Za-z_$]{21}$")]] = Field(
        default=[],
        max_length=1_000_000,
        description="GlobalIds of the elements of an IFC model that are this part: findings go back to them",
    )
    hardened: bool = Field(default=False, description="hardened steel, which hydrogen can make brittle")
    rated_load: Force | None = Field(
        default=None, description="rated load of the part when new, as read in its report"
    )
    rated_as: Literal["allowable", "characteristic", "design"] | None = Field(
        default=None,
        description="what kind of load the report tells: allowable for the NDS; characteristic or design for "
        "EN 1995, which takes one that is not stated as characteristic",
    )
    maker_advice: Literal["none", "accepts", "refuses"] = assumed(
        "none",
        "no coating advice of its maker is known: where the code puts that first, its fallback applies",
        description="whether the maker's own advice accepts this coating here; none if there is no advice",
    )

    @model_validator(mode="after")
    def _size_is_possible(self) -> Part:
        wrong = _SHEET_ONLY if self.is_fastener else _DOWEL_ONLY
        for name in wrong:
            if getattr(self, name) is not None:
                allowed = ", ".join(_DOWEL_ONLY if self.is_fastener else _SHEET_ONLY)
                raise ValueError(f"no {self.kind_words} has {name.replace('_', ' ')}; it can have {allowed}")
        if self.predrilled is not None and self.kind not in _DRIVEN:
            raise ValueError(f"no {self.kind_words} has predrilled; a nail or a screw has")
        if self.size is not None:
            try:
                read_part_size(self.kind, self.size)
            except ValueError as error:
                raise ValueError(f"size {self.size!r} {error}") from None
        elif self.is_fastener and self.diameter is None:
            raise ValueError(f"every {self.kind_words} needs a size or a diameter")
        elif not self.is_fastener and self.kind != "washer" and self.thickness is None:
            raise ValueError(f"every {self.kind_words} needs a size such as '16 ga' or a thickness")
        return self

    @model_validator(mode="after")
    def _damage_is_possible(self) -> Part:
        if clash := damage_clash(self.kind, self.damage):
            raise ValueError(f"damage {', '.join(self.damage)!r}: {clash}")
        return self

    @property
    def is_fastener(self) -> bool:
        """Whether it joins by passing into or through timber."""
        return is_fastener(self.kind)

    @property
    def kind_words(self) -> str:
        """The kind as people say it."""
        return self.kind.replace("_", " ")

    @cached_property
    def measures(self) -> PartSize:
        """The size as numbers, with measures given by the user in place of the trade table's."""
        if self.size is None:
            words = f"{self.diameter or self.thickness or 0:.3g} mm {self.kind_words}"
            base = PartSize(words, "user", Mark.VERIFIED)
        else:
            base = read_part_size(self.kind, self.size)
        given = {
            "diameter_mm": self.diameter,
            "length_mm": self.length,
            "head_diameter_mm": self.head_diameter,
            "thickness_mm": self.thickness,
        }
        values = {**base.__dict__, **{name: value for name, value in given.items() if value is not None}}
        return PartSize(**values)
