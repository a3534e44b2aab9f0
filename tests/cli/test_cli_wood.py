"""``longhold wood`` as a person uses it."""

import json
import re

import pytest

from longhold.cli import main
from longhold.intake import starter


@pytest.fixture
def deck(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_text(starter(), encoding="utf-8")
    return path


@pytest.fixture
def wood(capsys, monkeypatch):
    """Run ``wood`` with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "110")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run(["wood", "--draws", "200", *map(str, words)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def squeezed(text):
    return " ".join(text.split())


def test_the_answer_stands_first(wood, deck):
    code, out, err = wood(deck, "J1")
    assert (code, err) == (0, "")
    assert out.startswith("J1 ")
    assert re.search(r"(Worst|At the face).* (?:in|of) the \w+: zinc loses [\d.]+ mil \(", squeezed(out))
    assert re.search(r"above 18 % moisture in \d+ % of the hours\.", squeezed(out))
    for words in (
        "Mean moisture by depth",
        "Jan ",
        "Above 18 %",
        "lost in the first year, mil (µm)",
        "worst",
    ):
        assert words in out
    for words in ("What was assumed", "leaves out", "not a certificate", "--report OUT.html"):
        assert words in out


def test_it_agrees_with_the_assessment(wood, deck, capsys):
    said = json.loads(wood(deck, "J1", "--json")[1])
    main.run(["assess", str(deck), "--draws", "200", "--json"])
    whole = json.loads(capsys.readouterr().out)
    joint = next(one for one in whole["findings"] if one["joint"]["id"] == "J1")
    faces = [face for part in joint["parts"] for face in part["faces"] if face["touches"] != "air"]
    told = [one["worst_um"] for block in said["blocks"] if block["counts"] for one in block["losses"]]
    assert faces
    for face in faces:
        assert face["base_rate_um_yr"] in told
        if face["zinc_rate_um_yr"] is not None:
            assert face["zinc_rate_um_yr"] in told


def test_json_is_json_alone_and_the_same_each_time(wood, deck):
    first, again, other = (wood(deck, "J1", "--json", "--seed", seed)[1] for seed in (1, 1, 2))
    assert first == again
    assert first != other
    assert json.loads(first)["kind"] == "longhold wood"


def test_a_page_is_written_and_named(wood, deck, tmp_path):
    report = tmp_path / "wood.html"
    code, out, _ = wood(deck, "J1", "--report", report)
    assert code == 0
    html = report.read_text(encoding="utf-8")
    assert html.lstrip().lower().startswith("<!doctype html")
    assert "Moisture against time and depth" in html
    assert f"Report: {report}" in out.replace("\n", "")


def test_units_can_be_chosen(wood, deck):
    assert " mil" in wood(deck, "J1", "--units", "us")[1]
    assert " mil" not in wood(deck, "J1", "--units", "si")[1]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("J9",), "JOINT is 'J9': there is no joint of this file with this id. Near it: J"),
        (("",), "JOINT is ''"),
        (("J1", "--report", "no/such/folder/a.html"), "there is no folder"),
    ],
)
def test_what_cannot_be_used_is_said_once_and_is_code_two(wood, deck, words, says):
    code, out, err = wood(deck, *words)
    assert code == 2
    assert out == ""
    assert says in squeezed(err)
    assert len(err.splitlines()) == 1


def test_a_missing_file_and_the_file_itself_as_report_are_refused(wood, deck, tmp_path):
    code, _, err = wood(tmp_path / "none.toml", "J1")
    assert code == 2
    assert "there is no such file" in err
    before = deck.read_bytes()
    code, _, err = wood(deck, "J1", "--report", deck)
    assert code == 2
    assert "is a file that is read here" in err
    assert deck.read_bytes() == before


@pytest.mark.parametrize("words", [(), ("J1", "--units", "cgs"), ("J1", "--draws", "3"), ("J1", "J2")])
def test_wrong_usage_is_bad_input(wood, deck, words):
    code, out, err = wood(deck, *words)
    assert code == 2
    assert out == ""
    assert "Usage" in err


def test_a_place_that_is_not_computed_says_so(wood, deck):
    text = starter().replace('place = "open_to_rain"', 'place = "splash"')
    assert text != starter()
    deck.write_text(text, encoding="utf-8")
    code, out, _ = wood(deck, "J1")
    assert code == 0
    assert "is not computed" in squeezed(out)
    assert "salt water splash" in squeezed(out)


@pytest.mark.parametrize("width", ["40", "80", "200"])
def test_no_line_is_too_long_and_nothing_is_cut(wood, deck, monkeypatch, width):
    answer = json.loads(wood(deck, "J1", "--json")[1])["answer"]
    monkeypatch.setenv("COLUMNS", width)
    out = wood(deck, "J1")[1]
    assert max(map(len, out.splitlines())) <= int(width)
    assert "…" not in out
    assert answer in squeezed(out)
