"""The dose of decay: values that somebody computed from the same recalled equations, so code checks only."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.wood.decay import moisture_dose, rating_of_dose, temperature_dose

FILE = Path(__file__).parent / "data" / "decay_checks.csv"
WITH = {
    "decay dose D_u": (moisture_dose, "u=", "%"),
    "decay dose D_T": (temperature_dose, "T=", "C"),
    "decay rating": (rating_of_dose, "dose=", ""),
}


def rows():
    with FILE.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['quantity']}-{row['input']}")
def test_code_check_dose_and_rating(row):
    function, before, after = WITH[row["quantity"]]
    given = float(row["input"].removeprefix(before).removesuffix(after))
    decimals = len(row["value"].partition(".")[2])
    assert float(function(given)) == pytest.approx(float(row["value"]), abs=0.5001 * 10.0**-decimals)


def test_all_rows_are_there():
    assert len(rows()) == 13
