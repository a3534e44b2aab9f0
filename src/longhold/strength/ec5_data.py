"""Embedment strength, yield moment, strength classes and rope share of EN 1995-1-1:2004, section 8.

N, mm, kg/m3. Diameters are those as new: metal that is lost changes lengths and levers, not the wood.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, load_toml, number

__all__ = [
    "FloatArray",
    "Floats",
    "Material",
    "across_grain_mpa",
    "axial_record",
    "density_ungraded",
    "dowel_record",
    "embedment_drilled_mpa",
    "embedment_mpa",
    "embedment_nail_mpa",
    "embedment_record",
    "mode_words",
    "rope_row",
    "strength_class",
    "stress_area_mm2",
    "yield_moment_nmm",
]

FloatArray = NDArray[np.float64]
Floats = FloatArray | float
Material = Literal["softwood", "hardwood", "lvl", "plywood", "osb"]

_FOLDER = "strength/en1995_2004"


def embedment_nail_mpa(diameter_mm: float, density_kg_m3: Floats) -> FloatArray:
    """Embedment strength of timber under a nail that is not predrilled, 0.082 rho d^-0.3 (8.15) [N/mm2].

    Parameters
    ----------
    diameter_mm : up to 8 [mm]
    density_kg_m3 : characteristic density [kg/m3]

    Source: en-1995-1-1 (memory).

    >>> round(float(embedment_nail_mpa(3.4, 350.0)), 2)
    19.88
    """
    nail = embedment_record("nail")
    return np.asarray(nail["factor"] * np.asarray(density_kg_m3) * diameter_mm ** nail["exponent"])


def embedment_drilled_mpa(
    diameter_mm: float, density_kg_m3: Floats, angle_deg: float = 0.0, material: Material = "softwood"
) -> FloatArray:
    """Embedment strength of timber in a drilled hole at an angle to the grain (8.16, 8.31 to 8.33) [N/mm2].

    fh,0 = 0.082 (1 - 0.01 d) rho ; fh,a = fh,0 / (k90 sin^2 a + cos^2 a) ; k90 = 1.35 + 0.015 d softwood,
    1.30 + 0.015 d LVL, 0.90 + 0.015 d hardwood.

    Parameters
    ----------
    diameter_mm : up to 30 [mm]
    density_kg_m3 : characteristic density [kg/m3]
    angle_deg : load to grain, 0 to 90 [degrees]; 0 for nails up to 8 mm, which do not feel the grain
    material : softwood, hardwood or lvl

    Source: en-1995-1-1 (memory).

    >>> round(float(embedment_drilled_mpa(12.0, 350.0, 90.0)), 2)
    16.5
    """
    drilled, across = embedment_record("drilled"), embedment_record("k90")
    along = drilled["factor"] * (1.0 - drilled["slope"] * diameter_mm) * np.asarray(density_kg_m3)
    sine2 = np.sin(np.radians(angle_deg)) ** 2
    k90 = across[material] + across["slope"] * diameter_mm
    return np.asarray(along / (k90 * sine2 + 1.0 - sine2))


def embedment_mpa(
    material: Material,
    diameter_mm: float,
    density_kg_m3: float,
    *,
    drilled: bool,
    thickness_mm: float,
    angle_deg: float = 0.0,
) -> float:
    """Embedment strength of timber or a panel for the diameter as new [N/mm2].

    Parameters
    ----------
    material : softwood, hardwood, lvl, plywood or osb (particleboard likewise)
    diameter_mm : d, up to 30 [mm]
    density_kg_m3 : characteristic density [kg/m3]; not used for osb
    drilled : predrilled nails, bolts, dowels, and screws above 6 mm; nails above 8 mm count as such
    thickness_mm : thickness of a panel [mm]; used for osb only
    angle_deg : load to grain [degrees]; counts for bolts and their like in timber

    Raises
    ------
    InputError : diameter above 30 mm

    >>> embedment_mpa("plywood", 4.0, 500.0, drilled=False, thickness_mm=18.0).__round__(1)
    36.3
    """
    bore, nail = embedment_record("drilled"), embedment_record("nail")
    if not 0.0 < diameter_mm <= bore["upto_mm"]:
        allowed = f"the embedment equations end at {bore['upto_mm']:g} mm."
        raise InputError(Problem("diameter", f"{diameter_mm:g} mm", allowed))
    as_bolt = drilled or diameter_mm > nail["upto_mm"]
    if material == "plywood":
        panel = embedment_record("plywood")
        reduced = 1.0 - panel["slope"] * diameter_mm if as_bolt else diameter_mm ** panel["exponent"]
        return float(panel["factor"] * reduced * density_kg_m3)
    if material == "osb":
        panel = embedment_record("osb_bolt" if as_bolt else "osb_nail")
        thin = diameter_mm ** panel["d_exponent"]
        return float(panel["factor"] * thin * thickness_mm ** panel["t_exponent"])
    if as_bolt:
        return float(embedment_drilled_mpa(diameter_mm, density_kg_m3, angle_deg, material))
    return float(embedment_nail_mpa(diameter_mm, density_kg_m3))


def yield_moment_nmm(fu_mpa: Floats, diameter_mm: Floats, *, square: bool = False) -> FloatArray:
    """Characteristic yield moment My = 0.3 fu d^2.6, square nails 0.45 fu d^2.6 (8.14, 8.30) [N mm].

    Parameters
    ----------
    fu_mpa : tensile strength of wire or bolt [N/mm2]
    diameter_mm : diameter or side of the square [mm]; the diameter left where it bends, for a corroded one

    Source: porteous-kermani-2007 (verified).

    >>> round(float(yield_moment_nmm(600.0, 3.4)))
    4336
    """
    record = dowel_record("moment")
    factor = record["square_factor" if square else "round_factor"]
    return np.asarray(factor * np.asarray(fu_mpa) * np.power(diameter_mm, record["exponent"]))


def density_ungraded(gravity: float, wood: str, *, dry_volume: bool = False) -> float:
    """Characteristic density where no strength class is given [kg/m3], on the safe side.

    The 5 % fractile from specific gravity, (1 - 1.645 x 0.10) x 1000 (1 + 0.12) G, and never more than C14
    or D18 have: nobody graded the timber.

    Parameters
    ----------
    gravity : specific gravity G on oven-dry mass [-]: on the volume at 12 % moisture, or on green volume,
        which is larger and so gives less
    wood : softwood or hardwood
    dry_volume : G is on oven-dry volume, which swells to that at 12 %

    Source: own.

    >>> density_ungraded(0.41, "softwood"), density_ungraded(0.68, "hardwood")
    (290.0, 475.0)
    >>> round(density_ungraded(0.30, "softwood"), 1)
    280.7
    """
    table = load_toml(f"{_FOLDER}/density.toml")
    record, most = table["from_gravity"], float(table["ungraded"][f"{wood}_kg_m3"])
    at_12 = gravity / (1.0 + record["swelling"] * gravity) if dry_volume else gravity
    mean = 1000.0 * (1.0 + record["moisture"]) * at_12
    return min(float((1.0 - record["fractile"] * record["spread"]) * mean), most)


def strength_class(name: str, *, where: str = "strength_class") -> Row:
    """A strength class: density_k_kg_m3, density_mean_kg_m3, wood, material, with source and mark.

    Raises
    ------
    InputError : not in the table

    >>> strength_class("C24")["density_k_kg_m3"]
    350.0
    """
    rows = _class_rows()
    for row in rows:
        if row["name"].lower() == name.lower():
            return row
    known = ", ".join(row["name"] for row in rows)
    raise InputError(Problem(where, name, f"is not in the table of strength classes: {known}."))


def across_grain_mpa(name: str, *, where: str = "strength_class") -> float:
    """Characteristic compressive strength fc,90,k of a strength class across its grain [N/mm2].

    Raises
    ------
    InputError : not in the table

    Source: en-338-carried (verified); of glued laminated timber en-14080 (memory).

    >>> across_grain_mpa("C24")
    2.5
    """
    rows = load_csv(f"{_FOLDER}/across_grain.csv", {"name": str, "fc90_mpa": number}, key=("name",))
    for row in rows:
        if row["name"].lower() == name.lower():
            return float(row["fc90_mpa"])
    known = ", ".join(row["name"] for row in rows)
    said = f"has no compressive strength across the grain in the table, which holds {known}."
    raise InputError(Problem(where, name, said))


def rope_row(fastener: str) -> Row:
    """Largest rope effect as a share of the yield part (8.2.2(2)): key ``cap``.

    Parameters
    ----------
    fastener : round_nail, square_nail, other_nail, staple, screw, bolt or dowel

    >>> rope_row("round_nail")["cap"]
    0.15
    """
    return _found(_rope_rows(), "fastener", fastener)


def mode_words(mode: str) -> str:
    """A yield mode as people say it.

    >>> mode_words("f"), mode_words("thin-b to thick-e")[:48]
    ('mode f: two hinges', 'between mode b, one hinge under a thin plate, an')
    """
    if mode == "none":
        return "nothing left"
    said = [(one.split("-")[-1], _found(_mode_rows(), "mode", one)["words"]) for one in mode.split(" to ")]
    if len(said) == 1:
        return f"mode {said[0][0]}: {said[0][1]}"
    return "between " + ", and ".join(f"mode {letter}, {words}" for letter, words in said)


def stress_area_mm2(diameter_mm: float) -> float:
    """Stress area of a coarse thread M6 to M30 [mm2] (iso-898-1, memory).

    Raises
    ------
    InputError : not in the table

    >>> stress_area_mm2(12.0)
    84.3
    """
    return float(_found(_area_rows(), "diameter_mm", diameter_mm)["area_mm2"])


def embedment_record(name: str) -> Mapping[str, Any]:
    """One record of the table of embedment, with source and mark."""
    record: Mapping[str, Any] = load_toml(f"{_FOLDER}/embedment.toml")[name]
    return record


def dowel_record(name: str) -> Mapping[str, Any]:
    """One record of the table of yield moments and yield modes, with source and mark."""
    record: Mapping[str, Any] = load_toml(f"{_FOLDER}/dowel.toml")[name]
    return record


def axial_record(name: str) -> Mapping[str, Any]:
    """One record of the table of axial capacity, rows and splitting, with source and mark."""
    record: Mapping[str, Any] = load_toml(f"{_FOLDER}/axial.toml")[name]
    return record


def _found(rows: tuple[Row, ...], column: str, value: Any) -> Row:
    for row in rows:
        if row[column] == value:
            return row
    known = ", ".join(str(row[column]) for row in rows)
    raise InputError(Problem(column, value, f"must be one of {known}."))


@once
def _class_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {
        "name": str,
        "density_k_kg_m3": number,
        "density_mean_kg_m3": number,
        "wood": str,
        "material": str,
        "note": str,
    }
    return load_csv(f"{_FOLDER}/strength_classes.csv", columns, key=("name",))


@once
def _rope_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {"fastener": str, "cap": number, "note": str}
    return load_csv(f"{_FOLDER}/rope.csv", columns, key=("fastener",))


@once
def _mode_rows() -> tuple[Row, ...]:
    return load_csv(f"{_FOLDER}/modes.csv", {"mode": str, "words": str}, key=("mode",))


@once
def _area_rows() -> tuple[Row, ...]:
    return load_csv(f"{_FOLDER}/stress_areas.csv", {"diameter_mm": number, "area_mm2": number})
