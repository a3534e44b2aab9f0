"""What work and money cost around the hardware, as a user states it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.model.fields import Record, assumed

__all__ = ["Access", "Costs"]


@once
def _defaults() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"name": str, "value": number, "because": str}
    return {row["name"]: row for row in load_csv("trade/life_cost.csv", columns, key=("name",))}


def _default(name: str) -> float:
    return float(_defaults()[name]["value"])


def _because(name: str) -> str:
    return str(_defaults()[name]["because"])


class Access(Record):
    """How many times the labor of an easy joint one takes that is harder to reach."""

    easy: float = Field(default=_default("access_easy"), ge=0.1, le=1000)
    moderate: float = Field(default=_default("access_moderate"), ge=0.1, le=1000)
    hard: float = Field(default=_default("access_hard"), ge=0.1, le=1000)


class Costs(Record):
    """Costs in one currency, in money of the day the offers were made."""

    currency: str = Field(pattern=r"^[A-Z]{3}$", description="ISO 4217 letters, such as USD")
    labor_per_joint: float = Field(
        ge=0, le=1e9, description="labor of taking apart and renewing a joint that is easy to reach"
    )
    fixing_per_joint: float = assumed(
        0.0,
        "no labor of fixing a joint for the first time is stated: the choice does not hang on it",
        ge=0,
        le=1e9,
        description="labor of fixing a joint for the first time where it is easy to reach",
    )
    material_per_joint: float = assumed(
        0.0,
        "no price of hardware is stated: renewing and strengthening count as labor alone",
        ge=0,
        le=1e9,
        description="hardware and fasteners that renewing a joint that stands takes; a choice has its offers",
    )
    rate: float = assumed(
        _default("rate"),
        _because("rate"),
        gt=-0.5,
        lt=0.5,
        description="real discount rate a year, 0.03 for 3 %",
    )
    access: Access = assumed(
        Access(),
        _because("access_hard"),
        description="labor factors by how hard a joint is to reach",
    )
    visit_per_joint: float = assumed(
        0.0,
        "no cost of looking at a joint is stated",
        ge=0,
        le=1e9,
        description="cost of looking at one joint, all its parts, at an inspection",
    )
    visit_most_alike: int = assumed(
        int(_default("visit_most_alike")),
        _because("visit_most_alike"),
        ge=1,
        le=10**6,
        description="of the joints on one line of the structure, how many an inspection looks at closely",
    )
    visit_every_years: float = assumed(
        0.0, "no inspections are counted", ge=0, le=100, description="years between inspections; 0 for none"
    )
    failure: float = assumed(
        0.0,
        "no cost of a failure is stated: none is counted",
        ge=0,
        le=1e12,
        description="cost of an end that nobody noticed in time",
    )
    unnoticed: float = assumed(
        _default("unnoticed"),
        _because("unnoticed"),
        ge=0,
        le=1,
        description="share of ends that nobody notices in time",
    )
    spare: float = assumed(
        _default("spare"), _because("spare"), ge=0, le=2, description="share of pieces bought on top"
    )
    each_item: float = assumed(
        0.0,
        "no price is set on one more kind of box on the site",
        ge=0,
        le=1e9,
        description="what every item on the site costs besides its price: mistakes, storage, looking for it",
    )
    invented: bool = Field(
        default=False, description="whether prices and costs are made up, as those of a demonstration are"
    )
    note: str = Field(
        default="",
        max_length=2000,
        description="what to know of these prices and costs; stands on every paper",
    )
    rates: dict[str, Annotated[float, Field(gt=0, le=1e9)]] = Field(
        default_factory=dict, description="currency -> units of it for one unit of the currency above"
    )
