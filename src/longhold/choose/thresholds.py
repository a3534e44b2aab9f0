"""What a choice looks at and tells, each figure with its mark."""

from __future__ import annotations

from functools import partial

from longhold.base.tables import figure

__all__ = ["threshold"]

threshold = partial(figure, "choose/thresholds.csv")
"""Value of one row of the table by its name."""
