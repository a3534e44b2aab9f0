"""What a lot is asked, from the words that people type: limits, a gauge's uncertainty, an area."""

from __future__ import annotations

import re
from collections.abc import Mapping

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.quantities import parse_quantity
from longhold.inspect.acceptance import Gauge, Limits, limits_of_demand, limits_of_label
from longhold.inspect.repair import Spot
from longhold.inspect.sampling import Standard

__all__ = ["lot_limits", "read_area", "read_gauge", "read_mass", "read_spot", "read_thickness"]

_SQUARES = {"mm2": 0.01, "cm2": 1.0, "m2": 1e4, "in2": 6.4516, "ft2": 929.0304}
_LENGTHS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_MASSES_KG = {"g": 0.001, "kg": 1.0, "t": 1000.0, "lb": 0.45359237}
_GAUGE = r"\s*(?:(\d+(?:\.\d+)?)\s*%)?\s*(?:or)?\s*(?:(\d+(?:\.\d+)?)\s*(?:um|µm|μm))?\s*"


def lot_limits(label: str, least: str, named: Standard) -> Limits:
    """What the lot must show, from its label or from what was demanded.

    Raises
    ------
    InputError : both or neither is given, or it cannot be read
    """
    if bool(label) == bool(least):
        said = "both are given." if label else "neither is given."
        where = told_here(command="--label or --least", page="label", program="label or least")
        raise InputError(Problem(where, None, said, "Give one of the two: what must be there?"))
    return limits_of_label(label) if label else limits_of_demand(least, named)


def read_gauge(text: str, where: str) -> Gauge | None:
    """Uncertainty of a gauge from words such as 3 % or 1 um; None where blank.

    Raises
    ------
    InputError : it is none
    """
    if not text:
        return None
    match = re.fullmatch(_GAUGE, text)
    if match is None or not (match[1] or match[2]):
        do = 'Write "5 %", "2 um" or "3 % or 1 um", as the gauge\'s calibration states it.'
        raise InputError(Problem(where, text, "is no uncertainty.", do))
    share, least_um = float(match[1] or 0.0) / 100.0, float(match[2] or 0.0)
    if not (share <= 0.5 and least_um <= 100.0 and share + least_um > 0.0):
        raise InputError(Problem(where, text, "must be over 0, at most 50 % and at most 100 um."))
    return Gauge(share, least_um, Mark.VERIFIED)


def read_area(text: str, where: str) -> float:
    """An area [cm2] from words such as 0.15 m2.

    Raises
    ------
    InputError : it is none
    """
    found = _in_units(text, _SQUARES | {unit.replace("2", "²"): of for unit, of in _SQUARES.items()})
    if found is None:
        do = f'Write it with {", ".join(_SQUARES)}: "6 cm2".'
        raise InputError(Problem(where, text, "must be an area.", do))
    return found


def read_spot(text: str, where: str) -> Spot:
    """A bare spot from words such as 6 cm2, or 6 cm2 x 20 mm with its narrowest dimension.

    Raises
    ------
    InputError : it is none
    """
    area, sign, narrow = text.partition("x")
    if not sign:
        return Spot(read_area(text, where))
    narrow_mm = _in_units(narrow, _LENGTHS_MM)
    if narrow_mm is None:
        do = 'Write area and narrowest dimension: "6 cm2 x 20 mm".'
        raise InputError(Problem(where, text, "has no narrowest dimension after x.", do))
    return Spot(read_area(area, where), narrow_mm)


def read_mass(text: str, where: str) -> float:
    """A mass [kg] from words such as 12 kg.

    Raises
    ------
    InputError : it is none
    """
    found = _in_units(text, _MASSES_KG)
    if found is None:
        raise InputError(Problem(where, text, "must be a mass.", 'Write it with its unit: "12 kg".'))
    return found


def read_thickness(text: str, where: str) -> float:
    """A thickness of a coat [um] from words such as 55 um.

    Raises
    ------
    InputError : it is none
    """
    try:
        return parse_quantity(text, "film_um")
    except ValueError as error:
        raise InputError(Problem(where, text, f"{error}.")) from None


def _in_units(text: str, units: Mapping[str, float]) -> float | None:
    """A number followed by one of the units, times what that unit counts; None where it is no such thing."""
    match = re.fullmatch(rf"\s*(\d+(?:\.\d+)?)\s*({'|'.join(units)})\s*", text)
    return None if match is None else float(match[1]) * units[match[2]]
