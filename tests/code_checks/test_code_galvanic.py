"""Conversions and the reach of zinc worked out by hand with the same equations: code checks."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.metal.polarization import faraday_um_yr, oxygen_limit_a_m2
from longhold.metal.reach import reach_m

DATA = Path(__file__).parent / "data"
D, C = 2.0e-9, 0.25


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(
    "row", [r for r in rows("galvanic.csv") if r["kind"] == "faraday"], ids=lambda row: row["metal_or_couple"]
)
def test_one_microampere_a_square_centimetre(row):
    metal = {"zinc": "zinc", "iron": "steel"}[row["metal_or_couple"]]
    assert float(faraday_um_yr(0.01, metal)) == pytest.approx(float(row["value_low"]), abs=0.005)


@pytest.mark.parametrize(
    "row",
    [r for r in rows("galvanic.csv") if r["kind"] == "O2_limit"],
    ids=lambda row: row["metal_or_couple"],
)
def test_the_current_that_oxygen_through_a_film_keeps_up(row):
    height_um = float(row["metal_or_couple"].split()[2])
    found = float(oxygen_limit_a_m2(height_um * 1e-6, D, C))
    assert found == pytest.approx(float(row["value_low"]), rel=2e-3)


@pytest.mark.parametrize(
    "row", rows("galvanic_reach.csv"), ids=lambda row: f"{row['conductivity_s_m']}-{row['height_um']}"
)
def test_the_reach_of_zinc_over_bare_steel(row):
    h = float(row["height_um"]) * 1e-6
    w = reach_m(float(row["conductivity_s_m"]), h, 0.3, oxygen_limit_a_m2(h, D, C))
    assert 1000.0 * float(w) == pytest.approx(float(row["reach_mm"]), abs=0.06)
