"""Quantities as people write them, in and out.

A quantity enters with its unit and leaves with a unit; between, every number is a float in the one
unit of its dimension (see ``DIMENSIONS``) and its name carries that unit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import floor, log10, trunc
from typing import TYPE_CHECKING, Any, Literal

from longhold.base.recent import once

if TYPE_CHECKING:
    import pint

__all__ = [
    "DIMENSIONS",
    "N_PER_LB",
    "Dimension",
    "System",
    "parse_quantity",
    "plain_digits",
    "show_force",
    "show_quantity",
    "write_quantity",
]

System = Literal["us", "si"]

N_PER_LB = 4.4482216152605
"""Newtons in a pound of force."""


@dataclass(frozen=True)
class Dimension:
    """One physical dimension: its unit inside, its units for people, and its sensible range.

    Attributes
    ----------
    inside : unit in which numbers live inside Longhold
    us, si : unit for output in each system
    least, most : bounds beyond which a value is refused as absurd, in the inside unit
    examples : how people may write it
    """

    inside: str
    us: str
    si: str
    least: float
    most: float
    examples: str


DIMENSIONS: dict[str, Dimension] = {
    "length_mm": Dimension("mm", "in", "mm", 0.0, 100_000.0, '"0.148 in", "3.76 mm", "1-1/2 in"'),
    "film_um": Dimension("um", "thou", "um", 0.0, 5_000.0, '"0.4 mil", "10 um"'),
    "distance_m": Dimension("m", "ft", "m", 0.0, 2.0e7, '"45 ft", "300 m", "2 miles"'),
    "elevation_m": Dimension("m", "ft", "m", -450.0, 9_000.0, '"1200 ft", "-2 m"'),
    "coating_g_m2": Dimension("g/m**2", "oz/ft**2", "g/m**2", 0.0, 5_000.0, '"1.85 oz/ft2", "275 g/m2"'),
    "retention_kg_m3": Dimension("kg/m**3", "lb/ft**3", "kg/m**3", 0.0, 400.0, '"0.15 pcf", "2.4 kg/m3"'),
    "density_kg_m3": Dimension("kg/m**3", "lb/ft**3", "kg/m**3", 50.0, 1_500.0, '"500 kg/m3", "31 lb/ft3"'),
    "force_n": Dimension("N", "lbf", "N", 0.0, 1.0e7, '"400 lb", "1.8 kN"'),
    "stress_mpa": Dimension("MPa", "psi", "MPa", 0.0, 3_000.0, '"45 ksi", "310 MPa"'),
    "time_years": Dimension("year", "year", "year", 0.0, 300.0, '"50 years"'),
    "temperature_c": Dimension("degC", "degF", "degC", -90.0, 90.0, '"68 F", "20 degC"'),
    "deposition_mg_m2_d": Dimension(
        "mg/m**2/day", "mg/m**2/day", "mg/m**2/day", 0.0, 10_000.0, '"60 mg/m2/d"'
    ),
    "concentration_ug_m3": Dimension("ug/m**3", "ug/m**3", "ug/m**3", 0.0, 5_000.0, '"5 ug/m3"'),
    "rain_mm": Dimension("mm", "in", "mm", 0.0, 30_000.0, '"80 mm", "3.1 in"'),
}

_MIXED = re.compile(
    r"^\s*(?:(?P<whole>\d{1,9})[\s-]+)?(?P<num>\d{1,9})\s*/\s*(?P<den>\d{1,9})\s*(?P<unit>[^\d\s/.,].*)$"
)
_PLAIN = re.compile(r"^\s*(?P<number>[+-]?\d+(?:,\d{3})*(?:\.\d*)?|[+-]?\.\d+)\s*(?P<unit>[^\d\s.,/].*)$")
_LONGEST = 400  # the least float with all its digits and a unit
# what reads units would also compute: 9**9**9 keeps it busy for ever
_FACTOR = r"°?[^\W\d]+(?:\*\*[+-]?[1-9])?"
_UNIT = re.compile(rf"{_FACTOR}(?:(?:\s*[*/]\s*|\s+){_FACTOR}){{0,3}}")
_UNIT_WORDS = {
    '"': "inch",
    "in.": "inch",
    "'": "foot",
    "ft.": "foot",
    "f": "degF",
    "degf": "degF",
    "°f": "degF",
    "c": "degC",
    "degc": "degC",
    "°c": "degC",
    "lb": "lbf",
    "lbs": "lbf",
    "pcf": "lb/ft**3",
    "um": "um",
    "µm": "um",
    "μm": "um",
    "micron": "um",
    "microns": "um",
    "mil": "thou",
    "mils": "thou",
    "ksi": "ksi",
    "yr": "year",
    "yrs": "year",
}


def parse_quantity(text: str, dimension: str, *, positive: bool = False) -> float:
    """A quantity with its unit, as a number in the inside unit of the dimension.

    Fractions are read as people write them. A bare number is refused: the unit is part of the value.
    ``positive`` refuses zero.

    >>> round(parse_quantity("1/2 in", "length_mm"), 3)
    12.7
    >>> round(parse_quantity("1.85 oz/ft2", "coating_g_m2"), 1)
    564.5
    >>> parse_quantity("3.76", "length_mm")
    Traceback (most recent call last):
    ...
    ValueError: needs a unit, such as "0.148 in", "3.76 mm", "1-1/2 in"
    """
    rule = DIMENSIONS[dimension]
    if not isinstance(text, str):
        raise ValueError(f"needs a number with its unit in quotes, such as {rule.examples}")
    return _parsed(text, dimension, positive)


@lru_cache(maxsize=4096)  # a large structure repeats few texts, and pint is slow
def _parsed(text: str, dimension: str, positive: bool) -> float:
    rule = DIMENSIONS[dimension]
    if len(text) > _LONGEST:
        raise ValueError(f"is longer than a quantity can be; write for example {rule.examples}")
    magnitude, unit = _split(text, rule)
    value = _convert(magnitude, unit, rule)
    if positive and not 0.0 < value <= rule.most:
        raise ValueError(f"must be more than zero and at most {_bound(rule.most, unit, rule)}")
    if not rule.least <= value <= rule.most:
        raise ValueError(
            f"must lie between {_bound(rule.least, unit, rule)} and {_bound(rule.most, unit, rule)}"
        )
    return value


def show_quantity(value: float, dimension: str, system: System, digits: int = 3) -> str:
    """A number in the inside unit, written with the unit of a system.

    >>> show_quantity(12.7, "length_mm", "us"), show_quantity(310.0, "stress_mpa", "us")
    ('0.5 in', '45,000 psi')
    """
    rule = DIMENSIONS[dimension]
    unit = rule.us if system == "us" else rule.si
    shown = (
        value if unit == rule.inside else float(_registry().Quantity(value, rule.inside).to(unit).magnitude)
    )
    rounded = f"{shown:.{digits}g}"
    number = f"{float(rounded):,.0f}" if "e+" in rounded else rounded
    return f"{number} {_PRETTY.get(unit, unit)}"


def show_force(value_n: float, system: System, digits: int = 3) -> str:
    """A force; pounds always with newtons beside them.

    >>> show_force(1779.3, "us"), show_force(1779.3, "si"), show_force(120.0, "us")
    ('400 lb (1,779 N)', '1,780 N', '27 lb (120 N)')
    """
    newtons = show_quantity(value_n, "force_n", "si", digits)
    if system == "si":
        return newtons
    beside = f"{value_n:,.0f} N" if value_n >= 10.0**digits else newtons
    return f"{show_quantity(value_n, 'force_n', 'us', digits)} ({beside})"


@lru_cache(maxsize=4096)  # a large structure repeats few values, and pint is slow
def write_quantity(value: float, dimension: str, system: System) -> str:
    """A number in the inside unit as a person would type it, which ``parse_quantity`` reads back exactly.

    In the unit that needs the fewest digits: one of the system, or the inside unit.

    >>> write_quantity(parse_quantity("250 miles", "distance_m"), "distance_m", "us")
    '250 miles'
    >>> write_quantity(38.1, "length_mm", "us")
    '38.1 mm'
    """
    rule = DIMENSIONS[dimension]
    own = rule.us if system == "us" else rule.si
    found = [
        text
        for unit in (own, *_LARGER.get((dimension, system), ()))
        if (text := _shortest(value, unit, dimension)) is not None
    ]
    exact = f"{plain_digits(value)} {_TYPED.get(rule.inside, rule.inside)}"
    return min([*found, exact], key=lambda text: len(text.split()[0]))


def plain_digits(value: float) -> str:
    """A number with all its digits and no exponent, which people do not write before a unit.

    >>> plain_digits(1e-05), plain_digits(20.0)
    ('0.00001', '20')
    """
    return format(Decimal(repr(value)), "f").removesuffix(".0")


def _shortest(value: float, unit: str, dimension: str) -> str | None:
    number = _registry().Quantity(value, DIMENSIONS[dimension].inside).to(unit).magnitude
    for digits in (3, 6, 9, 12, 15, 17):
        text = f"{plain_digits(float(f'{number:.{digits}g}'))} {_TYPED.get(unit, unit)}"
        try:
            if parse_quantity(text, dimension) == value:
                return text
        except ValueError:  # rounding may lead past a bound
            continue
    return None


_LARGER = {
    ("distance_m", "us"): ("mile",),
    ("distance_m", "si"): ("km",),
    ("force_n", "si"): ("kN",),
}
_TYPED = {
    "g/m**2": "g/m2",
    "oz/ft**2": "oz/ft2",
    "kg/m**3": "kg/m3",
    "lb/ft**3": "pcf",
    "mg/m**2/day": "mg/m2/d",
    "ug/m**3": "ug/m3",
    "thou": "mil",
    "degF": "F",
    "lbf": "lb",
    "year": "years",
    "mile": "miles",
}


_PRETTY = {
    "g/m**2": "g/m²",
    "oz/ft**2": "oz/ft²",
    "kg/m**3": "kg/m³",
    "lb/ft**3": "lb/ft³",
    "mg/m**2/day": "mg/(m² d)",
    "ug/m**3": "µg/m³",
    "um": "µm",
    "thou": "mil",
    "degC": "°C",
    "degF": "°F",
    "lbf": "lb",
    "year": "years",
}


def _split(text: str, rule: Dimension) -> tuple[float, str]:
    if match := _MIXED.match(text):
        if int(match["den"]) == 0:
            raise ValueError("is not a fraction")
        magnitude = int(match["whole"] or 0) + Fraction(int(match["num"]), int(match["den"]))
        return float(magnitude), match["unit"].strip()
    if match := _PLAIN.match(text):
        return float(match["number"].replace(",", "")), match["unit"].strip()
    missing = "a unit" if re.search(r"\d", text) else "a number with its unit"
    raise ValueError(f"needs {missing}, such as {rule.examples}")


def _convert(magnitude: float, unit: str, rule: Dimension) -> float:
    import pint

    written = _spelled_out(unit, rule)
    try:
        if not _UNIT.fullmatch(written):
            raise ValueError("no unit")
        return float(_registry().Quantity(magnitude, written).to(rule.inside).magnitude)
    except pint.DimensionalityError:
        raise ValueError(
            f"has unit {unit[:40]!r}, which does not fit; write for example {rule.examples}"
        ) from None
    except Exception:
        raise ValueError(
            f"has unit {unit[:40]!r}, which is not known; write for example {rule.examples}"
        ) from None


def _spelled_out(unit: str, rule: Dimension) -> str:
    word = _UNIT_WORDS.get(unit.lower(), unit)
    word = word.replace("²", "2").replace("³", "3").replace("µ", "u").replace("μ", "u")
    word = re.sub(r"\((.*?)\)", lambda m: m[1].replace(" ", "*"), word)
    word = re.sub(r"\bd\b", "day", word)
    word = re.sub(r"(?<=[a-zA-Z])\^?([23])\b", r"**\1", word)
    if word.startswith("mg/m**2*day"):
        word = "mg/m**2/day"
    return word if rule.inside != "degC" else word.replace("deg ", "deg")


def _bound(value: float, unit: str, rule: Dimension) -> str:
    """A bound in the unit that was typed, so that people can hold the one against the other."""
    shown = _registry().Quantity(value, rule.inside).to(_spelled_out(unit, rule)).magnitude
    if abs(shown) < 1e4:
        return f"{shown:,.4g} {unit}"
    step = 10 ** (floor(log10(abs(shown))) - 1)  # two figures, toward zero: what is told is allowed
    told = trunc(shown / step) * step
    return f"{told / 1e6:g} million {unit}" if abs(told) >= 1e6 else f"{told:,.0f} {unit}"


@once
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
