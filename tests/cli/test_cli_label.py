"""The command ``label`` as JSON, and on several parts."""

import json

import pytest

from longhold.cli import main


def test_json_holds_what_the_text_says(capsys):
    assert main.run(["label", "A153 nail", "10d", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    (part,) = told["parts"]
    (reading,) = part["readings"]
    assert (told["kind"], told["text"]) == ("longhold label", "A153 nail 10d")
    assert reading["designation"] == "ASTM A153 class D"
    assert reading["coat"]["least_um"] == 36.0  # a153-16a-table1: 1.4 mil
    assert reading["coat"]["mark"] == "verified"
    assert reading["read_from"] == ["A153", "nail", "10d"]
    assert "it says nothing of a topcoat" in part["not_promised"]


def test_json_of_several_parts_keeps_them_apart(capsys):
    assert main.run(["label", "hanger G185 with 10d nails to F2329", "--json"]) == 0
    hanger, nail = json.loads(capsys.readouterr().out)["parts"]
    assert hanger["readings"][0]["designation"] == "ASTM A653 G185"
    assert nail["readings"] == []
    assert "leaves out nails" in nail["refused"]


@pytest.mark.parametrize("form", [[], ["--json"]])
def test_what_cannot_be_read_is_exit_code_2(capsys, form):
    assert main.run(["label", "xyzzy", *form]) == 2
    assert "no designation" in capsys.readouterr().err
