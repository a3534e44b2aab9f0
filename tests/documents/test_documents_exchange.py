import dataclasses
import json

import pytest

from longhold.documents.exchange import SCHEMA_VERSION, assessment_json, to_json
from longhold.documents.table import terminal_rows
from longhold.forecast.summary import Band

INF = float("inf")


def refuse(name):
    raise AssertionError(f"{name} is not JSON")


def test_it_is_finite_json_with_what_is_needed_to_repeat_it(make):
    answer = make()
    read = json.loads(to_json(answer), parse_constant=refuse)
    assert read["schema_version"] == SCHEMA_VERSION
    assert (read["seed"], read["draws"], read["version"]) == (1, 2000, "0.1.0")
    assert read["inputs_sha256"] == answer.inputs_sha256
    assert read["counts"] == {"fails": 1, "refer": 1, "holds": 2}


def test_keys_are_sorted_and_bytes_do_not_change(make):
    text = to_json(make())
    assert text == to_json(make())
    assert text.endswith("}\n")
    assert text == json.dumps(json.loads(text), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def test_numbers_are_the_result_unrounded(make):
    answer = make()
    read = json.loads(to_json(answer))
    for found, written in zip(answer.findings, read["findings"], strict=True):
        for part, part_written in zip(found.parts, written["parts"], strict=True):
            for face, face_written in zip(part.faces, part_written["faces"], strict=True):
                assert face_written["base_loss_um"]["p50"] == face.base_loss_um.p50
                assert face_written["base_loss"]["p90"] == list(face.base_loss.p90)


def test_an_age_that_is_not_reached_is_null_and_named(make):
    read = json.loads(to_json(make()))
    far = read["findings"][1]["strength_years"]
    assert far == {
        "p10": 61.0,
        "p50": None,
        "p90": None,
        "beyond": ["p50", "p90"],
        "words": "more than 61 years",
    }
    assert read["findings"][3]["strength_years"] is None


def test_the_structure_comes_back_as_it_was_described(make):
    answer = make()
    assert (
        type(answer.structure).model_validate(
            {**assessment_json(answer)["structure"], "build_date": answer.structure.build_date}
        )
        == answer.structure
    )


def test_what_is_not_a_number_is_refused(make):
    answer = make()
    bad = dataclasses.replace(answer.findings[0], strength_years=Band(float("nan"), 1, 2))
    with pytest.raises(ValueError, match="not a number"):
        to_json(dataclasses.replace(answer, findings=(bad, *answer.findings[1:])))


def test_hostile_text_goes_through_unchanged(make, make_structure, hostile):
    evil, _ = hostile
    assert json.loads(to_json(make(make_structure(name=evil))))["structure"]["name"] == evil


def test_rows_for_a_terminal(make):
    rows = terminal_rows(make())
    assert [row.id for row in rows] == ["J1", "J4", "J2", "J3"]
    first = rows[0]
    assert (first.years, first.chance, first.outcome) == ("31 to 55 years", "18 %", "fails")
    assert first.code == "not allowed: R317.3.1"
    assert first.answer == "The zinc of Hangers is gone in 9 to 16 years."
    by_id = {row.id: row for row in rows}
    assert by_id["J2"].years == "more than 61 years"
    assert by_id["J4"].years == by_id["J4"].chance == "not computed"
    assert by_id["J4"].code == "no rule speaks"
