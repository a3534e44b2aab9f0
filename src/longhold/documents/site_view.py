"""Rows about sites: what the air is, what it does to metal, and why two sites differ."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from markupsafe import Markup

from longhold.base.quantities import System
from longhold.documents.air_map import coast_map, map_words
from longhold.documents.coast import coast_drawing
from longhold.documents.figures import figure, film, loss, quantity, share
from longhold.documents.first_in import first_in
from longhold.documents.shore_rows import AirRow, shore_rows
from longhold.documents.words import metal_words

if TYPE_CHECKING:
    from longhold.assessment.findings import Assessment, SiteFinding
    from longhold.base.trace import Section
    from longhold.model.site import Site

__all__ = ["MetalRow", "SiteView", "air_rows", "metal_rows", "position_words", "reasons", "site_view"]

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_LIKE = 1.1
_LEAST_SHARE = 0.005


@dataclass(frozen=True)
class MetalRow:
    """What the air does to one metal: the forecast, and each law with middle values put in."""

    name: str
    loss: tuple[str, ...]
    printed: str
    calibrated: str
    categories: str


@dataclass(frozen=True)
class SiteView:
    """Everything that the report says of one site."""

    name: str
    position: str
    drawing: Markup
    drawing_words: str
    air: tuple[AirRow, ...]
    metals: tuple[MetalRow, ...]
    beyond: tuple[str, ...]
    month_heads: tuple[str, ...]
    months: tuple[tuple[str, ...], ...]
    calculation: Section


def site_view(site: Site, found: SiteFinding, system: System) -> SiteView:
    """The rows of one site.

    Parameters
    ----------
    site, found : as described, and what was found
    system : units for people
    """
    chloride = found.air_load.chloride_mg_m2_d
    salt = f"{figure(chloride.median)} mg/(m² d) of chloride"
    heads, months = _months(found, system)
    if found.shore is not None and found.shore.map is not None:
        drawing = coast_map(found.shore, found.shore.map, site.name, system)
        words = map_words(found.shore, system)
    else:
        drawing, words = coast_drawing(site, salt, system), "Not to scale."
    return SiteView(
        name=site.name,
        position=position_words(site.latitude, site.longitude),
        drawing=drawing,
        drawing_words=words,
        air=air_rows(site, found, system),
        metals=metal_rows(found, system),
        beyond=tuple(first_in(line, system) for line in (*found.refer, *found.outside_validity)),
        month_heads=heads,
        months=months,
        calculation=found.calculation,
    )


def air_rows(site: Site, found: SiteFinding, system: System) -> tuple[AirRow, ...]:
    """What the air of a site is, each quantity with where it comes from."""
    rows = (*shore_rows(site, found, system), *_air(found, system))
    return tuple(replace(row, how=first_in(row.how, system)) for row in rows)


def metal_rows(found: SiteFinding, system: System) -> tuple[MetalRow, ...]:
    """First-year loss of each bare metal in the open: forecast, both laws, categories."""
    return tuple(
        MetalRow(
            metal_words(name),
            loss(band, system),
            film(found.printed_first_year_um.get(name), system),
            film(found.calibrated_first_year_um.get(name), system),
            _categories(found.categories.get(name, {})),
        )
        for name, band in found.first_year_um.items()
    )


def position_words(latitude: float | None, longitude: float | None) -> str:
    """Latitude and longitude for people.

    >>> position_words(33.97, -77.92)
    '33.970° N, 77.920° W'
    """
    if latitude is None or longitude is None:
        return "position not given"
    north, east = "N" if latitude >= 0 else "S", "E" if longitude >= 0 else "W"
    return f"{abs(latitude):.3f}° {north}, {abs(longitude):.3f}° {east}"


def reasons(main: Assessment, other: Assessment) -> list[str]:
    """Sentences on why the same joints fare differently at two sites: salt, air, wood."""
    return list(_reasons(main, other))


def _reasons(main: Assessment, other: Assessment) -> Iterator[str]:
    here, there = main.structure.site.name, other.structure.site.name
    system = main.structure.units
    one, two = main.site, other.site
    salt = one.air_load.chloride_mg_m2_d.median, two.air_load.chloride_mg_m2_d.median
    yield (
        f"Salt: the air carries {figure(salt[0])} mg/(m² d) of chloride at {here} and {figure(salt[1])} at "
        f"{there}{_times(*salt)}."
    )
    sulphur = one.air_load.sulphur_dioxide_mg_m2_d.median, two.air_load.sulphur_dioxide_mg_m2_d.median
    yield (
        f"Sulphur: {figure(sulphur[0])} mg/(m² d) of sulphur dioxide against {figure(sulphur[1])}"
        f"{_times(*sulphur)}."
    )
    yield (
        f"Air: {quantity(one.temperature_c, 'temperature_c', system, 2)} and "
        f"{one.relative_humidity_pct:.0f} % humidity on the yearly mean, against "
        f"{quantity(two.temperature_c, 'temperature_c', system, 2)} and {two.relative_humidity_pct:.0f} %."
    )
    for metal in one.first_year_um:
        if metal in {"zinc", "carbon_steel", "steel"} and metal in two.first_year_um:
            lost = one.first_year_um[metal].p50, two.first_year_um[metal].p50
            yield (
                f"Together, the open air takes {film(lost[0], system)} of bare {metal_words(metal)} in the "
                f"first year at {here} and {film(lost[1], system)} at {there}{_times(*lost)}."
            )
    yield from _rain(one, two, here, there)
    yield from _wood(main, other)


def _rain(one: SiteFinding, two: SiteFinding, here: str, there: str) -> Iterator[str]:
    if one.climate.rain_days is not None and two.climate.rain_days is not None:
        days = sum(one.climate.rain_days), sum(two.climate.rain_days)
        yield (
            f"Wood: rain wets it on {days[0]:.0f} days a year at {here} and on {days[1]:.0f} at {there}; "
            "between rains it dries to match the air."
        )


def _wood(main: Assessment, other: Assessment) -> Iterator[str]:
    """The same shank in the same wood, where one is computed at both sites."""
    there = {finding.joint.id: finding for finding in other.findings}
    for finding in main.findings:
        if finding.joint.id not in there:
            continue
        for part, twin in zip(finding.parts, there[finding.joint.id].parts, strict=True):
            for face, same in zip(part.faces, twin.faces, strict=False):
                if face.touches == "timber_embedded" and face.zinc_rate_um_yr and same.zinc_rate_um_yr:
                    rates = face.zinc_rate_um_yr.p50, same.zinc_rate_um_yr.p50
                    system = main.structure.units
                    yield (
                        f"In the wood, the {face.words} of the {part.kind_words} of {finding.joint.id} "
                        f"loses {film(rates[0], system)} of zinc in its first year, against "
                        f"{film(rates[1], system)}{_times(*rates)}: wetter and warmer wood takes more."
                    )
                    return


def _times(one: float, two: float) -> str:
    if min(one, two) <= 0:
        return ""
    ratio = max(one, two) / min(one, two)
    if ratio < _LIKE:
        return ", about the same"
    return f", {figure(ratio)} times {'less' if two < one else 'more'}"


def _air(found: SiteFinding, system: System) -> Iterator[AirRow]:
    climate, load = found.climate, found.air_load
    yield AirRow(
        "Mean temperature",
        quantity(found.temperature_c, "temperature_c", system, 2),
        climate.how,
        climate.mark,
    )
    yield AirRow("Mean humidity", f"{found.relative_humidity_pct:.0f} %", climate.how, climate.mark)
    if climate.rain_days is not None:
        yield AirRow("Days with rain", f"{sum(climate.rain_days):.0f} a year", climate.how, climate.mark)
    for name, one in (("Chloride", load.chloride_mg_m2_d), ("Sulphur dioxide", load.sulphur_dioxide_mg_m2_d)):
        yield AirRow(f"{name} deposition", f"{figure(one.median)} mg/(m² d)", one.how, one.mark)


def _categories(shares: dict[str, float]) -> str:
    told = sorted(((p, name) for name, p in shares.items() if p >= _LEAST_SHARE), reverse=True)
    return ", ".join(f"{name} {share(p)}" for p, name in told) or "not computed"


def _months(found: SiteFinding, system: System) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    climate = found.climate
    columns = [
        ("Temperature", [quantity(t, "temperature_c", system, 2) for t in climate.temperature_c]),
        ("Humidity", [f"{h:.0f} %" for h in climate.relative_humidity_pct]),
    ]
    if climate.rain_days is not None:
        columns.append(("Days with rain", [f"{d:.0f}" for d in climate.rain_days]))
    if climate.rain_mm is not None:
        columns.append(("Rain", [quantity(r, "rain_mm", system) for r in climate.rain_mm]))
    if any(len(cells) != 12 for _, cells in columns):
        return (), ()
    rows = tuple((month, *(cells[i] for _, cells in columns)) for i, month in enumerate(_MONTHS))
    return tuple(head for head, _ in columns), rows
