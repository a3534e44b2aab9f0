"""The air of a site as plain rows, for a terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.base.quantities import System
from longhold.documents.air_compare import compare_rows
from longhold.documents.air_view import (
    answer,
    metal_heads,
    place_rows,
    rank_rows,
    site_air,
    span_years,
    steel_answer,
)
from longhold.documents.figures import film
from longhold.documents.first_in import first_in
from longhold.documents.site_view import metal_rows, position_words
from longhold.documents.words import upper_first

if TYPE_CHECKING:
    from longhold.assessment.air_line import AirFinding

__all__ = ["AirTable", "Table", "air_tables", "compare_table"]


@dataclass(frozen=True)
class Table:
    """Rows under heads; the first two cells of a row belong together."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class AirTable:
    """One site: its answer in sentences, and tables."""

    name: str
    position: str
    says: tuple[str, ...]
    tables: tuple[Table, ...]
    measure: str
    ranking: tuple[tuple[str, str], ...]
    assumed: tuple[tuple[str, str], ...]


def air_tables(
    found: AirFinding, system: System, joints: Mapping[str, Sequence[str]] | None = None
) -> AirTable:
    """Everything that the terminal says of one site.

    Parameters
    ----------
    found : the air
    system : units for people
    joints : ids of a structure's joints by the place they stand in; None lists every place
    """
    return AirTable(
        name=found.described.name,
        position=position_words(found.described.latitude, found.described.longitude),
        says=(
            answer(found, system),
            steel_answer(found, system),
            *(_sentence(first_in(line, system)) for line in found.site.outside_validity),
        ),
        tables=(_air(found, system), _metals(found, system), _places(found, system, joints)),
        measure=found.narrows_most,
        ranking=tuple((row.share, row.words) for row in rank_rows(found)),
        assumed=tuple(
            (one.where, first_in(f"{one.value}: {one.because}", system)) for one in found.assumptions
        ),
    )


def compare_table(findings: Sequence[AirFinding], system: System) -> Table:
    """One row for each site."""
    return Table(
        "Bare metal in the open",
        (
            "Place",
            f"{film(findings[0].zinc_um, system)} of zinc lasts",
            "Zinc, first year",
            "Steel, first year",
            "Salt in the air",
            "Category for zinc",
        ),
        tuple(
            (row.name, row.lasts, row.zinc[0], row.steel[0], row.salt, row.category)
            for row in compare_rows(findings, system)
        ),
    )


def _air(found: AirFinding, system: System) -> Table:
    rows = [
        (row.name, row.value, f"{row.how}{_rests(row.mark.in_words if row.mark else '')}")
        for row in site_air(found, system)
    ]
    return Table("What the air is", ("Quantity", "Value", "From"), tuple(rows))


def _rests(words: str) -> str:
    return f"; rests on {words}" if words else ""


def _metals(found: AirFinding, system: System) -> Table:
    heads = ("Metal", "First year in the open", "As printed", "Moved to measured sites", "ISO 9223 category")
    rows = [
        (row.name.capitalize(), "; ".join(row.loss), row.printed, row.calibrated, row.categories)
        for row in metal_rows(found.site, system)
    ]
    return Table("What it does to bare metal", heads, tuple(rows))


def _places(found: AirFinding, system: System, joints: Mapping[str, Sequence[str]] | None) -> Table:
    first, *others = metal_heads()
    rows: list[tuple[str, ...]] = []
    for row in place_rows(found, system, joints):
        name = f"{row.name} ({row.joints})" if row.joints else row.name
        if row.why_not:
            rows.append((name, f"not computed: {row.why_not}", *("" for _ in others)))
        else:
            zinc, *rest = ("; ".join((cell[0], cell[-1])) for cell in row.cells)
            rows.append((name, f"{first.lower()} {zinc}", *rest))
    title = f"Place by place: depth lost in the first year, and at {span_years(found):g} years"
    return Table(title, ("Place", "", *others), tuple(rows))


def _sentence(text: str) -> str:
    return upper_first(text) + ("" if text.endswith(".") else ".")
