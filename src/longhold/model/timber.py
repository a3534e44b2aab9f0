"""One kind of timber in a structure: species, treatment, coat and size."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from longhold.model.fields import (
    Length,
    Record,
    Retention,
)
from longhold.model.sizes import read_lumber_size

__all__ = ["StrengthClass", "Timber"]

StrengthClass = Literal["C14", "C16", "C18", "C20", "C22", "C24", "C27", "C30", "D30", "GL24h"]


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
    size: str | None = Field(
        default=None, description='nominal size such as "2x8", or actual such as "45 x 195 mm"'
    )
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
