"""Commands keep and kept: once each, and out again as a table."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from longhold.cli.main import run

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def place(tmp_path):
    where = str(tmp_path / "store.db")
    assert run(["save", str(DEMO / "standing_walk.toml"), "--as", "Walk", "--store", where]) == 0
    return where


def test_readings_are_kept_once_and_come_out_as_a_table(place, tmp_path, capsys):
    keep = ["keep", "Walk", "--readings", str(DEMO / "readings.csv"), "--store", place]
    assert run(keep) == 0
    assert run(keep) == 0
    assert "0 new, 9 kept already" in capsys.readouterr().out
    out = tmp_path / "out.csv"
    assert run(["kept", "Walk", "--table", str(out), "--store", place]) == 0
    assert run(["keep", "Walk", "--readings", str(out), "--store", place]) == 0
    assert "0 new, 9 kept already" in capsys.readouterr().out


def test_a_reading_is_taken_back_and_is_in_no_table(place, tmp_path, capsys):
    assert run(["keep", "Walk", "--readings", str(DEMO / "readings.csv"), "--store", place]) == 0
    capsys.readouterr()
    assert run(["kept", "Walk", "--json", "--store", place]) == 0
    entry = json.loads(capsys.readouterr().out)["readings"][0]["entry"]
    out = tmp_path / "out.csv"
    turn = ["--take-back", entry, "--why", "wrong gauge", "--table", str(out)]
    assert run(["kept", "Walk", *turn, "--store", place]) == 0
    assert "taken back" in capsys.readouterr().out.splitlines()[0]
    assert len(out.read_text().splitlines()) == 1 + 8
    assert run(["kept", "Walk", "--count-again", entry, "--store", place]) == 0
    assert "taken back" not in capsys.readouterr().out
    assert run(["kept", "Walk", "--take-back", "none", "--store", place]) == 2


def test_a_delivery_is_checked_and_kept(place, capsys):
    files = ["--delivery", str(DEMO / "delivery.csv"), "--order", str(DEMO / "order.csv")]
    assert run(["keep", "Walk", *files, "--store", place]) == 0
    assert run(["kept", "Walk", "--store", place]) == 0
    assert "delivery delivery.csv" in capsys.readouterr().out
    assert run(["keep", "Walk", "--store", place]) == 2
