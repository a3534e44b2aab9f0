"""Copper in wood, composition times retention worked out apart from this code: a code check."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.wood.preservatives import copper_kg_m3, find_preservative

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows("wood_checks.csv"), ids=lambda r: r["input"])
def test_copper_in_wood(row):
    """Printed composition times printed retention, worked out apart from this code; to the third figure."""
    name, amount = row["input"].split()
    given = {"use_category": amount} if amount.startswith("UC") else {"retention_kg_m3": float(amount)}
    assert float(copper_kg_m3(find_preservative(name), **given)) == pytest.approx(
        float(row["value"]), abs=0.0015
    )
