"""From a characteristic to a design capacity by EN 1995-1-1:2004: kmod, gammaM, rows, splitting."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import sqrt
from typing import Any, Literal

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, number
from longhold.strength.ec5_data import axial_record

__all__ = [
    "Duration",
    "bolts_in_row",
    "gamma_row",
    "kmod_row",
    "least_row_spacing_d",
    "nails_in_row",
    "screws_pulled",
    "splitting_n",
]

_FOLDER = "strength/en1995_2004"
Duration = Literal["permanent", "long_term", "medium_term", "short_term", "instantaneous"]


def kmod_row(service_class: int, duration: str) -> Row:
    """kmod of solid timber, glulam and LVL (Table 3.1): key ``kmod`` [-].

    Parameters
    ----------
    service_class : 1 dry inside, 2 under cover, 3 in the weather
    duration : permanent, long_term, medium_term, short_term or instantaneous

    Source: ice-manual-19-9 (verified). Of two members of unlike material the root of the product counts.

    >>> kmod_row(3, "medium_term")["kmod"]
    0.65
    """
    rows = _kmod_rows()
    for row in rows:
        if row["service_class"] == service_class and row["duration"] == duration:
            return row
    durations = ", ".join(dict.fromkeys(row["duration"] for row in rows))
    asked = f"{service_class}, {duration}"
    raise InputError(Problem("kmod", asked, f"service class must be 1, 2 or 3, duration one of {durations}."))


def gamma_row(what: str) -> Row:
    """Partial factor gammaM (Table 2.3): key ``gamma`` [-]; recommended values, annexes may differ.

    >>> gamma_row("connection")["gamma"]
    1.3
    """
    rows = _gamma_rows()
    for row in rows:
        if row["what"] == what:
            return row
    raise InputError(Problem("gammaM", what, f"must be one of {', '.join(row['what'] for row in rows)}."))


def bolts_in_row(count: float, spacing_mm: float, diameter_mm: float) -> float:
    """Effective number of bolts or dowels in a row along the grain, min(n ; n^0.9 (a1/13d)^0.25) (8.34).

    >>> round(bolts_in_row(3, 60.0, 10.0), 4)
    2.2154
    """
    row = axial_record("row")
    close = (spacing_mm / (row["spacing"] * diameter_mm)) ** row["root"]
    return float(min(count, count ** row["exponent"] * close))


def nails_in_row(
    count: float,
    spacing_mm: float,
    diameter_mm: float,
    *,
    predrilled: bool = False,
    where: str = "spacing",
) -> float:
    """Effective number of nails in a row along the grain, n^kef (8.17, Table 8.1), kef by a straight line.

    Parameters
    ----------
    where : path of the spacing inside the input, for the refusal

    Raises
    ------
    InputError : closer than 7 d, or 4 d where holes are drilled

    >>> round(nails_in_row(4, 40.0, 4.0), 3)
    3.249
    """
    rows = _kef_rows_of(predrilled=predrilled)
    ratio = spacing_mm / diameter_mm
    if ratio < rows[0]["spacing_d"]:
        allowed = f"nails in a row have an effective number from {rows[0]['spacing_d']:g} d on (Table 8.1)."
        raise InputError(Problem(where, f"{ratio:.3g} d", allowed))
    for below, above in pairwise(rows):
        if ratio <= above["spacing_d"]:
            along = (ratio - below["spacing_d"]) / (above["spacing_d"] - below["spacing_d"])
            return float(count ** (below["kef"] + along * (above["kef"] - below["kef"])))
    return float(count ** rows[-1]["kef"])


def least_row_spacing_d(*, predrilled: bool) -> float:
    """Least spacing in a row that nails have an effective number for (Table 8.1) [diameters].

    >>> least_row_spacing_d(predrilled=False), least_row_spacing_d(predrilled=True)
    (7.0, 4.0)
    """
    return float(_kef_rows_of(predrilled=predrilled)[0]["spacing_d"])


def screws_pulled(count: float) -> float:
    """Effective number of screws that are pulled together, n^0.9 (8.41).

    >>> round(screws_pulled(10), 3)
    7.943
    """
    return float(count ** axial_record("screw")["group_exponent"])


def splitting_n(width_mm: float, depth_mm: float, loaded_edge_mm: float) -> float:
    """Splitting capacity of a beam loaded across the grain, F90 = 14 b sqrt(he / (1 - he/h)) (8.4) [N].

    Parameters
    ----------
    width_mm, depth_mm : b and h [mm]
    loaded_edge_mm : loaded edge to the farthest fastener, he [mm], less than h

    Source: en-1995-1-1 (memory).

    >>> round(splitting_n(140.0, 300.0, 100.0))
    24005
    """
    if not 0.0 < loaded_edge_mm < depth_mm:
        raise InputError(Problem("he", loaded_edge_mm, f"must lie between 0 and the depth, {depth_mm:g} mm."))
    factor = axial_record("splitting")["factor"]
    return float(factor * width_mm * sqrt(loaded_edge_mm / (1.0 - loaded_edge_mm / depth_mm)))


_NOT_DRILLED_D = 7.0


def _kef_rows_of(*, predrilled: bool) -> list[Row]:
    return [row for row in _kef_rows() if predrilled or row["spacing_d"] >= _NOT_DRILLED_D]


@once
def _kmod_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {"service_class": int, "duration": str, "kmod": number}
    return load_csv(f"{_FOLDER}/kmod.csv", columns, key=("service_class", "duration"))


@once
def _gamma_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {"what": str, "gamma": number, "note": str}
    return load_csv(f"{_FOLDER}/gamma.csv", columns, key=("what",))


@once
def _kef_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {"spacing_d": number, "kef": number, "note": str}
    return load_csv(f"{_FOLDER}/kef.csv", columns, rising="spacing_d")
