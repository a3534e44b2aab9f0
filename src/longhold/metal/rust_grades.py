"""Grades of rusted painted steel by the share of the surface that is rusted."""

from __future__ import annotations

from longhold.base.errors import InputError, Problem
from longhold.base.recent import once
from longhold.base.tables import Parser, Row, load_csv, number

__all__ = ["rust_grade", "share_of_grade"]


def rust_grade(share_pct: float, scale: str = "D610") -> int:
    """Grade of a rusted share of a painted surface.

    Parameters
    ----------
    share_pct : rusted share [%], 0 to 100
    scale : D610 (ASTM D610, from 10, free of rust, down to 0) or Ri (ISO 4628-3, from 0, free of rust, to 5)

    A grade is closed at its upper end. Above the last figure of ISO 4628-3 the answer stays Ri 5.

    Raises
    ------
    InputError : outside 0 to 100, or for another scale

    >>> rust_grade(0.08), rust_grade(7.0), rust_grade(0.3, "Ri")
    (8, 4, 2)
    """
    if scale not in ("D610", "Ri"):
        raise InputError(Problem("scale", scale, "must be D610 or Ri."))
    if not 0.0 <= share_pct <= 100.0:
        raise InputError(Problem("share_pct", share_pct, "must be a share of 0 to 100 %."))
    rows = sorted((row for row in _rows() if row["scale"] == scale), key=lambda row: float(row["upper_pct"]))
    return int(next((row["grade"] for row in rows if share_pct <= row["upper_pct"]), rows[-1]["grade"]))


def share_of_grade(grade: int, scale: str = "D610") -> tuple[float, float]:
    """The rusted shares that a grade stands for, least and most [%]; see ``rust_grade``.

    Raises
    ------
    InputError : for another scale, or a grade that it does not have

    >>> share_of_grade(6), share_of_grade(5, "Ri")
    ((0.3, 1.0), (8.0, 100.0))
    """
    if scale not in ("D610", "Ri"):
        raise InputError(Problem("scale", scale, "must be D610 or Ri."))
    rows = sorted((row for row in _rows() if row["scale"] == scale), key=lambda row: float(row["upper_pct"]))
    grades = [int(row["grade"]) for row in rows]
    if grade not in grades:
        least, most = min(grades), max(grades)
        raise InputError(Problem("grade", grade, f"must be a whole number from {least} to {most}."))
    edges = [0.0, *(float(row["upper_pct"]) for row in rows[:-1]), 100.0]
    at = grades.index(grade)
    return edges[at], edges[at + 1]


@once
def _rows() -> tuple[Row, ...]:
    columns: dict[str, Parser] = {"scale": str, "grade": number, "upper_pct": number}
    return load_csv("metal/rust_grades.csv", columns, key=("scale", "grade"))
