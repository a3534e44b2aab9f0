"""The program in docs/api.md is typed and runs."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "api.md").read_text(encoding="utf-8")


def _program() -> str:
    (program,) = re.findall(r"```python\n(.*?)```", PAGE, flags=re.DOTALL)
    return program


@pytest.mark.slow
def test_the_program_of_the_page_runs(
    address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    given = json.loads(json.dumps(parse_text(starter(), "toml"), default=str))
    (tmp_path / "deck.json").write_text(json.dumps(given))
    monkeypatch.chdir(tmp_path)
    program = _program()
    assert "http://127.0.0.1:8765" in program
    exec(compile(program.replace("http://127.0.0.1:8765", address), "docs/api.md", "exec"), {})
    told = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in told] == [joint["id"] for joint in given["joints"]]
    assert {line.split()[1] for line in told} <= {"holds", "fails", "refer"}


@pytest.mark.slow
def test_the_program_of_the_page_is_typed(tmp_path: Path) -> None:
    from mypy import api

    (tmp_path / "program.py").write_text(_program())
    said, wrong, status = api.run(["--strict", "--cache-dir", str(tmp_path), str(tmp_path / "program.py")])
    assert (status, wrong) == (0, ""), said
