"""Layers against figures from outside: zinc lives, paint over zinc, films, rust grades, pitting numbers."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.metal.passivity import StainlessSetting, passivity
from longhold.validate.layers_area import LAYERS

DATA = Path(__file__).parent / "data"


def rows() -> list[dict[str, str]]:
    with (DATA / "layers_checks.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['kind']} {row['input']}")
def test_every_row_is_answered_right(row: dict[str, str]) -> None:
    assert LAYERS.skip(row) == ""
    answer = LAYERS.answer({"kind": row["kind"], "input": row["input"]})
    judged = LAYERS.judge(LAYERS.expect(row), answer)
    assert judged.right, judged


@pytest.mark.parametrize(
    ("grade", "family", "stops"),
    [
        ("304", "304 family", True),
        ("316", "316 family", True),
        ("2205", "duplex", True),
        ("1.4507", "super duplex", True),  # on the list of 2004, not on that of 2013: the stricter counts
        *((grade, "6 % Mo", False) for grade in ("1.4529", "1.4547", "1.4565")),
    ],
)
def test_three_grades_only_for_load_in_a_pool_hall(grade: str, family: str, stops: bool) -> None:
    hall = StainlessSetting(False, True, 0.0, washed=False, structural=True)
    assert passivity(grade, family, "", hall).stops is stops
