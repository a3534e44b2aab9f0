"""Tables of parameters: a row for each figure of each thing, with what it means and how sure it is."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number

__all__ = ["film_figure", "parameter_rows"]


@once
def parameter_rows(path: str, owner: str) -> Mapping[str, Mapping[str, Row]]:
    """Every figure of a table, owner -> parameter -> row.

    Parameters
    ----------
    path : of the table
    owner : column that names whose figure it is
    """
    columns: dict[str, Parser] = {owner: str, "parameter": str, "value": number, "unit": str, "meaning": str}
    found: dict[str, dict[str, Row]] = {}
    for row in load_csv(path, columns, key=(owner, "parameter")):
        found.setdefault(row[owner], {})[row["parameter"]] = row
    return found


def film_figure(name: str) -> float:
    """One figure of ``tables/metal/film_spots.csv``: bare spots, reach of zinc, paint over zinc."""
    return float(_film_figures()[name]["value"])


@once
def _film_figures() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"name": str, "value": number, "unit": str, "meaning": str}
    return {row["name"]: row for row in load_csv("metal/film_spots.csv", columns, key=("name",))}
