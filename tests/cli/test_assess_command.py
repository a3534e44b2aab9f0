"""``longhold assess`` as a person uses it."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from longhold.cli import main
from longhold.intake import starter

SITE = """
name = "Elsewhere"
distance_to_salt_water = "900 km"
climate = { station = "Denver" }
air = { setting = "rural" }
"""
HOLDING = """
name = "Bench"
design_life = "20 years"
application = "other"
[code]
pack = "us_irc"
edition = "2021"
[site]
name = "Yard"
distance_to_salt_water = "900 km"
climate = { station = "Denver" }
[timbers.board]
species = "southern pine"
preservative = "none"
size = "2x8"
[[joints]]
id = "B1"
name = "Seat"
place = "dry_inside"
main = "board"
side = "board"
parts = [{ id = "screw", kind = "wood_screw", size = "#10 x 2-1/2 in", label = "316 stainless" }]
"""


@pytest.fixture
def deck(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_text(starter(), encoding="utf-8")
    return path


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(SITE, encoding="utf-8")
    return path


@pytest.fixture
def assess(capsys, monkeypatch):
    """Run ``assess`` with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "120")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run(["assess", *map(str, words), "--draws", "200"])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_a_joint_that_falls_short_is_code_one_and_the_last_line_counts(assess, deck):
    code, out, err = assess(deck)
    assert code == 1
    assert err == ""
    assert re.fullmatch(r"4 joints: \d holds?, [1-4] falls? short, \d undecided", out.splitlines()[-1])
    for words in (
        "J1 Ledger to house",
        "J2 Joist hangers",
        "in 100 reach 30 years; 90 in 100 asked",
        "not a certificate",
    ):
        assert words in out


def test_nothing_that_fails_is_code_zero(assess, tmp_path):
    path = tmp_path / "bench.toml"
    path.write_text(HOLDING, encoding="utf-8")
    code, out, _ = assess(path)
    assert out.splitlines()[-1].startswith("1 joint: ")
    assert "0 fall short" in out.splitlines()[-1]
    assert code == 0


def test_json_is_all_that_is_printed(assess, deck):
    code, out, err = assess(deck, "--json")
    assert code == 1
    assert err == ""
    said = json.loads(out)
    assert len(said["findings"]) == 4
    assert said["counts"]["fails"] >= 1


def test_other_sites_have_their_own_heading_and_json_becomes_a_list(assess, deck, site):
    _, out, _ = assess(deck, "--at", site)
    assert "Back deck, at Back yard" in out
    assert "Back deck, at Elsewhere" in out
    assert out.splitlines()[-1].startswith("4 joints at 2 sites: ")
    _, out, _ = assess(deck, "--at", site, "--json")
    assert [one["structure"]["site"]["name"] for one in json.loads(out)] == ["Back yard", "Elsewhere"]


def test_the_seed_decides_the_draws(assess, deck):
    first, again, other = (assess(deck, "--json", "--seed", seed)[1] for seed in (1, 1, 2))
    assert first == again
    assert first != other


def test_units_can_be_chosen(assess, deck):
    assert json.loads(assess(deck, "--json", "--units", "si")[1])["structure"]["units"] == "si"


def test_a_report_is_written_and_named(assess, deck, site, tmp_path):
    report = tmp_path / "out.html"
    _, out, _ = assess(deck, "--at", site, "--report", report)
    html = report.read_text(encoding="utf-8")
    assert html.lstrip().lower().startswith("<!doctype html")
    assert "Elsewhere" in html
    assert f"Report: {report}" in out.replace("\n", "")
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["deck.toml", "out.html", "site.toml"]


def test_a_report_without_a_folder_is_refused_before_any_work(assess, deck, tmp_path, monkeypatch):
    def never(*_, **__):
        raise AssertionError("computed first")

    monkeypatch.setattr("longhold.assessment.line.assess", never)
    code, out, err = assess(deck, "--report", tmp_path / "missing" / "out.html")
    assert code == 2
    assert out == ""
    assert "there is no folder" in err


