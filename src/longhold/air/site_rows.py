"""Rows of measured sites, as a table of exposure tests holds them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isfinite

from longhold.air.categories import mass_loss_g_m2
from longhold.air.metals import METALS, Metal
from longhold.air.salt import chloride_from_distance
from longhold.air.sulphur import deposition_from_concentration
from longhold.air.untold import untold
from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import load_csv, load_toml

__all__ = [
    "GIVEN_COLUMNS",
    "MEASURED_COLUMNS",
    "PositionLookup",
    "SiteInputs",
    "fitted_sites",
    "measured_losses_um",
    "own_inputs",
    "site_position",
]

GIVEN_COLUMNS = (
    "group",
    "site",
    "lat",
    "lon",
    "T_C",
    "RH_pct",
    "Sd_Cl_mg_m2_d",
    "SO2_ug_m3",
    "Pd_SO2_mg_m2_d",
    "dist_sea_km",
)
MEASURED_COLUMNS = ("steel_um_y1", "zinc_um_y1", "copper_um_y1", "aluminium", "aluminium_unit")
_METAL_COLUMNS: Mapping[Metal, str] = dict(zip(METALS, MEASURED_COLUMNS[:4], strict=True))
_LEAST_MOST = {
    "lat": (-90.0, 90.0),
    "lon": (-180.0, 180.0),
    "T_C": (-90.0, 60.0),
    "RH_pct": (0.0, 100.0),
}


@dataclass(frozen=True)
class SiteInputs:
    """What the laws need of one site.

    Attributes
    ----------
    temperature_c, relative_humidity_pct : yearly means [deg C], [%]
    sulphur_dioxide_mg_m2_d, chloride_mg_m2_d : yearly mean depositions [mg/(m2 d)]
    temperature_sd_c, humidity_sd_pct, sulphur_sd_ln, chloride_sd_ln : how sure each is, 0 where given
    assumed : what is not of the row itself, in words
    untold_share : of what may stand near and is not stated, 0 where chloride and sulphur are given
    """

    temperature_c: float
    relative_humidity_pct: float
    sulphur_dioxide_mg_m2_d: float
    chloride_mg_m2_d: float
    temperature_sd_c: float = 0.0
    humidity_sd_pct: float = 0.0
    sulphur_sd_ln: float = 0.0
    chloride_sd_ln: float = 0.0
    assumed: tuple[str, ...] = ()
    untold_share: float = 0.0


PositionLookup = Callable[[float, float], SiteInputs]
"""Everything from latitude and longitude alone; raises InputError where it cannot."""


def own_inputs(row: Mapping[str, str], shore_distance_m: float | None = None) -> SiteInputs:
    """The row's own temperature, humidity, sulphur and chloride.

    Sulphur as deposition, else 0.8 times the concentration. Chloride as deposition; else, which is said, by
    the law of distance from the row's own distance or from ``shore_distance_m``, else 1 mg/(m2 d). A nought
    stands as it is, and is said: it was hardly measured.

    Parameters
    ----------
    row : cells by the names of ``GIVEN_COLUMNS``; blank where not known
    shore_distance_m : from the row's position to salt water [m], for a row without chloride and distance

    Raises
    ------
    InputError : temperature, humidity or sulphur missing, or a cell that is no possible value

    >>> row = {"T_C": "7.1", "RH_pct": "79", "SO2_ug_m3": "10", "dist_sea_km": "0.25"}
    >>> inputs = own_inputs(row)
    >>> inputs.sulphur_dioxide_mg_m2_d, round(inputs.chloride_mg_m2_d), len(inputs.assumed)
    (8.0, 46, 1)
    """
    cells = {name: _cell(row, name) for name in GIVEN_COLUMNS[2:]}
    temperature, humidity, sulphur = cells["T_C"], cells["RH_pct"], cells["Pd_SO2_mg_m2_d"]
    if sulphur is None and cells["SO2_ug_m3"] is not None:
        sulphur = float(deposition_from_concentration(cells["SO2_ug_m3"]))
    if temperature is None or humidity is None or sulphur is None:
        named = {"T_C": temperature, "RH_pct": humidity, "Pd_SO2_mg_m2_d or SO2_ug_m3": sulphur}
        missing = [name for name, value in named.items() if value is None]
        raise InputError(Problem("row", None, f"has no {', '.join(missing)}; none is guessed."))
    distance_m = shore_distance_m if cells["dist_sea_km"] is None else 1000.0 * cells["dist_sea_km"]
    given = cells["Sd_Cl_mg_m2_d"]
    chloride, sd_ln, assumed = _chloride(given, distance_m)
    left = untold(chloride_measured=given is not None, sulphur_measured=True, setting_told=False)
    return SiteInputs(
        temperature,
        humidity,
        sulphur,
        chloride,
        chloride_sd_ln=sd_ln,
        assumed=assumed,
        untold_share=left.share,
    )


def site_position(row: Mapping[str, str]) -> tuple[float, float] | None:
    """Latitude and longitude of the row [deg], None where either is blank.

    Raises
    ------
    InputError : for a position that is not on earth

    >>> site_position({"lat": "60.4", "lon": "5.3"}), site_position({"lat": "60.4", "lon": ""})
    ((60.4, 5.3), None)
    """
    latitude, longitude = _cell(row, "lat"), _cell(row, "lon")
    return None if latitude is None or longitude is None else (latitude, longitude)


def measured_losses_um(row: Mapping[str, str]) -> dict[Metal, float]:
    """First-year losses that the row measured [um]; metals with a blank cell are left out.

    Aluminium may stand in um or in g/m2, as ``aluminium_unit`` says; mass is turned into depth with the
    density of ISO 9223.

    Raises
    ------
    InputError : for a loss that is not above zero, or aluminium without its unit

    >>> measured_losses_um({"zinc_um_y1": "2.1", "aluminium": "0.54", "aluminium_unit": "g/m2/yr"})
    {'zinc': 2.1, 'aluminium': 0.2}
    """
    found = {}
    for metal, column in _METAL_COLUMNS.items():
        value = _cell(row, column)
        if value is None:
            continue
        if value == 0.0:
            raise InputError(Problem(column, value, "must be more than zero, or blank."))
        if metal == "aluminium":
            unit = row.get("aluminium_unit", "").strip()
            if unit.startswith("g/m2"):
                value /= float(mass_loss_g_m2(metal, 1.0))
            elif not unit.startswith("um"):
                raise InputError(Problem("aluminium_unit", unit, "must be um/yr or g/m2/yr."))
        found[metal] = value
    return found


@once
def fitted_sites() -> frozenset[str]:
    """Sites that the calibrated law was fitted to: on these it is not judged fairly.

    >>> "Ahtari" in fitted_sites()
    True
    """
    columns = {"group": str, "site": str, "fitted": str, "why": str}
    rows = load_csv("air/own/calibration_sites.csv", columns, key=("group", "site"))
    return frozenset(row["site"] for row in rows if row["fitted"] == "yes")


def _chloride(given: float | None, distance_m: float | None) -> tuple[float, float, tuple[str, ...]]:
    """Chloride [mg/(m2 d)], standard deviation of its logarithm, and what was assumed."""
    if given == 0.0:
        return given, 0.0, ("chloride 0 as the row has it, which no air has: hardly a measurement",)
    if given is not None:
        return given, 0.0, ()
    if distance_m is not None:
        found = chloride_from_distance(distance_m)
        return found.median, found.sd_ln, (f"chloride {found.median:.3g} mg/(m2 d), {found.how}",)
    value = float(load_toml("air/own/measured.toml")["none_measured"]["chloride_mg_m2_d"])
    told = f"chloride {value:g} mg/(m2 d), since none is measured and no distance is known"
    return value, 0.0, (told,)


def _cell(row: Mapping[str, str], name: str) -> float | None:
    text = (row.get(name) or "").strip()
    if not text:
        return None
    least, most = _LEAST_MOST.get(name, (0.0, float("inf")))
    try:
        value = float(text)
    except ValueError:
        raise InputError(Problem(name, text, "must be a number, or blank.")) from None
    if not (isfinite(value) and least <= value <= most):
        allowed = f"must lie between {least:g} and {most:g}." if isfinite(most) else "must not be below zero."
        raise InputError(Problem(name, text, allowed))
    return value
