"""From where on something is told, weighed or refused at a visit, each figure with its mark."""

from __future__ import annotations

from longhold.base.tables import figures

__all__ = ["threshold"]


def threshold(what: str) -> float:
    """Value of one row of ``tables/inspect/thresholds.csv``."""
    return float(figures("inspect/thresholds.csv")[what]["value"])
