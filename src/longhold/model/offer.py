"""What can be bought: one line of a supplier's list."""

from __future__ import annotations

import datetime
from functools import cached_property

from pydantic import Field, model_validator

from longhold.base.tables import load_toml
from longhold.model.fields import Record
from longhold.model.parts import Part
from longhold.model.sizes import PartKind

__all__ = ["Offer", "parts_fit"]


class Offer(Record):
    """One thing a supplier sells, by the pack."""

    item: str = Field(min_length=1, max_length=80, description="the supplier's number of it")
    kind: PartKind = Field(description="what it is")
    size: str = Field(min_length=1, max_length=80, description='trade size: "10d common", "18 ga"')
    label: str = Field(min_length=1, max_length=300, description="what its label promises")
    price: float = Field(gt=0, le=1e9, description="price of one pack")
    currency: str = Field(pattern=r"^[A-Z]{3}$", description="ISO 4217 letters, such as USD")
    pack: int = Field(default=1, ge=1, le=1_000_000, description="pieces in one pack")
    least_packs: int = Field(default=1, ge=1, le=1_000_000, description="fewest packs sold at once")
    lead_days: int | None = Field(default=None, ge=0, le=3650, description="days until it arrives")
    price_date: datetime.date | None = Field(default=None, description="when the price held")

    @model_validator(mode="after")
    def _is_a_part(self) -> Offer:
        _ = self.part
        return self

    @cached_property
    def part(self) -> Part:
        """The offer as a part with its size read."""
        return Part(id="offer", kind=self.kind, size=self.size, label=self.label)

    def fits(self, wanted: Part) -> bool:
        """Whether it is of the kind and size that a part of a joint asks for."""
        return parts_fit(self.part, wanted)


def parts_fit(one: Part, wanted: Part) -> bool:
    """Whether a part is of the kind and size that is asked for."""
    mine, asked = one.measures, wanted.measures
    return one.kind == wanted.kind and all(
        _alike(getattr(mine, name), getattr(asked, name))
        for name in ("diameter_mm", "length_mm", "thickness_mm")
    )


def _alike(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    same = float(load_toml("trade/sizes.toml")["offer"]["same_share"])
    return abs(one - other) <= same * max(one, other)
