"""What the page and the terminal say of the air of a site: sentences and rows, before they are laid out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.marks import Mark
from longhold.base.quantities import System
from longhold.documents.air_charts import Line, loss_chart, share_bar
from longhold.documents.figures import film, in_years, loss, share, span
from longhold.documents.joint_ids import ids_words
from longhold.documents.joint_view import Chart
from longhold.documents.number_tables import NumberTable, film_rows, film_unit_words
from longhold.documents.shore_rows import AirRow
from longhold.documents.site_view import air_rows
from longhold.documents.words import metal_words, upper_first
from longhold.forecast.causes import CAUSE_WORDS
from longhold.forecast.summary import Band
from longhold.model.surroundings import places

if TYPE_CHECKING:
    from longhold.assessment.air_line import AirFinding, PlaceLoss
    from longhold.forecast.summary import Curve

__all__ = [
    "PlaceRow",
    "RankRow",
    "answer",
    "losses_in",
    "metal_charts",
    "metal_heads",
    "number_table",
    "place_rows",
    "rank_rows",
    "short",
    "site_air",
    "span_years",
    "steel_answer",
]

_METALS = ("zinc", "carbon_steel", "copper", "aluminium")
_NAMED = 4


@dataclass(frozen=True)
class PlaceRow:
    """Loss of every metal in one place; ``why_not`` where it is not computed."""

    name: str
    joints: str
    cells: tuple[tuple[str, ...], ...]
    why_not: str


@dataclass(frozen=True)
class RankRow:
    """One input and the share of the spread that it carries."""

    words: str
    share: str
    alone: str
    bar: Markup


def answer(found: AirFinding, system: System) -> str:
    """The answer in one sentence: what zinc loses in its first year, how long a known depth of it lasts.

    The depth is about that on one face of G90 sheet.
    """
    zinc, thick = found.site.first_year_um["zinc"], film(found.zinc_um, system)
    return (
        f"In the open, zinc loses {span(zinc, system)} in its first year here; "
        f"{thick} of zinc, about one face of G90 sheet, is gone {in_years(found.zinc_years)}."
    )


def steel_answer(found: AirFinding, system: System) -> str:
    """The same of bare steel, with what is left out where the air is beyond the laws."""
    steel = found.site.first_year_um["carbon_steel"]
    said = f"Bare steel loses {span(steel, system)} in its first year."
    if found.site.refer:
        return f"{said} That leaves out what Longhold does not compute: {'; '.join(found.site.refer)}."
    return said


def site_air(found: AirFinding, system: System) -> tuple[AirRow, ...]:
    """What the air is, with the hours in which metal is wet."""
    rows = [*air_rows(found.described, found.site, system)]
    how = "generated hourly weather that keeps the months"
    hours = f"{_about(found.wetness_hours)} hours a year"
    rows.append(AirRow("Time of wetness", hours, f"hours above 80 % humidity and freezing, {how}", Mark.OWN))
    if found.wet_hours is not None:
        rows.append(AirRow("Hours with rain", f"{_about(found.wet_hours)} a year", how, Mark.OWN))
    return tuple(rows)


def _about(hours: float) -> str:
    return f"about {float(f'{hours:.2g}'):,.0f}"


def short(place: str) -> str:
    """A place as a label at the end of a curve.

    >>> short("open_to_rain")
    'open to rain'
    """
    return place.replace("_", " ")


def metal_heads() -> tuple[str, ...]:
    """The metals as heads of columns, in the order of ``PlaceRow.cells``."""
    return tuple(upper_first(words) for words in map(metal_words, _METALS))


def losses_in(found: AirFinding, place: str, metal: str) -> PlaceLoss:
    """The loss of one metal in one place."""
    return next(one for one in found.losses if one.place.name == place and one.metal == metal)


def span_years(found: AirFinding) -> float:
    """Age to which the curves reach [years]."""
    return found.losses[0].curve.years[-1]


def metal_charts(found: AirFinding, system: System) -> tuple[Chart, ...]:
    """One chart for each metal with every place in it; places of equal loss share a curve."""
    return tuple(_metal_chart(found, metal, system) for metal in _METALS)


def _metal_chart(found: AirFinding, metal: str, system: System) -> Chart:
    by_curve: dict[Curve, list[str]] = {}
    for one in found.losses:
        if one.metal == metal:
            by_curve.setdefault(one.curve, []).append(short(one.place.name))
    lines = [Line(" or ".join(_alike(names)), curve) for curve, names in by_curve.items()]
    name, age = metal_words(metal), span_years(found)
    told = "; ".join(f"{line.name} {film(line.curve.p50[-1], system)}" for line in lines)
    limit = (found.zinc_um, film(found.zinc_um, system)) if metal == "zinc" else None
    return Chart(
        upper_first(name),
        loss_chart(lines, f"{name} lost at {age:g} years: {told}.", system, limit),
        "",
        tuple(number_table(f"{name}, {line.name}", line.curve, system) for line in lines),
    )


def _alike(names: Sequence[str]) -> Sequence[str]:
    """Names of places whose curves are one, as short as a label must be."""
    return ("open", "under cover") if tuple(names) == ("open to rain", "under cover") else names


def number_table(title: str, curve: Curve, system: System) -> NumberTable:
    """The numbers behind a curve."""
    return NumberTable(title, film_unit_words(system), film_rows(curve, curve.years[-1], system))


def place_rows(
    found: AirFinding, system: System, joints: Mapping[str, Sequence[str]] | None = None
) -> tuple[PlaceRow, ...]:
    """Places with the loss of each metal: those that the joints of a structure use, else every one.

    Parameters
    ----------
    found : the air
    system : units for people
    joints : ids of joints by the place they stand in
    """
    names = list(joints) if joints else list(dict.fromkeys(one.place.name for one in found.losses))
    return tuple(_place_row(found, name, system, (joints or {}).get(name, ())) for name in names)


def _place_row(found: AirFinding, name: str, system: System, ids: Sequence[str]) -> PlaceRow:
    place = places()[name]
    listed = ids_words(ids, most=_NAMED)
    why_not = place.why_not
    if name == "ground_contact":
        why_not = "metal in soil or wet wood is not in the air: assess the structure"
    if why_not:
        return PlaceRow(place.words, listed, (), why_not)
    age = span_years(found)
    cells = []
    for metal in _METALS:
        one = losses_in(found, name, metal)
        first = loss(one.first_year_um, system)
        end = Band(one.curve.p10[-1], one.curve.p50[-1], one.curve.p90[-1])
        cells.append((*first, f"{age:g} years: {loss(end, system)[0]}"))
    return PlaceRow(place.words, listed, tuple(cells), "")


def rank_rows(found: AirFinding) -> tuple[RankRow, ...]:
    """Inputs by the share of the spread that they carry, largest first."""
    return tuple(
        RankRow(
            CAUSE_WORDS[one.name],
            share(min(one.with_others, 1.0)),
            share(one.alone),
            share_bar(one.with_others),
        )
        for one in found.ranking
    )
