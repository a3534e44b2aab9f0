"""Classes of load duration: as the structure states them, and as each standard has them."""

from __future__ import annotations

from longhold.base.recent import once
from longhold.base.tables import Row, load_csv
from longhold.model.layout import LoadDuration
from longhold.model.structure import StrengthStandard

__all__ = ["duration_by"]


def duration_by(stated: LoadDuration, standard: StrengthStandard) -> str:
    """The class of a standard for a stated load duration, the slower one where two would do.

    >>> duration_by("seven_days", "en1995"), duration_by("medium_term", "nds")
    ('medium_term', 'ten_years')
    """
    return str(next(row[standard] for row in _rows() if row["stated"] == stated))


@once
def _rows() -> tuple[Row, ...]:
    columns = {"stated": str, "nds": str, "en1995": str, "note": str}
    return load_csv("assessment/load_durations.csv", columns, key=("stated",))
