"""Root diameters and tips of lag screws and wood screws (NDS-2018 appendix L)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark
from longhold.base.recent import once
from longhold.base.tables import Row, load_csv, load_toml, number

__all__ = [
    "ScrewSize",
    "lag_screw",
    "same_size_within_in",
    "wood_screw",
    "wood_screw_gauge",
]

_FOLDER = "strength/nds_2018"


def same_size_within_in() -> float:
    """How near a diameter must be to a row of a table to be that row [in]."""
    return float(load_toml(f"{_FOLDER}/limits.toml")["same_size"]["within_in"])


@dataclass(frozen=True)
class ScrewSize:
    """One size of lag screw or wood screw.

    Attributes
    ----------
    diameter_in, root_diameter_in : nominal and root diameter [in]
    tip_in : length of the tapered tip [in]; None where the table gives none
    source, mark : where the sizes come from
    """

    diameter_in: float
    root_diameter_in: float
    tip_in: float | None
    source: str
    mark: Mark


def lag_screw(diameter_in: float) -> ScrewSize:
    """Root diameter and tip of a reduced-body lag screw by its nominal diameter [in].

    Source: nds-2018 Appendix L (memory). Raises InputError for a size that is not in the table.

    >>> lag_screw(0.5).root_diameter_in
    0.371
    """
    return _screw("lag screw", _lag_rows(), diameter_in)


def wood_screw(diameter_in: float) -> ScrewSize:
    """Root diameter of a wood screw by its nominal diameter [in].

    Source: nds-2018 Appendix L (memory). Raises InputError for a size that is not in the table.

    >>> wood_screw(0.190).root_diameter_in
    0.152
    """
    return _screw("wood screw", _wood_screw_rows(), diameter_in)


def wood_screw_gauge(gauge: int) -> ScrewSize:
    """Size of a wood screw by its number (gauge).

    >>> wood_screw_gauge(10).diameter_in
    0.19
    """
    for row in _wood_screw_rows():
        if row["gauge"] == gauge:
            return _size(row)
    known = ", ".join(str(row["gauge"]) for row in _wood_screw_rows())
    raise InputError(Problem("gauge", gauge, f"wood screws are known in numbers {known}."))


def _screw(name: str, rows: tuple[Row, ...], diameter_in: float) -> ScrewSize:
    for row in rows:
        if abs(row["diameter_in"] - diameter_in) <= same_size_within_in():
            return _size(row)
    known = ", ".join(f"{row['diameter_in']:g}" for row in rows)
    raise InputError(
        Problem(
            "diameter",
            f"{diameter_in:.4g} in",
            f"no {name} of that diameter is in the table ({known} in).",
            "Give the root diameter.",
        )
    )


def _size(row: Row) -> ScrewSize:
    return ScrewSize(
        row["diameter_in"], row["root_diameter_in"], row.get("tip_in"), row["source"], row["mark"]
    )


@once
def _lag_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {
        "size": str,
        "diameter_in": number,
        "root_diameter_in": number,
        "tip_in": number,
    }
    return load_csv(f"{_FOLDER}/lag_screws.csv", columns, key=("size",), rising="diameter_in")


@once
def _wood_screw_rows() -> tuple[Row, ...]:
    columns: dict[str, Callable[[str], Any]] = {
        "gauge": int,
        "diameter_in": number,
        "root_diameter_in": number,
    }
    return load_csv(f"{_FOLDER}/wood_screws.csv", columns, key=("gauge",), rising="diameter_in")
