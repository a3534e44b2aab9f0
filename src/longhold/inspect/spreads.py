"""How readings scatter: gauges, spots, eyes and slips, each figure with its mark."""

from __future__ import annotations

from collections.abc import Mapping

from longhold.base.recent import once
from longhold.base.tables import Parser, Row, figures, load_csv, number
from longhold.model.reading import Measured, Reading

__all__ = ["gauge_row", "gauge_sd", "spread", "spread_row", "spread_rows"]

_SPREADS = "inspect/spreads.csv"


def spread(what: str) -> float:
    """Value of one row of ``tables/inspect/spreads.csv``."""
    return float(spread_row(what)["value"])


def spread_row(what: str) -> Row:
    """One figure of scatter, with its meaning, source and mark."""
    return figures(_SPREADS)[what]


def spread_rows() -> tuple[Row, ...]:
    """Every figure of scatter, with its meaning, source and mark."""
    return tuple(figures(_SPREADS).values())


def gauge_row(measured: Measured) -> Row:
    """What is taken of a gauge whose uncertainty is not stated, from ``tables/inspect/gauges.csv``.

    Raises
    ------
    KeyError : for what no gauge measures
    """
    return _gauges()[measured]


def gauge_sd(reading: Reading) -> float:
    """Standard deviation of the gauge of a reading, in its unit: half of the expanded uncertainty."""
    if reading.uncertainty is not None:
        return reading.uncertainty / spread("coverage")
    row = gauge_row(reading.measured)
    return float(max(row["share"] * reading.amount, row["least"])) / spread("coverage")


@once
def _gauges() -> Mapping[str, Row]:
    columns: dict[str, Parser] = {"what": str, "share": number, "least": number, "unit": str, "words": str}
    return {row["what"]: row for row in load_csv("inspect/gauges.csv", columns, key=("what",))}
