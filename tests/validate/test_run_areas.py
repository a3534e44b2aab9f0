"""Answers are found without sight of what is expected, compared strictly, and counted honestly."""

import csv
import json
from dataclasses import replace

import pytest

from longhold.base.errors import InputError
from longhold.validate import AREAS, run, validate_file
from longhold.validate.area import Judged, UnansweredError

EMC_HEAD = ["temp_F", "rh_pct", "emc_pct_published"]
STRENGTH_ROW = {
    "id": "S1",
    "standard": "NDS 2018",
    "table": "12N",
    "fastener": "nail",
    "designation": "16d common",
    "D_in": "0.162",
    "side_member": "sawn lumber same G",
    "ls_in": "1.5",
    "main_in": "1.62",
    "G": "0.5",
    "theta_main": "",
    "theta_side": "",
    "shear": "single",
    "quantity": "Z",
    "tabulated": "141",
    "rounding": "1",
    "agrees": "yes",
}


def write(path, head, *rows):
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerows([head, *rows])
    return path


def test_no_area_lets_an_answer_see_what_is_expected():
    for area in AREAS.values():
        telling = {
            "expected",
            "tabulated",
            "recomputed",
            "emc_pct_published",
            "deciding_rule_ids",
            "mode",
            "agrees",
        }
        assert not telling & set(area.given)
        assert not {name for name in area.given if "computed" in name or "published" in name}
        assert set(area.given) < set(area.columns)


def test_an_answer_gets_the_given_cells_only(monkeypatch, tmp_path):
    seen = []

    def answer(given):
        seen.append(dict(given))
        raise UnansweredError("not today")

    monkeypatch.setattr(run, "AREAS", {"emc": replace(AREAS["emc"], answer=answer)})
    result = validate_file(
        "emc", write(tmp_path / "x.csv", [*EMC_HEAD, "emc_pct_eq_C_computed"], [70, 50, 9.2, 9.2])
    )
    assert seen == [{"temp_F": "70", "rh_pct": "50"}]
    assert (result.rows, result.answered, result.right) == (1, 0, 0)
    assert result.details[0].right is None
    assert result.details[0].why == "not today"


def test_emc_is_right_within_a_tenth_and_not_beyond(tmp_path):
    path = write(
        tmp_path / "x.csv", EMC_HEAD, [70, 50, 9.2], [70, 50, 9.4], [70, 500, 9.2], ["warm", 50, 9.2]
    )
    result = validate_file("emc", path)
    assert [one.right for one in result.details] == [True, False, None, None]
    assert (result.rows, result.answered, result.right) == (4, 2, 1)
    assert 0.1 < result.figures["max_abs_error_pct_moisture"] < 0.4
    assert "warm" in result.details[3].why


def test_what_is_expected_must_be_readable(tmp_path):
    path = write(tmp_path / "x.csv", EMC_HEAD, [70, 50, ""], [70, 50, "nan"])
    with pytest.raises(InputError) as caught:
        validate_file("emc", path)
    assert [problem.where for problem in caught.value.problems] == ["row 1", "row 2"]


def test_an_unknown_area_is_told_with_the_nearest(tmp_path):
    with pytest.raises(
        InputError,
        match=r"must be one of labels, layers, emc, strength, codes, air, wood, acceptance. "
        r"Did you mean strength\?",
    ):
        validate_file("strenght", tmp_path / "x.csv")


@pytest.mark.parametrize(
    ("change", "right"),
    [
        ({}, True),
        ({"tabulated": "142"}, False),
        ({"tabulated": "142", "rounding": "10"}, True),
        ({"agrees": "NO"}, False),
        ({"fastener": "rivet"}, None),
        ({"standard": "another"}, None),
    ],
)
def test_strength_is_right_within_half_the_printed_step(tmp_path, change, right):
    row = {**STRENGTH_ROW, **change}
    result = validate_file("strength", write(tmp_path / "x.csv", list(row), list(row.values())))
    assert result.details[0].right is right
    assert result.details[0].row == "S1"
    assert result.figures["documented_mismatches"] == ("agrees" in change)


def test_figures_leave_out_rows_without_an_answer(tmp_path):
    result = validate_file("emc", write(tmp_path / "x.csv", EMC_HEAD, [70, 500, 9.2]))
    assert result.figures == {}


def test_results_go_to_json(tmp_path):
    result = validate_file("emc", write(tmp_path / "x.csv", EMC_HEAD, [70, 50, 9.2]))
    said = json.loads(json.dumps(result.as_json()))
    assert {"area", "rows", "answered", "right", "figures", "details"} <= set(said)
    assert said["details"][0]["right"] is True


def test_progress_is_told(tmp_path):
    told = []
    path = write(tmp_path / "x.csv", EMC_HEAD, [70, 50, 9.2], [70, 55, 10.1])
    validate_file("emc", path, lambda done, total: told.append((done, total)))
    assert told == [(1, 2), (2, 2)]


def test_judged_defaults_are_silent():
    assert Judged("1", "1", True).why == ""


LABEL_HEAD = ["kind", "input", "expected", "unit", "source", "mark"]


@pytest.mark.parametrize(
    ("kind", "text", "expected", "right"),
    [
        ("convert", "1 oz/ft2 -> g/m2", "305.15", True),
        ("convert", "1 oz/ft2 -> g/m2", "305.2", True),
        ("convert", "1 oz/ft2 -> g/m2", "305.16", False),
        ("convert", "1 oz/ft2 zinc -> mil", "1.68", True),
        ("convert", "1 oz/ft2 -> mil", "1.68", None),
        ("convert", "a lot -> mil", "1.68", None),
        ("label_parse", "ASTM A653 G185", "nominal 39.5 ; minimum 27.4", True),
        ("label_parse", "ASTM A653 G185", "nominal 19.3 ; minimum 13.2", False),
        ("label_parse", "ASTM A653 G185", "nominal 39.5 ; minimum unknown", False),
        ("label_parse", "ASTM A653 G185", "nominal reject ; minimum none", False),
        ("label_parse", "Z275 per face", "nominal contradiction ; minimum both faces", True),
        ("label_parse", "Z275 per face", "nominal 38.5 ; minimum 26.4", None),
        ("label_parse", "galvanized", "nominal unknown ; minimum not told", True),
        ("label_parse", "ASTM A653 G185", "nominal unknown ; minimum not told", False),
    ],
)
def test_labels_are_held_against_their_promise(tmp_path, kind, text, expected, right):
    result = validate_file(
        "labels", write(tmp_path / "x.csv", LABEL_HEAD, [kind, text, expected, "um", "test", "own"])
    )
    assert result.details[0].right is right, result.details[0]


def test_rows_of_other_kinds_are_skipped_aloud(tmp_path):
    rows = [
        ["zinc_life", "x", "1", "years", "test", "own"],
        ["convert", "1 oz/ft2 -> g/m2", "305.15", "", "", ""],
    ]
    result = validate_file("labels", write(tmp_path / "x.csv", LABEL_HEAD, *rows))
    assert (result.rows, result.right) == (1, 1)
    assert [one.row for one in result.skipped] == ["1"]
    assert "zinc_life" in result.skipped[0].why


def test_an_unreadable_promise_is_refused(tmp_path):
    path = write(tmp_path / "x.csv", LABEL_HEAD, ["label_parse", "G90", "about 19", "um", "", ""])
    with pytest.raises(InputError, match="must read 'nominal"):
        validate_file("labels", path)
