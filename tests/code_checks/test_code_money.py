"""Present value by ASTM E917 and ISO 15686-5; the rows are computed ones: a check of code, not of facts."""

import csv
import re
from pathlib import Path

import pytest

from longhold.choose.money import DiscountRate, uniform_present_value

TABLE = Path(__file__).parent / "data" / "present_value.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))


def rate_of(text):
    steps = [(0.0, float(re.search(r"([\d.]+) %", text)[1]) / 100)]
    if then := re.search(r"to year (\d+) then ([\d.]+) %", text):
        steps.append((float(then[1]), float(then[2]) / 100))
    return DiscountRate(tuple(steps))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["input"])
def test_present_values(row):
    text, printed = row["input"], float(row["expected"])
    if row["kind"] == "annuity":
        found = uniform_present_value(rate_of(text), int(re.search(r"(\d+) y$", text)[1]))
        assert found == pytest.approx(printed, abs=5e-5)
    else:
        amount, year = (float(n) for n in re.match(r"(\d+) in year (\d+)", text).groups())
        assert amount * float(rate_of(text).factor(year)) == pytest.approx(printed, abs=0.05)
