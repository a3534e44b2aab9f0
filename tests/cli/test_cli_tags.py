"""Command ``tag`` as a person types it."""

import json

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


def test_a_tag_is_told_with_its_copper(command):
    code, out, _ = command("tag", "ACQ-D 0.15 pcf UC3B AWPA U1 KDAT")
    assert code == 0
    assert "Read from: ACQ-D | 0.15 pcf | UC3B | AWPA U1 | KDAT" in out
    assert "Copper in the wood: 1.3 kg/m³" in out
    assert "the tag has just that" in " ".join(out.split())


def test_several_readings_are_listed_and_asked_about(command):
    code, out, _ = command("tag", "ACQ", "0.25", "pcf", "UC3B")
    assert code == 0
    assert "reading 3 of 3: ACQ-D" in out
    assert "ACQ-B, ACQ-C or ACQ-D?" in out


def test_less_than_is_listed_is_a_caution(command):
    _, out, _ = command("tag", "CA-C 0.06 pcf UC4A")
    assert "less than is listed for its category" in " ".join(out.split())
    _, out, _ = command("tag", "CA-C 0.15 pcf UC4A")
    assert "less than is listed" not in " ".join(out.split())


@pytest.mark.parametrize("width", [60, 80, 160])
def test_an_old_deck_has_its_possible_treatments_and_tests(command, width):
    code, out, _ = command("tag", "unknown", "--built", "1998", width=width)
    assert code == 0
    words = " ".join(out.split())
    assert "For a deck built in 1998 these remain: CCA-C, ACQ-B, ACQ-C, ACQ-D, CA-B" in words
    assert "reckon with what is hardest on metal" in words
    assert "Arsenic stain" in words
    assert "[memory]" in words
    assert max(map(len, out.splitlines())) <= width


def test_an_old_deck_without_a_year_leaves_all_open(command):
    _, out, _ = command("tag", "unknown")
    assert "--built" in out
    assert "unlikely" not in out


def test_a_year_that_does_not_fit_is_said(command):
    _, out, _ = command("tag", "MCA 0.06 pcf UC3B", "--built", "1990")
    assert "does not fit a deck built in 1990" in " ".join(out.split())


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("UC3B ground contact",), "at odds with itself"),
        (("pressure treated",), "names no preservative"),
        (("unknown", "--built", "98"), "must be a year"),
        (("unknown", "--built", "long ago"), "--built"),
    ],
)
def test_what_cannot_be_used_says_why(command, words, said):
    code, out, err = command("tag", *words)
    assert code == 2
    assert out == ""
    assert said in err


def test_json_only(command):
    code, out, _ = command("tag", "ACQ-D 0.40 pcf UC4A", "--json")
    assert code == 0
    told = json.loads(out)
    assert told["tag"]["preservatives"] == ["ACQ-D"]
    assert told["in_wood"][0]["copper_kg_m3"][0] == pytest.approx(3.43, abs=0.005)
    code, out, _ = command("tag", "unknown", "--built", "2010", "--json")
    assert code == 0
    assert {one["designation"] for one in json.loads(out)["possible"] if not one["likely"]} == {
        "CCA-C",
        "PCP",
        "CR",
    }
