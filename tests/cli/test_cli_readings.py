"""``longhold readings`` as a person uses it."""

import json
from pathlib import Path

import pytest

from longhold.cli import main

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def readings(capsys, monkeypatch):
    """Run ``readings`` with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "110")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run(["readings", "--draws", "200", *map(str, words)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def walk(tmp_path):
    """The demo structure and a table with one of its readings."""
    structure, table = tmp_path / "walk.toml", tmp_path / "readings.csv"
    structure.write_bytes((DEMO / "standing_walk.toml").read_bytes())
    lines = (DEMO / "readings.csv").read_text(encoding="utf-8").splitlines()
    table.write_text("\n".join([lines[0], lines[1], lines[1], lines[-1]]), encoding="utf-8")
    return structure, table


def test_screen_page_and_json_say_the_same(readings, walk, tmp_path):
    page = tmp_path / "page.html"
    code, out, err = readings(*walk, "--report", page)
    assert code == 1  # joints of the demo fall short
    assert err == ""
    lede = "1 reading corrects the forecast; 1 more is kept and does not."
    assert lede in " ".join(out.split())
    assert "Line 3 says the same as line 2 and is left out." in out
    html = page.read_text(encoding="utf-8")
    assert lede in html
    told = json.loads(readings(*walk, "--json")[1])
    assert told["answer"].startswith(lede)
    assert told["readings"][0]["after"]["p50"] != told["readings"][0]["before"]["p50"]
    assert {one["id"] for one in told["joints"]} == {f"W0{i}" for i in range(1, 8)}
    for one in told["joints"]:
        assert one["words"]["end_after"].casefold() in html.casefold()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("W01,", "W99,", "joint is 'W99': is not in the structure"),
        ("1.3 mil", "1.3", "needs a unit"),
        ("2026-06-12", "2013-06-12", "must lie after 2014-05-01"),
        ("2026-06-12", "2096-06-12", "lies in the future"),
        ("outer", "shank", "is no face of a hanger: it has outer, contact"),
    ],
)
def test_what_is_wrong_is_told_and_no_page_is_written(readings, walk, tmp_path, old, new, said):
    structure, table = walk
    table.write_text(table.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    page = tmp_path / "page.html"
    code, _, err = readings(structure, table, "--report", page)
    assert code == 2
    assert said in " ".join(err.split())
    assert not page.exists()


def test_a_table_that_is_not_there_is_told(readings, walk):
    code, _, err = readings(walk[0], "nowhere.csv")
    assert code == 2
    assert "nowhere.csv" in err
