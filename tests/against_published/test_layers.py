"""Layers against figures from outside: zinc lives, paint over zinc, films, rust grades, pitting numbers."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.metal.passivity import StainlessSetting, passivity
from longhold.metal.polarization import oxygen_limit_a_m2
from longhold.metal.reach import reach_m
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
    ("conductivity_s_m", "height_um", "expected_mm"),
    [
        (1.07, 50, 2.9),
        (1.07, 100, 5.8),
        (1.07, 200, 11.5),
        (0.12, 50, 1.0),
        (0.12, 100, 1.9),
        (0.12, 200, 3.9),
        (0.01, 50, 0.3),
        (0.01, 100, 0.6),
        (0.01, 200, 1.1),
    ],
)
def test_how_far_zinc_reaches(conductivity_s_m: float, height_um: float, expected_mm: float) -> None:
    height_m = height_um * 1e-6
    limit = oxygen_limit_a_m2(height_m, 2.0e-9, 0.25)
    reach_mm = 1000.0 * float(reach_m(conductivity_s_m, height_m, 0.3, limit))
    assert reach_mm == pytest.approx(expected_mm, abs=0.051)


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
