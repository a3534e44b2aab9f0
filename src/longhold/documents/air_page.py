"""The page on the air of a site, or of up to ten sites compared: one HTML file that stands alone."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from longhold.base.errors import InputError, Problem
from longhold.base.quantities import System
from longhold.documents.air_charts import Line, loss_chart
from longhold.documents.air_compare import compare_rows, compared
from longhold.documents.air_view import (
    PlaceRow,
    RankRow,
    answer,
    losses_in,
    metal_charts,
    metal_heads,
    number_table,
    place_rows,
    rank_rows,
    site_air,
    span_years,
    steel_answer,
)
from longhold.documents.figures import film, film_units
from longhold.documents.joint_view import Calculation, Chart
from longhold.documents.page import page
from longhold.documents.site_view import SiteView, site_view
from longhold.documents.words import CAUTIONS, metal_words

if TYPE_CHECKING:
    from longhold.assessment.air_line import AirFinding
    from longhold.assessment.findings import Assumption

__all__ = ["MOST_SITES", "air_html"]

MOST_SITES = 10
"""More would not be told apart in one chart."""

_FOOT_LETTERS = 90
_OF_AIR_TOO = ("A forecast", "Every band", "Stainless")
_AIR_CAUTIONS = (
    "Bare metal in the air: metal in or on treated wood can go faster, and a coating of zinc goes first.",
    "Splash, pools, salted roads, stores of fertilizer and industry close by count only where they are told.",
    "Near salt water, metal under cover often goes faster than in the rain, which rinses it.",
)


@dataclass(frozen=True)
class AirView:
    """One site as it is laid out."""

    number: int
    key: str
    name: str
    of_structure: bool
    answer: str
    steel: str
    narrows_most: str
    site: SiteView
    charts: tuple[Chart, ...]
    places: tuple[PlaceRow, ...]
    ranking: tuple[RankRow, ...]
    zinc: str
    calculations: tuple[Calculation, ...]
    assumptions: tuple[Assumption, ...]


def air_html(
    findings: Sequence[AirFinding],
    as_of: datetime.date,
    units: System,
    joints: Mapping[str, Sequence[str]] | None = None,
) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    findings : of one site, or of up to ten to compare
    as_of : date that the page carries
    units : for people
    joints : ids of a structure's joints by the place they stand in; None lists every place

    Raises
    ------
    InputError : for more than ten sites
    ValueError : where there is no finding, or their curves end at different ages
    """
    if not findings:
        raise ValueError("a page needs at least one finding")
    if len({span_years(found) for found in findings}) > 1:
        raise ValueError("curves that are compared must end at one age")
    if len(findings) > MOST_SITES:
        allowed = f"one page compares up to {MOST_SITES}."
        raise InputError(Problem("sites", len(findings), allowed, "Leave some out."))
    views = [
        _view(found, units, joints if number == 1 else None, number)
        for number, found in enumerate(findings, start=1)
    ]
    main, several = findings[0], len(findings) > 1
    return page(
        "air.html.j2",
        _foot(findings, as_of),
        [found.sources for found in findings],
        units,
        main=main,
        as_of=as_of,
        built=None,
        title=_title(findings),
        lede=compared(findings, units) if several else views[0].answer,
        views=views,
        several=several,
        comparison=compare_rows(findings, units) if several else (),
        compare_charts=_compare_charts(findings, units) if several else (),
        metal_heads=metal_heads(),
        span=span_years(main),
        unit=film_units(units)[0][0],
        cautions=_cautions(),
    )


def _view(
    found: AirFinding, units: System, joints: Mapping[str, Sequence[str]] | None, number: int
) -> AirView:
    added = [Calculation(one.calculation.title, one.calculation) for one in found.losses]
    return AirView(
        number=number,
        key=f"site-{number}",
        name=found.described.name,
        of_structure=joints is not None,
        answer=answer(found, units),
        steel=steel_answer(found, units),
        narrows_most=found.narrows_most,
        site=replace(site_view(found.described, found.site, units), air=site_air(found, units)),
        charts=metal_charts(found, units),
        places=place_rows(found, units, joints),
        ranking=rank_rows(found),
        zinc=film(found.zinc_um, units),
        calculations=(Calculation("The air, and bare metal in the open", found.site.calculation), *added),
        assumptions=found.assumptions,
    )


def _title(findings: Sequence[AirFinding]) -> str:
    if len(findings) == 1:
        return findings[0].described.name
    return f"The air at {len(findings)} places"


def _foot(findings: Sequence[AirFinding], as_of: datetime.date) -> str:
    main, name = findings[0], _title(findings)
    name = name if len(name) <= _FOOT_LETTERS else f"{name[:_FOOT_LETTERS]}…"
    return f"{name} · {as_of.isoformat()} · Longhold {main.version} · seed {main.seed}"


def _cautions() -> tuple[str, ...]:
    shared = [line for line in CAUTIONS if line.startswith(_OF_AIR_TOO)]
    return (*shared[:1], *_AIR_CAUTIONS, *shared[1:])


def _compare_charts(findings: Sequence[AirFinding], units: System) -> tuple[Chart, ...]:
    return tuple(_compare_chart(findings, metal, units) for metal in ("zinc", "carbon_steel"))


def _compare_chart(findings: Sequence[AirFinding], metal: str, units: System) -> Chart:
    curves = [losses_in(found, "open_to_rain", metal).curve for found in findings]
    names = [f"{number} {found.described.name}" for number, found in enumerate(findings, start=1)]
    lines = [Line(name, curve) for name, curve in zip(names, curves, strict=True)]
    told = "; ".join(f"{line.name} {film(line.curve.p50[-1], units)}" for line in lines)
    words = f"{metal_words(metal)} lost in the open at {curves[0].years[-1]:g} years: {told}."
    tables = tuple(number_table(line.name, line.curve, units) for line in lines)
    return Chart(
        f"{metal_words(metal).capitalize()} in the open", loss_chart(lines, words, units), "", tables
    )
