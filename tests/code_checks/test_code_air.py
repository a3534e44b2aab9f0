"""Losses of the first year worked out apart from this code with the equations of ISO 9223: a code check."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.air.dose_response import first_year_loss_um
from longhold.air.metals import METALS

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows("air_first_year_checks.csv"), ids=lambda row: row["why"])
@pytest.mark.parametrize("metal", METALS)
def test_the_law_gives_the_losses_worked_out_apart(row, metal):
    found = first_year_loss_um(
        metal,
        float(row["temperature_c"]),
        float(row["relative_humidity_pct"]),
        float(row["sulphur_dioxide_mg_m2_d"]),
        float(row["chloride_mg_m2_d"]),
    )
    assert float(found) == pytest.approx(float(row[metal]), rel=1e-5, abs=5.1e-5)  # printed to 4 decimals
