"""The commands of the README, and of the page that goes on with them, are real and run as written."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from longhold.cli.main import run

ROOT = Path(__file__).resolve().parents[1]
SITE_FILES = ("readings.csv", "order.csv", "delivery.csv")
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")


def commands():
    blocks = re.findall(r"```console\n(.*?)```", README + COMMANDS, flags=re.DOTALL)
    for block in blocks:
        for line in block.splitlines():
            command = re.split(r"\s{2,}#", line)[0].strip()
            if command.startswith("longhold "):
                yield command


@pytest.mark.slow
def test_the_longhold_commands_run_one_after_the_other(tmp_path):
    (tmp_path / "cells.csv").write_text(
        (ROOT / "tests" / "against_published" / "data" / "nds_cells.csv").read_text(encoding="utf-8"),
        encoding="utf-8",
    )
    for name in ("label.jpg", "order.csv", "delivery.csv", "costs.toml"):
        (tmp_path / name).write_bytes((ROOT / "demo" / name).read_bytes())
    # the tutorial's stair is told of in a third of the time of the demonstration's walk
    for name, source in (("walk.toml", "stair.toml"), ("readings.csv", "visit.csv")):
        (tmp_path / name).write_bytes((ROOT / "docs" / "tutorial" / source).read_bytes())
    found = list(commands())
    assert len(found) >= 7
    for command in found:
        command, _, written = command.partition(" > ")
        words = re.findall(r'"[^"]*"|\S+', command)
        words = [sys.executable, "-m", *(word.strip('"') for word in words)]
        done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, timeout=600)
        assert done.returncode in (0, 1), f"{command}\n{done.stdout}\n{done.stderr}"
        if written:
            (tmp_path / written).write_text(done.stdout, encoding="utf-8")
    assert (tmp_path / "deck.html").stat().st_size > 50_000


def test_what_comes_from_the_site_is_kept_as_its_block_says(tmp_path, monkeypatch, capsys):
    for name, source in (("walk.toml", "standing_walk.toml"), *((one, one) for one in SITE_FILES)):
        (tmp_path / name).write_bytes((ROOT / "demo" / source).read_bytes())
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LONGHOLD_STORE", str(tmp_path / "store.db"))
    asked = [one for one in commands() if "Creek walk" in one]
    assert [one.split()[1] for one in asked] == ["save", "keep", "keep", "kept"]
    for command in asked:
        assert run(shlex.split(command)[1:]) == 0
    said = capsys.readouterr().out
    assert "9 new" in said
    assert "2 refused" in said
    names = zipfile.ZipFile(tmp_path / "creek.zip").namelist()
    assert any(one.startswith("readings/") and one.endswith("readings.csv") for one in names)
    assert "manifest.json" in names


def test_the_make_targets_exist():
    targets = set(
        re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), flags=re.MULTILINE)
    )
    assert set(re.findall(r"^make (\w+)", README, flags=re.MULTILINE)) <= targets


def test_the_python_example_runs(monkeypatch, capsys):
    monkeypatch.chdir(ROOT)
    (example,) = re.findall(r"```python\n(.*?)```", README, flags=re.DOTALL)
    exec(compile(example, "README.md", "exec"), {})
    assert len(capsys.readouterr().out.splitlines()) == 12


def test_linked_pages_exist():
    for target in re.findall(r"\]\(([^)#]+)\)", README):
        if not target.startswith("docs/pictures"):
            assert (ROOT / target).exists(), target
