"""Mass and thickness of a coating, tied by the ratio that the standard in question uses."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, number

__all__ = ["ZINC_RATIO", "convert", "one_side_least", "ratio", "ratio_of", "ratio_row"]

ZINC_RATIO = "zinc"  # name of the ratio in units.csv that ASTM A653 8.1.3 gives

_WRITTEN = {
    "oz/ft2": "oz/ft2", "oz/ft²": "oz/ft2", "oz/ft^2": "oz/ft2", "oz/sqft": "oz/ft2", "oz/sf": "oz/ft2",
    "g/m2": "g/m2", "g/m²": "g/m2", "g/m^2": "g/m2", "gsm": "g/m2",
    "um": "um", "µm": "um", "μm": "um", "micron": "um", "microns": "um", "mil": "mil", "mils": "mil",
    "mm": "mm", "in": "in",
}  # fmt: skip


@once
def _units() -> Mapping[str, Row]:
    rows = load_csv("labels/units.csv", {"name": str, "unit": str, "value": number}, key=("name",))
    return {row["name"]: row for row in rows}


def ratio(name: str = ZINC_RATIO) -> float:
    """Mass per thickness [g/m2 per um] by the name it has in ``units.csv``: zinc, A123, ISO1461, flZn ...

    >>> ratio(), ratio("A123")
    (7.14, 7.067)
    """
    return float(_units()[name]["value"])


def ratio_row(name: str) -> Row:
    """The line of ``units.csv`` with this name: value, unit, source and mark.

    >>> ratio_row("oz/ft2")["value"], ratio_row("oz/ft2")["source"]
    (305.15, 'a879-06')
    """
    return _units()[name]


def ratio_of(g_m2_per_um: float) -> Row | None:
    """The line of ``units.csv`` with this mass per thickness [g/m2 per um]; None unless it is one alone.

    >>> ratio_of(7.14)["source"], ratio_of(3.75)
    ('a653-units', None)
    """
    same = [row for row in _units().values() if row["unit"] == "g/m2 per um" and row["value"] == g_m2_per_um]
    return same[0] if len(same) == 1 else None


def convert(value: float, from_unit: str, to_unit: str, *, g_m2_per_um: float | None = None) -> float:
    """A coating's mass or thickness on one face in another unit.

    Parameters
    ----------
    value : the number [from_unit]; any finite number
    from_unit, to_unit : oz/ft2, g/m2 (mass on one face); um, mil, mm, in (thickness)
    g_m2_per_um : mass per thickness [g/m2 per um]; that of zinc, 7.14, unless given

    Raises
    ------
    InputError : for a unit that is none of these

    Notes
    -----
    1 oz/ft2 = 305.15 g/m2 (source a879-06); 7.14 g/m2 of zinc = 1 um (source a653-units). The pair is the
    standards' own: never carry a thickness from one standard into another through it.

    >>> convert(1, "oz/ft2", "g/m2")
    305.15
    >>> round(convert(1, "oz/ft2", "um"), 2), round(convert(1, "oz/ft2", "mil"), 2)
    (42.74, 1.68)
    """
    tie = ratio() if g_m2_per_um is None else g_m2_per_um
    given, mass_in = _in_base(from_unit)
    wanted, mass_out = _in_base(to_unit)
    base = value * given
    if mass_in and not mass_out:
        base /= tie
    elif mass_out and not mass_in:
        base *= tie
    return base / wanted


def one_side_least(single_spot_total: float, share: float = 0.40) -> float:
    """Least on one face from the least single-spot total of both faces, in the same unit.

    ``share`` is 40 % in ASTM A653 Table 1 (note A) and EN 10346.

    >>> one_side_least(235.0)
    94.0
    """
    return share * single_spot_total


def _in_base(unit: str) -> tuple[float, bool]:
    """Factor to g/m2 or um, and whether the unit is a mass."""
    name = _WRITTEN.get(unit.strip().lower().replace(" ", ""))
    if name is None:
        raise InputError(Problem("unit", unit, "must be one of oz/ft2, g/m2, um, mil, mm, in."))
    um_per_mil = ratio("mil")
    factors = {
        "g/m2": 1.0,
        "oz/ft2": ratio("oz/ft2"),
        "um": 1.0,
        "mil": um_per_mil,
        "mm": 1e3,
        "in": 1e3 * um_per_mil,
    }
    return factors[name], name in ("g/m2", "oz/ft2")
