"""The climate that stands for an indoor place: the wood and the metal of a joint are given the same."""

from __future__ import annotations

from dataclasses import dataclass

from longhold.base.errors import InputError, Problem
from longhold.base.marks import Mark, weakest
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number
from longhold.model.surroundings import Place

__all__ = ["IndoorClimate", "indoor_climate"]


@dataclass(frozen=True)
class IndoorClimate:
    """Yearly means of the air inside.

    Attributes
    ----------
    temperature_c : [deg C]
    relative_humidity_pct : [%]
    source, mark : of the table
    """

    temperature_c: float
    relative_humidity_pct: float
    source: str
    mark: Mark


def indoor_climate(place: Place) -> IndoorClimate:
    """Yearly means of an indoor place, from the half years that the wood room takes for it.

    Raises
    ------
    InputError : for a place that has no indoor climate

    >>> from longhold.model.surroundings import places
    >>> indoor_climate(places()["damp_inside"]).relative_humidity_pct
    77.5
    """
    rows = [row for row in _rows() if row["place"] == place.name]
    if not rows:
        raise InputError(Problem("place", place.name, "has no indoor climate in the tables."))
    return IndoorClimate(
        _mean(rows, "temperature_c"),
        _mean(rows, "relative_humidity_pct"),
        rows[0]["source"],
        weakest(row["mark"] for row in rows),
    )


def _mean(rows: list[Row], name: str) -> float:
    return float(sum(row["share_of_year"] * row[name] for row in rows))


@once
def _rows() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {
        "place": str,
        "season": str,
        "share_of_year": number,
        "temperature_c": number,
        "relative_humidity_pct": number,
    }
    return load_csv("wood/indoor_climates.csv", columns, key=("place", "season"))
