"""Several sites beside each other: one row for each, and what they say together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.quantities import System
from longhold.documents.air_map import about
from longhold.documents.figures import figure, film, in_years, loss, share, years, years_middle

if TYPE_CHECKING:
    from longhold.assessment.air_line import AirFinding

__all__ = ["CompareRow", "compare_rows", "compared"]


@dataclass(frozen=True)
class CompareRow:
    """One site in one row."""

    key: str
    name: str
    salt: str
    zinc: tuple[str, ...]
    lasts: str
    steel: tuple[str, ...]
    category: str


def compared(findings: Sequence[AirFinding], units: System) -> str:
    """The two ends among several sites in one sentence."""
    ranked = sorted(findings, key=lambda found: found.zinc_years.p50)
    first, last = ranked[0], ranked[-1]
    others = {2: "", 3: "; the third lies between"}.get(len(findings), "; the others lie between")
    return (
        f"In the open, {film(first.zinc_um, units)} of zinc is gone {in_years(first.zinc_years)} at "
        f"{first.described.name} and {in_years(last.zinc_years)} at {last.described.name}{others}."
    )


def compare_rows(findings: Sequence[AirFinding], units: System) -> tuple[CompareRow, ...]:
    """Sites in the order given."""
    return tuple(
        CompareRow(
            f"site-{number}",
            f"{number} {found.described.name}",
            _salt(found, units),
            loss(found.site.first_year_um["zinc"], units),
            f"{years_middle(found.zinc_years)} ({years(found.zinc_years)})",
            loss(found.site.first_year_um["carbon_steel"], units),
            _likeliest(found.site.categories["zinc"]),
        )
        for number, found in enumerate(findings, start=1)
    )


def _salt(found: AirFinding, units: System) -> str:
    chloride = f"{figure(found.site.air_load.chloride_mg_m2_d.median)} mg/(m² d)"
    distance = found.site.distance_to_salt_m
    return chloride if distance is None else f"{chloride}, {about(distance, units)} to salt water"


def _likeliest(shares: Mapping[str, float]) -> str:
    named = sorted(shares.items(), key=lambda pair: -pair[1])[:2]
    return ", ".join(f"{name} {share(p)}" for name, p in named)
