"""The check files with published values, handed in as a user would."""

import csv
from pathlib import Path

import pytest

from longhold.validate import validate_file

DATA = Path(__file__).parents[1] / "against_published" / "data"


def test_every_published_cell_of_wood_moisture_is_right(tmp_path):
    names = {
        "temperature_f": "temp_F",
        "relative_humidity_pct": "rh_pct",
        "moisture_pct": "emc_pct_published",
    }
    rows = [
        {names.get(key, key): cell for key, cell in row.items()} for row in rows_of("wood_emc_table42.csv")
    ]
    result = validate_file("emc", write(tmp_path / "x.csv", rows))
    assert result.rows == result.answered == result.right > 300
    assert result.figures["max_abs_error_pct_moisture"] <= 0.1


def test_printed_cells_of_connections_are_right_but_the_documented_mismatch():
    result = validate_file("strength", DATA / "nds_cells.csv")
    assert result.answered == result.rows > 100
    off = [one for one in result.details if one.right is not True]
    assert len(off) == result.figures["documented_mismatches"]
    assert all("documented mismatch" in one.why for one in off)


@pytest.mark.slow
def test_code_cases_are_right_by_verdict_and_rule():
    result = validate_file("codes", DATA / "codes_cases.csv")
    assert result.rows == 100
    assert result.right == result.rows, [one for one in result.details if one.right is not True]


def rows_of(name):
    with (DATA / name).open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def write(path, rows):
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


@pytest.mark.parametrize(
    ("change", "right", "why"),
    [
        ({}, True, ""),
        ({"expected": "fail"}, False, "verdict should be fail"),
        ({"deciding_rule_ids": "US-NONE-01"}, False, "none of US-NONE-01 is given"),
        ({"code": "Code of Hammurabi"}, None, "no rule pack covers Code of Hammurabi 2021"),
    ],
)
def test_a_code_case_needs_both_verdict_and_rule(tmp_path, change, right, why):
    row = {**rows_of("codes_cases.csv")[0], **change}
    (detail,) = validate_file("codes", write(tmp_path / "x.csv", [row])).details
    assert detail.right is right
    assert why in detail.why
    assert detail.row == row["id"]


def test_an_answer_does_not_change_with_what_is_expected(tmp_path):
    rows = rows_of("codes_cases.csv")[:5]
    before = validate_file("codes", write(tmp_path / "x.csv", rows))
    for row in rows:
        row.update(expected="fail", deciding_rule_ids="X", clause="X", reason="X", mark="X")
    after = validate_file("codes", write(tmp_path / "x.csv", rows))
    assert [one.got for one in before.details] == [one.got for one in after.details]
