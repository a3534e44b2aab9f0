"""Numbers as people read them: years, chances, losses and measures in the structure's own units."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from math import floor, isfinite, log10

from longhold.base.quantities import System, show_quantity
from longhold.forecast.summary import BEYOND_YEARS, Band

__all__ = [
    "BEYOND_YEARS",
    "UM_PER_MIL",
    "calendar",
    "chance",
    "figure",
    "film",
    "film_cell",
    "film_units",
    "in_years",
    "loss",
    "lost",
    "percent",
    "quantity",
    "share",
    "span",
    "years",
    "years_middle",
]

UM_PER_MIL = 25.4
"""Micrometers in a thousandth of an inch."""


def figure(value: float, digits: int = 2) -> str:
    """A number rounded to a few significant digits, never with an exponent, whole digits kept.

    >>> figure(0.04567), figure(12.4), figure(1234.6), figure(0.0)
    ('0.046', '12', '1,235', '0')
    """
    if not isfinite(value):
        return "without limit" if value > 0 else "not known"
    if value == 0:
        return "0"
    places = _places(value, digits)
    rounded = round(value, places)
    return f"{rounded:,.{_places(rounded, digits) if rounded else places}f}".replace("-", "−")


def years(band: Band | None, beyond: float = BEYOND_YEARS) -> str:
    """A band of ages in words; an end past ``beyond`` is told as "more than" what is known.

    >>> years(Band(9.2, 12, 15.7)), years(Band(61, float("inf"), float("inf")))
    ('9 to 16 years', 'more than 61 years')
    >>> years(Band(11.9, 12, 12.2)), years(Band(0.4, 0.7, 2.8)), years(None)
    ('about 12 years', 'within 3 years, perhaps in the first', 'not computed')
    """
    if band is None:
        return "not computed"
    if band.p90 > beyond:
        return f"more than {_counted(min(band.p10, beyond))}"
    if band.p90 < 1:
        return "within a year"
    if band.p10 < 1:
        return f"within {max(band.p90, 2):,.0f} years, perhaps in the first"
    low, high = _age(band.p10), _age(band.p90)
    return f"about {_counted(band.p10)}" if low == high else f"{low} to {high} years"


def in_years(band: Band | None, beyond: float = BEYOND_YEARS) -> str:
    """The same after a verb: "ends in 9 to 16 years", "ends within 3 years, perhaps in the first".

    >>> in_years(Band(9.2, 12, 15.7)), in_years(Band(0.4, 0.7, 2.8))
    ('in 9 to 16 years', 'within 3 years, perhaps in the first')
    """
    told = years(band, beyond)
    return told if told.startswith("within") else f"in {told}"


def years_middle(band: Band | None, beyond: float = BEYOND_YEARS) -> str:
    """The middle age of a band in words.

    >>> years_middle(Band(9, 12.2, 16)), years_middle(Band(9, float("inf"), float("inf")), beyond=100)
    ('12 years', 'more than 100 years')
    """
    if band is None:
        return "not computed"
    return f"more than {_counted(beyond)}" if band.p50 > beyond else _counted(band.p50)


def calendar(band: Band | None, built: datetime.date | None, beyond: float = BEYOND_YEARS) -> str:
    """The same ages as calendar years, empty where no build date is given.

    >>> calendar(Band(9, 12, 15.7), datetime.date(2026, 4, 1))
    '2035 to 2041'
    """
    if band is None or built is None:
        return ""
    start = built.year + (built.timetuple().tm_yday - 1) / 365.25
    low = floor(start + min(band.p10, beyond))
    if band.p90 > beyond:
        return f"after {low}"
    high = floor(start + band.p90)
    return f"about {low}" if low == high else f"{low} to {high}"


def share(value: float) -> str:
    """A ratio as a per cent, with its ends told as less or more than.

    >>> share(0.413), share(0.002), share(0.999), share(1.0), share(0.0)
    ('41 %', 'under 1 %', 'over 99 %', '100 %', '0 %')
    """
    if 0 < value <= 0.005:
        return "under 1 %"
    if 0.995 <= value < 1:
        return "over 99 %"
    return f"{round(100 * value)} %"


def percent(band: Band | None) -> str:
    """A band of ratios: the middle, then the band.

    >>> percent(Band(0.25, 0.41, 0.58))
    '41 % (25 to 58 %)'
    """
    if band is None:
        return "not computed"
    low, high = share(band.p10), share(band.p90)
    if low == high:
        return share(band.p50)
    low = low.removesuffix(" %") if high.endswith("%") else low
    return f"{share(band.p50)} ({low} to {high})"


def chance(value: float | None) -> str:
    """A chance from draws; certainty is never claimed from a finite number of them.

    >>> chance(0.352), chance(1.0), chance(0.0), chance(None)
    ('35 %', 'over 99 %', 'under 1 %', 'not computed')
    """
    if value is None:
        return "not computed"
    return share(min(max(value, 1e-9), 1 - 1e-9))


def film_units(system: System) -> tuple[tuple[str, float], ...]:
    """Units in which thin layers and losses are told, that of the system first, each with how many make 1 µm.

    >>> [unit for unit, _ in film_units("us")], [unit for unit, _ in film_units("si")]
    (['mil', 'µm'], ['µm'])
    """
    metric = ("µm", 1.0)
    return (("mil", 1.0 / UM_PER_MIL), metric) if system == "us" else (metric,)


def film(value_um: float | None, system: System) -> str:
    """A thickness of a layer or of a loss; in US units with micrometers in brackets.

    >>> film(12.4, "si"), film(12.4, "us")
    ('12 µm', '0.49 mil (12 µm)')
    """
    if value_um is None:
        return "not given"
    return _bracketed(f"{figure(per_um * value_um)} {unit}" for unit, per_um in film_units(system))


def film_cell(value_um: float, system: System, digits: int = 2) -> str:
    """The same without units, for a column whose head names them.

    >>> film_cell(12.4, "us"), film_cell(12.4, "si", 3)
    ('0.49 (12)', '12.4')
    """
    if value_um == 0:
        return "0"
    return _bracketed(figure(per_um * value_um, digits) for _, per_um in film_units(system))


def loss(band: Band | None, system: System) -> tuple[str, ...]:
    """A band of depths lost, in the unit of the system first: mil before µm where it is that of the US.

    >>> loss(Band(8, 12, 17), "us")
    ('0.47 mil (0.31 to 0.67)', '12 µm (8 to 17)')
    """
    if band is None:
        return ("not computed",)
    return tuple(_spread(band, per_um, unit) for unit, per_um in film_units(system))


def lost(band: Band, there_um: float | None, system: System) -> tuple[str, ...]:
    """A band of metal lost, never more than there is.

    >>> lost(Band(209, 1098, 4584), 1146.0, "si")
    ('1,098 µm', '209 µm to all of it', 'there is 1,146 µm')
    """
    if there_um is None or band.p90 < there_um:
        return loss(band, system)
    there = f"there is {film(there_um, system)}"
    if band.p10 >= there_um:
        return "all of it", there
    if band.p50 >= there_um:
        return "all of it", f"or {film(band.p10, system)} at the low end", there
    return film(band.p50, system), f"{film(band.p10, system)} to all of it", there


def span(band: Band, system: System) -> str:
    """The two ends of a band of depths lost; in US units with micrometers in brackets.

    >>> span(Band(0.94, 2.3, 5.6), "us"), span(Band(2.0, 2.0, 2.0), "si")
    ('0.037 to 0.22 mil (0.94 to 5.6 µm)', '2.0 µm')
    """
    return _bracketed(f"{_ends(band, per_um)} {unit}" for unit, per_um in film_units(system))


def quantity(value: float | None, dimension: str, system: System, digits: int = 3) -> str:
    """A measure with its unit, or "not given"; pounds of force have newtons beside them.

    >>> quantity(3781, "force_n", "us"), quantity(3781, "force_n", "si")
    ('850 lb (3,781 N)', '3.78 kN')
    """
    if value is None:
        return "not given"
    if dimension == "force_n" and system == "us":
        pounds, newtons = (_measure(value, dimension, one, digits) for one in ("us", "si"))
        return f"{pounds} ({newtons})"
    if dimension == "force_n" and abs(value) >= 1000:
        return f"{figure(value / 1000, digits)} kN"
    return _measure(value, dimension, system, digits)


def _measure(value: float, dimension: str, system: System, digits: int) -> str:
    number, _, unit = show_quantity(value, dimension, system, digits=15).partition(" ")
    return f"{figure(float(number), digits).removesuffix('.0')} {unit}"


def _bracketed(told: Iterable[str]) -> str:
    """The first, with the others in brackets."""
    first, *others = told
    return f"{first} ({', '.join(others)})" if others else first


def _ends(band: Band, factor: float) -> str:
    low, high = figure(factor * band.p10), figure(factor * band.p90)
    return low if low == high else f"{low} to {high}"


def _counted(value: float) -> str:
    age = _age(value)
    return f"{age} {'year' if age == '1' else 'years'}"


def _age(value: float) -> str:
    return f"{value:,.0f}" if value >= 2 else f"{value:.1f}".removesuffix(".0")


def _spread(band: Band, factor: float, unit: str) -> str:
    low, middle, high = (factor * value for value in (band.p10, band.p50, band.p90))
    places = _places(middle)
    ends = [_at(value, places) if middle else figure(value) for value in (low, high)]
    spread = "" if ends[0] == ends[1] else f" ({' to '.join(ends)})"
    return f"{figure(middle)} {unit}{spread}"


def _places(value: float, digits: int = 2) -> int:
    return 9 if value == 0 or not isfinite(value) else min(max(digits - 1 - floor(log10(abs(value))), 0), 9)


def _at(value: float, places: int) -> str:
    shown = f"{value:,.{places}f}" if isfinite(value) else ""
    return shown if shown and float(shown.replace(",", "")) != 0 else figure(value)
