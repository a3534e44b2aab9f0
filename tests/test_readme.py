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
# in processes of their own, as whatever is written to a file: the first command, photographs, many workers
STARTED = ("new", "label", "portfolio")
COMMANDS = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")


def commands():
    blocks = re.findall(r"```console\n(.*?)```", README + COMMANDS, flags=re.DOTALL)
    for block in blocks:
        for line in block.splitlines():
            command = re.split(r"\s{2,}#", line)[0].strip()
            if command.startswith("longhold "):
                yield command


@pytest.mark.slow
def test_the_longhold_commands_run_one_after_the_other(tmp_path, monkeypatch, capsys):
    (tmp_path / "cells.csv").write_text(
        (ROOT / "tests" / "against_published" / "data" / "nds_cells.csv").read_text(encoding="utf-8"),
        encoding="utf-8",
    )
    for name in ("label.jpg", "order.csv", "delivery.csv", "costs.toml"):
        (tmp_path / name).write_bytes((ROOT / "demo" / name).read_bytes())
    # the tutorial's stair is told of in a third of the time of the demonstration's walk
    for name, source in (("walk.toml", "stair.toml"), ("readings.csv", "visit.csv")):
        (tmp_path / name).write_bytes((ROOT / "docs" / "tutorial" / source).read_bytes())
    monkeypatch.chdir(tmp_path)
    found = list(commands())
    assert len(found) >= 7
    apart = set()
    for command in found:
        command, _, written = command.partition(" > ")
        words = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', command)][1:]
        if written or words[0] in STARTED:
            apart.add(words[0])
            code, said, complaint = started(words)
        else:
            code = run(words)
            said, complaint = capsys.readouterr()
        assert code in (0, 1), f"{command}\n{said}\n{complaint}"
        if written:
            (tmp_path / written).write_text(said, encoding="utf-8")
    assert apart == {"assess", *STARTED}
    assert (tmp_path / "deck.html").stat().st_size > 50_000


def started(words):
    """What a command says in a process of its own."""
    words = [sys.executable, "-m", "longhold", *words]
    done = subprocess.run(words, capture_output=True, text=True, timeout=600)
    return done.returncode, done.stdout, done.stderr


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
