"""Lives of zinc, films and anodic gaps worked out by us from printed rates and rules: code checks."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from longhold.validate.layers_area import LAYERS

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows("layers_checks.csv"), ids=lambda row: f"{row['kind']} {row['input']}")
def test_every_row_is_answered_as_worked_out(row: dict[str, str]) -> None:
    assert LAYERS.skip(row) == ""
    answer = LAYERS.answer({"kind": row["kind"], "input": row["input"]})
    judged = LAYERS.judge(LAYERS.expect(row), answer)
    assert judged.right, judged
