"""How the fasteners of a joint stand, where that changes what they carry."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from longhold.model.fields import Length, Record, Temperature

__all__ = ["Layout", "LoadDuration"]

LoadDuration = Literal[
    "permanent",
    "ten_years",
    "two_months",
    "seven_days",
    "ten_minutes",
    "long_term",
    "medium_term",
    "short_term",
    "instantaneous",
]


class Layout(Record):
    """Rows, distances and service of a joint's fasteners; what is absent is assumed, and listed."""

    in_row: int | None = Field(
        default=None, ge=1, le=1000, description="fasteners in one row along the load; 1 if absent"
    )
    row_spacing: Length | None = Field(default=None, description="center to center along a row")
    end_distance: Length | None = Field(
        default=None, description="from the last fastener to the timber's end"
    )
    edge_distance: Length | None = Field(default=None, description="to the edge of the timber under load")
    toe_nailed: bool = Field(default=False, description="whether nails are driven at a slant")
    diaphragm: bool = Field(default=False, description="whether nails fasten a diaphragm")
    wet_when_made: bool | None = Field(
        default=None,
        description="whether the wood held more than 19 % moisture when it was put together",
    )
    warmest: Temperature | None = Field(
        default=None, description="temperature that the wood holds for long, where it is above 100 F (38 C)"
    )
