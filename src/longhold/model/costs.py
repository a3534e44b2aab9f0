"""What work and money cost around the hardware, as a user states it."""

from __future__ import annotations

from pydantic import Field

from longhold.model.fields import Record, assumed

__all__ = ["Access", "Costs"]


class Access(Record):
    """How many times the labor of an easy joint one takes that is harder to reach."""

    easy: float = Field(default=1.0, ge=0.1, le=1000)
    moderate: float = Field(default=2.0, ge=0.1, le=1000)
    hard: float = Field(default=5.0, ge=0.1, le=1000)


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
    rate: float = assumed(
        0.03,
        "no real discount rate is stated: 3 % a year",
        gt=-0.5,
        lt=0.5,
        description="real discount rate a year, 0.03 for 3 %",
    )
    access: Access = assumed(
        Access(),
        "renewing takes 2 times the labor where a joint is moderately hard to reach, 5 times where hard",
        description="labor factors by how hard a joint is to reach",
    )
    visit_per_joint: float = assumed(
        0.0, "no cost of looking at a joint is stated", ge=0, le=1e9, description="cost of one inspection"
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
        0.1,
        "one end in ten is taken to go unnoticed, where a failure has a cost",
        ge=0,
        le=1,
        description="share of ends that nobody notices in time",
    )
    spare: float = assumed(
        0.05, "one piece in twenty more is bought", ge=0, le=2, description="share of pieces bought on top"
    )
    each_item: float = assumed(
        0.0,
        "no price is set on one more kind of box on the site",
        ge=0,
        le=1e9,
        description="what every item on the site costs besides its price: mistakes, storage, looking for it",
    )
    rates: dict[str, float] = Field(
        default_factory=dict, description="currency -> units of it for one unit of the currency above"
    )
