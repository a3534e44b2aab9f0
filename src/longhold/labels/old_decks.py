"""A deck of unknown treatment: what may be in its wood by the year it was built, and what settles it."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.base.errors import InputError, Problem
from longhold.labels.limits import limit
from longhold.labels.tag_tables import DatedTreatment, dated_treatments

__all__ = ["PossibleTreatment", "possible_treatments"]


@dataclass(frozen=True)
class PossibleTreatment:
    """One treatment that may be in the wood.

    Attributes
    ----------
    treatment : with its dates
    likely : whether the year of building falls in the years held; no date rules one out for certain
    """

    treatment: DatedTreatment
    likely: bool


def possible_treatments(built: int | None = None) -> tuple[PossibleTreatment, ...]:
    """The treatments that remain possible for a US deck, those whose dates fit first.

    Parameters
    ----------
    built : year in which it was built; None if not known, which leaves every treatment open

    Raises
    ------
    InputError : for a year outside 1850 to 2100

    >>> [one.treatment.designation for one in possible_treatments(1985) if one.likely][:2]
    ['CCA-C', 'ACZA']
    >>> possible_treatments(2010)[0].treatment.designation
    'ACQ-B'
    """
    earliest, latest = limit("tag", "earliest_built"), limit("tag", "latest_built")
    if built is not None and not earliest <= built <= latest:
        raise InputError(Problem("built", built, f"must be a year from {earliest:.0f} to {latest:.0f}."))
    found = [PossibleTreatment(one, _fits(one, built)) for one in dated_treatments()]
    return tuple(sorted(found, key=lambda one: not one.likely))


def _fits(one: DatedTreatment, built: int | None) -> bool:
    if built is None:
        return True
    late = one.last_year is not None and built > one.last_year + limit("tag", "stock_years")
    early = one.first_year is not None and built < one.first_year
    return not (late or early)