def test_a_report_that_stops_halfway_leaves_nothing(assess, deck, tmp_path, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    code, _, err = assess(deck, "--report", tmp_path / "out.html")
    assert code == 130
    assert err.strip() == "Stopped."
    assert [entry.name for entry in tmp_path.iterdir()] == ["deck.toml"]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('place = "open_to_rain"', 'place = "outside"', "joints[0].place is 'outside': must be one of"),
        ('label = "ASTM A653 G185"', 'label = "ASTM A653 G18"', "joints[1].parts[0].label"),
        ('edition = "2021"', 'edition = "1066"', "1066"),
        ('station = "Atlanta"', 'station = "Atlantis"', "Atlantis"),
        ('preservative = "MCA"', 'preservative = "XYZ"', "timbers.joist.preservative"),
    ],
)
def test_bad_input_is_code_two_with_its_place(assess, deck, old, new, says):
    deck.write_text(starter().replace(old, new, 1), encoding="utf-8")
    code, out, err = assess(deck)
    assert code == 2
    assert out == ""
    assert says in err
    assert "Traceback" not in err


@pytest.mark.parametrize("width", ["40", "60", "80", "120", "200"])
def test_nothing_is_cut_and_no_line_is_too_long(assess, deck, monkeypatch, width):
    whole = json.loads(assess(deck, "--json")[1])
    monkeypatch.setenv("COLUMNS", width)
    _, out, _ = assess(deck)
    assert max(map(len, out.splitlines())) <= int(width)
    assert "…" not in out
    letters = re.sub(r"\s", "", out)
    if int(width) < 130:
        for finding in whole["findings"]:
            assert re.sub(r"\s", "", finding["answer"]) in letters
    else:
        for finding in whole["findings"]:
            assert all(word in out for word in finding["answer"].split())


def test_words_of_the_user_are_shown_as_they_are(assess, deck):
    text = starter().replace('name = "Deck boards"', 'name = "Deck [red]boards[/red] :smile: \\u001b[31m"')
    deck.write_text(text, encoding="utf-8")
    _, out, _ = assess(deck)
    assert "Deck [red]boards[/red] :smile: " in out
    assert "\x1b" not in out


def in_a_terminal(words: list[str], **environment: str) -> bytes:
    """What a command writes to a terminal of its own."""
    ours, theirs = os.openpty()
    env = {**os.environ, "TERM": "xterm-256color", "COLUMNS": "100", **environment}
    env.pop("NO_COLOR", None) if "NO_COLOR" not in environment else None
    with subprocess.Popen(
        [sys.executable, "-m", "longhold", *words], stdin=theirs, stdout=theirs, stderr=theirs, env=env
    ) as process:
        os.close(theirs)
        said = b""
        while chunk := _read(ours):
            said += chunk
        process.wait(timeout=60)
    os.close(ours)
    return said


def _read(handle: int) -> bytes:
    try:
        return os.read(handle, 65_536)
    except OSError:
        return b""


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "openpty"), reason="this system has no pseudo-terminals")
def test_colours_and_a_bar_on_a_terminal_and_no_colours_with_no_color(deck):
    words = ["assess", str(deck), "--draws", "200"]
    said = in_a_terminal(words)
    assert b"\x1b[1;31mfalls short" in said
    assert b"Assessing joints" in said
    plain = in_a_terminal(words, NO_COLOR="1")
    assert b"falls short" in plain
    assert not re.search(rb"\x1b\[[0-9;]*\b(3[0-9]|9[0-7])m", plain)


def test_the_demo_answers_for_both_sites(assess):
    demo = Path(__file__).parents[2] / "demo"
    code, out, _ = assess(demo / "boardwalk.toml", "--at", demo / "inland_site.toml")
    assert code == 1
    assert out.splitlines()[-1].startswith("12 joints at 2 sites: ")
