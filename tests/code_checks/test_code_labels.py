"""A conversion and a pitting number worked out by us: code checks."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.labels.alloys import alloy_named, pitting_number
from longhold.labels.conversions import convert

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def expected(kind: str) -> float:
    return float(next(row["expected"] for row in rows("labels_checks.csv") if row["kind"] == kind))


def test_an_ounce_a_square_foot_of_zinc() -> None:
    assert convert(1.0, "oz/ft2", "um") == pytest.approx(expected("convert"), abs=0.005)


def test_the_least_composition_of_a_fastener() -> None:
    assert pitting_number(16.0, 2.0, 0.0) == pytest.approx(expected("PREN"), abs=0.051)
    assert alloy_named("A4").pren == pytest.approx(expected("PREN"), abs=1e-9)


def test_all_rows_are_there() -> None:
    assert len(rows("labels_checks.csv")) == 2
