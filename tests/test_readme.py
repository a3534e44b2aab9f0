"""The README's commands are real and run as written."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands():
    blocks = re.findall(r"```console\n(.*?)```", README, flags=re.DOTALL)
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
    for name in ("label.jpg", "order.csv", "delivery.csv", "readings.csv", "costs.toml"):
        (tmp_path / name).write_bytes((ROOT / "demo" / name).read_bytes())
    (tmp_path / "walk.toml").write_bytes((ROOT / "demo" / "standing_walk.toml").read_bytes())
    found = list(commands())
    assert len(found) >= 7
    for command in found:
        command, _, written = command.partition(" > ")
        words = re.findall(r'"[^"]*"|\S+', command)
        words = [sys.executable, "-m", *(word.strip('"') for word in words)]
        done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, timeout=120)
        assert done.returncode in (0, 1), f"{command}\n{done.stdout}\n{done.stderr}"
        if written:
            (tmp_path / written).write_text(done.stdout, encoding="utf-8")
    assert (tmp_path / "deck.html").stat().st_size > 50_000


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
