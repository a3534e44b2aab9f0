"""The example in docs/store.md does what it says."""

from __future__ import annotations

import re
from pathlib import Path

PAGE = Path(__file__).resolve().parents[2] / "docs" / "store.md"


def test_the_python_example_runs(monkeypatch, tmp_path, capsys):
    monkeypatch.chdir(tmp_path)
    (example,) = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), flags=re.DOTALL)
    exec(compile(example, "docs/store.md", "exec"), {})
    assert capsys.readouterr().out == "Newest by now: 2\n2  \n1 Ann as built\n"
