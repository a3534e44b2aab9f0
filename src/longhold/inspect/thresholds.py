"""From where on something is told, weighed or refused at a visit, each figure with its mark."""

from __future__ import annotations

from functools import partial

from longhold.base.tables import figure

__all__ = ["threshold"]

threshold = partial(figure, "inspect/thresholds.csv")
"""Value of one row of the table by its name."""
