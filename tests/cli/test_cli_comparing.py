"""Commands ``compare`` and ``meets`` as a person types them."""

import json
import xml.etree.ElementTree as ET

import pytest

from longhold.cli import main


@pytest.fixture
def command(capsys, monkeypatch):
    """Run one command in this process at a width; gives code, standard output and standard error."""

    def run(*words: str, width: int = 80) -> tuple[int, str, str]:
        monkeypatch.setenv("COLUMNS", str(width))
        code = main.run(words)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.mark.parametrize("width", [60, 80, 110, 160])
def test_labels_stand_side_by_side_with_bars_and_figures(command, width):
    code, out, _ = command("compare", "G185", "ASTM A153 class D", "316 stainless", width=width)
    assert code == 0
    assert "27.4 to 39.5 µm" in out
    assert "36 to 43 µm" in out
    assert "PREN 24.1" in out
    assert max(map(len, out.splitlines())) <= width
    words = " ".join(out.split())
    assert "counts the total of both faces" in words or "total of both" in words


def test_the_longer_bar_is_the_thicker_coat(command):
    _, out, _ = command("compare", "G60", "G185")
    thin, thick = (line for line in out.splitlines() if "░" in line and "µm" in line)
    assert thin.count("█") < thick.count("█")
    assert thin.count("█") + thin.count("░") < thick.count("█") + thick.count("░")


def test_a_terminal_without_blocks_gets_plain_letters(command, monkeypatch):
    monkeypatch.setattr("longhold.cli.comparing._draws_blocks", lambda _: False)
    _, out, _ = command("compare", "G185")
    assert "####" in out
    assert "█" not in out


def test_each_reading_is_shown_and_the_question_asked(command):
    code, out, _ = command("compare", "Z100")
    assert code == 0
    assert "or: AS 1397 Z100" in out
    assert "Z100 of which standard" in out


def test_one_unreadable_label_says_why_and_only_all_unreadable_is_an_error(command):
    code, out, _ = command("compare", "G90", "xyzzy")
    assert code == 0
    assert "no designation" in out
    code, out, err = command("compare", "xyzzy", "plugh")
    assert code == 2
    assert out == ""
    assert "'xyzzy'" in err
    assert "'plugh'" in err


def test_the_drawing_is_written_whole_and_reads_as_xml(command, tmp_path):
    path = tmp_path / "coats.svg"
    code, out, _ = command("compare", "G185", "<b>&", "--svg", str(path))
    assert code == 0
    assert f"Drawing: {path}" in "".join(out.splitlines())
    assert ET.parse(path).getroot().tag.endswith("svg")
    code, _, err = command("compare", "G185", "--svg", str(tmp_path / "no" / "x.svg"))
    assert code == 2
    assert "--svg" in err


def test_json_only(command):
    code, out, _ = command("compare", "G185", "xyzzy", "--json")
    assert code == 0
    first, second = json.loads(out)["labels"]
    assert first["promises"][0]["expected_um"] == 39.5
    assert first["promises"][0]["mark"] == "verified"
    assert second["promises"] == []
    assert second["refused"]


def test_what_meets_a_demand_is_listed_with_how(command):
    code, out, _ = command("meets", "0.9 oz/ft2 per face", "--form", "sheet")
    assert code == 0
    lines = {line.split("  ")[1].strip(): line for line in out.splitlines() if "ASTM A653 G" in line}
    assert lines["ASTM A653 G185"].rstrip().endswith("only as expected")
    assert lines["ASTM A653 G300"].rstrip().endswith("yes, even at its least")
    assert lines["ASTM A653 G165"].rstrip().endswith("just misses")
    assert "A153" not in out
    assert max(map(len, out.splitlines())) <= 80


def test_a_demand_may_be_typed_without_quotes(command):
    assert command("meets", "45", "um", "--form", "wire")[0] == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("0.9 oz/ft2",), "both faces"),
        (("G185",), "39.5 um"),
        (("45 um", "--form", "boat"), "--form"),
        ((), "Missing argument"),
    ],
)
def test_a_demand_that_cannot_be_used_says_what_to_type(command, words, said):
    code, out, err = command("meets", *words)
    assert code == 2
    assert out == ""
    assert said in err


def test_nothing_that_carries_it_is_said(command):
    code, out, _ = command("meets", "4000 g/m2 per face")
    assert code == 0
    assert "No designation held here carries it." in out


def test_demand_as_json(command):
    code, out, _ = command("meets", "275 g/m2 both faces", "--json")
    assert code == 0
    told = json.loads(out)
    assert told["demand"]["amount"] == 137.5
    assert {group["form"] for group in told["groups"]} == {"sheet", "article", "fastener", "wire"}
    assert all(one["mark"] for group in told["groups"] for one in group["designations"])
