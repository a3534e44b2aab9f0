"""Our figures for scatter that no standard gives, each with its mark."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number

__all__ = ["film_rows", "passive_rows", "scatter"]


def scatter(cause: str) -> float:
    """Value of one row of ``tables/forecast/scatter.csv``."""
    return float(_scatter()[cause]["value"])


@once
def _scatter() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"cause": str, "value": number, "unit": str, "meaning": str}
    return {row["cause"]: row for row in load_csv("forecast/scatter.csv", columns, key=("cause",))}


@once
def film_rows() -> Mapping[str, Row]:
    """Life of a topcoat by situation, from ``tables/metal/films.csv``."""
    columns: dict[str, Parser] = {"situation": str, "median_years": number, "sd_ln": number, "words": str}
    return {row["situation"]: row for row in load_csv("metal/films.csv", columns, key=("situation",))}


@once
def passive_rows() -> Mapping[str, Row]:
    """First-year loss of metals that live by a passive film, from ``tables/metal/passive.csv``."""
    columns: dict[str, Parser] = {
        "metal": str,
        "where": str,
        "first_year_um": number,
        "sd_ln": number,
        "words": str,
    }
    return {row["metal"]: row for row in load_csv("metal/passive.csv", columns, key=("metal", "where"))}
