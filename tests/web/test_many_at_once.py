"""Fifty people at once, for a while."""

from __future__ import annotations

import json
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.slow
def test_fifty_people_at_once_meet_no_fault(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(ROOT / "benchmarks")
    run = runpy.run_path(str(ROOT / "benchmarks" / "page.py"))["run"]
    times, faults = run(tmp_path, 60.0)
    assert faults == []
    assert all(times.values())  # every page was asked for; how often hangs on the machine


FIRST_PEOPLE = """
import collections, json, sys, threading
from pathlib import Path
from concurrent.futures import ThreadPoolExecutor
import jinja2
from starlette.testclient import TestClient
from longhold.base import tables
from longhold.intake.reading import parse_text
from longhold.intake.starter_file import starter
from longhold.web.app import make_app
from longhold.web.settings import Settings

loaded, folder, number = collections.Counter(), Path(sys.argv[1]), int(sys.argv[2])

def counting(kind, function, name_at):
    def counted(*args, **named):
        loaded[f"{kind} {args[name_at]}"] += 1
        return function(*args, **named)
    return counted

app = make_app(Settings(store=folder / "store.db"))
app.state.store.save("Deck", parse_text(starter(), "toml"), expecting=0)
tables.read_text = counting("table", tables.read_text, 0)
jinja2.Environment.compile = counting("template", jinja2.Environment.compile, 2)
with TestClient(app, base_url="http://localhost", client=("127.0.0.1", 5)) as client:
    for path in ("/label?text=G185", "/structures/1", "/api/openapi.json"):
        together = threading.Barrier(number)
        def ask(_):
            together.wait(60)
            return client.get(path).status_code
        with ThreadPoolExecutor(number) as pool:
            assert set(pool.map(ask, range(number))) == {200}
print(json.dumps(loaded))
"""


def loaded_by(number: int, folder: Path) -> dict[str, int]:
    command = [sys.executable, "-c", FIRST_PEOPLE, str(folder), str(number)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=True)
    return json.loads(done.stdout)


def test_many_who_are_the_first_load_no_more_than_one_who_is(tmp_path: Path) -> None:
    (tmp_path / "one").mkdir()
    (tmp_path / "many").mkdir()
    one, many = loaded_by(1, tmp_path / "one"), loaded_by(16, tmp_path / "many")
    assert sum(name.startswith("template") for name in one) > 2
    assert sum(name.startswith("table") for name in one) > 10
    assert many == one
