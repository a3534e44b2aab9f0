"""What a choice looks at and tells, each figure with its mark."""

from __future__ import annotations

from longhold.base.tables import figures

__all__ = ["threshold"]


def threshold(what: str) -> float:
    """Value of one row of ``tables/choose/thresholds.csv``."""
    return float(figures("choose/thresholds.csv")[what]["value"])
