"""The command ``weather``."""

from __future__ import annotations

from longhold.cli.main import run


def test_the_maps_answer_without_a_network(capsys):
    assert run(["weather", "34.2", "-77.9"]) == 0
    printed = capsys.readouterr().out
    assert printed.count("\n") >= 13
    assert "world maps" in printed


def test_a_file_is_written_and_a_missing_folder_refused(tmp_path, capsys):
    assert run(["weather", "34.2", "-77.9", "--out", str(tmp_path / "w.csv")]) == 0
    assert (tmp_path / "w.csv").read_text(encoding="utf-8").startswith("# ")
    assert run(["weather", "34.2", "-77.9", "--out", str(tmp_path / "no" / "w.csv")]) == 2
    assert "no" in capsys.readouterr().err


def test_a_place_that_is_none(capsys):
    assert run(["weather", "95", "0"]) == 2
    assert "between -90 and 90" in capsys.readouterr().err
