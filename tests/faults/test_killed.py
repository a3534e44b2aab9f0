"""Killed (kill -9) while a file is brought in, a store is brought up to date, a portfolio is assessed."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import textwrap
import time

import pytest
import sqlalchemy as sa

from longhold.portfolio.drawing import Terms
from longhold.portfolio.engine import OnThisProcess
from longhold.portfolio.folder import gather_folder
from longhold.portfolio.joints import each_part, write_parts
from longhold.portfolio.line import run_portfolio
from longhold.store import Store
from longhold.store.connecting import connect
from longhold.store.migrating import bring_up_to_date, newest_revision
from longhold.store.place import place_of

ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))}


def killed(work: str, times: list[tuple[bool, float, tuple[object, ...]]]) -> list[int]:
    """How often the work told of itself before each kill.

    Times are whether it waits to be told once, the time till the kill [s], and the words of the work.

    One process loads everything once; what is killed is a fork of it.
    """
    script = textwrap.dedent(work) + textwrap.dedent("""
        import json, signal, time
        for waits, after_s, words in json.loads(sys.argv[1]):
            read, write = os.pipe()
            child = os.fork()
            if child == 0:
                os.close(read)
                work(lambda: os.write(write, b"."), *words)
                os._exit(0)
            os.close(write)
            told = len(os.read(read, 1)) if waits else 0
            time.sleep(after_s)
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            print(told + len(os.read(read, 1_000_000)))
            os.close(read)
    """)
    given = json.dumps([(waits, after_s, list(map(str, words))) for waits, after_s, words in times])
    done = subprocess.run(
        [sys.executable, "-c", script, given], capture_output=True, env=ENVIRONMENT, timeout=300
    )
    assert done.returncode == 0, done.stderr.decode()
    return [int(line) for line in done.stdout.split()]


IMPORT = """
    import json, os, sys
    import longhold.intake.whole_document, longhold.store
    from longhold.cli.main import run
    said, sys.stdout = sys.stdout, open(os.devnull, "w")
    file, _, place, *_ = json.loads(sys.argv[1])[0][2]
    run(["save", file, "--store", place + ".loaded"])  # with everything that it takes in memory
    sys.stdout = said
    def work(tell, *words):
        sys.stdout = open(os.devnull, "w")
        while run(["save", *words]) == 0:
            tell()
"""


@pytest.mark.slow
def test_files_that_are_brought_in_are_there_whole_or_not_at_all(tmp_path, quick):
    deck, place, chance = tmp_path / "deck.toml", tmp_path / "store.db", random.Random(3)
    deck.write_text(quick(), encoding="utf-8")
    times = [
        (kill % 2 == 1, chance.uniform(0.0, 0.5), (deck, "--store", place, "--as", f"Deck {kill}"))
        for kill in range(6)
    ]
    acknowledged = killed(IMPORT, times)
    with Store.open(place) as store:
        found = {one.name: one.newest for one in store.structures().items}
        for kill, saved in enumerate(acknowledged):
            assert saved <= found.get(f"Deck {kill}", 0) <= saved + 1
        assert {store.newest(name).content["name"] for name in found} == {"deck"}
        assert store.check().is_whole
    assert sum(acknowledged) > 0
    assert not list(tmp_path.glob(".*.part"))


BROUGHT_IN = """
    import os, sys
    from pathlib import Path
    from starlette.testclient import TestClient
    import longhold.intake.whole_document
    from longhold.web.app import make_app
    from longhold.web.settings import Settings
    def work(tell, file, place):
        sent = Path(file).read_bytes()
        app = make_app(Settings(store=Path(place)))
        here = {"base_url": "http://127.0.0.1", "client": ("127.0.0.1", 50000), "follow_redirects": False}
        with TestClient(app, **here) as client:
            while client.post("/structures/file", files={"file": ("deck.toml", sent)}).status_code == 303:
                tell()
"""


@pytest.mark.slow
def test_files_that_are_brought_in_on_the_page_are_there_whole_or_not_at_all(tmp_path, quick):
    deck, place, chance = tmp_path / "deck.toml", tmp_path / "store.db", random.Random(5)
    deck.write_text(quick(), encoding="utf-8")
    times = [(True, chance.uniform(0.0, 0.3), (deck, place)) for _ in range(6)]
    acknowledged = sum(killed(BROUGHT_IN, times))
    assert acknowledged >= len(times)
    with Store.open(place) as store:
        found = store.structures(limit=500).items
        assert acknowledged <= len(found) <= acknowledged + len(times)
        joints = [len(store.newest(one.name).content["joints"]) for one in found]
        assert set(joints) == {1}
        assert store.check().is_whole


MIGRATION = """
    import os, sys
    import longhold.store.migrating as migrating
    from longhold.store import Store
    migrating.newest_revision()
    def work(tell, place):
        Store.open(place).close()
        tell()
"""


@pytest.mark.slow
def test_a_store_that_is_brought_up_to_date_is_of_the_old_shape_or_the_new(tmp_path):
    old, chance = tmp_path / "old.db", random.Random(11)
    engine = connect(place_of(str(old)), create=True)
    bring_up_to_date(engine.execution_options(longhold_writes=True), "old", to="0001")
    with engine.begin() as connection:
        connection.exec_driver_sql(
            "INSERT INTO structures (name, name_key, newest, saved_at, created_at)"
            " VALUES ('Old deck', 'old deck', 0, '2026-01-02 03:04:05', '2026-01-02 03:04:05')"
        )
    engine.dispose()
    places = [tmp_path / str(kill) / "store.db" for kill in range(10)]
    for place in places:
        place.parent.mkdir()
        place.write_bytes(old.read_bytes())
    done = killed(MIGRATION, [(False, chance.uniform(0.0, 0.4), (place,)) for place in places])
    assert 0 in done
    for place in places:
        look = sa.create_engine(f"sqlite:///{place}")
        with look.connect() as connection:
            shape = connection.exec_driver_sql("SELECT version_num FROM longhold_revision").scalar_one()
            tables = sa.inspect(connection).get_table_names()
        look.dispose()
        assert shape in {"0001", newest_revision()}
        assert ("accounts" in tables) == (shape != "0001")
        with Store.open(place) as store:
            assert store.structure(1).name == "Old deck"
            assert store.save("New deck", {}).number == 1
        former = place.with_name(f"store.db.before-{newest_revision()}")
        assert {one.name for one in place.parent.iterdir()} == {"store.db", former.name}


def children(pid: int) -> list[int]:
    """Processes that a process has started, and those that they have."""
    import psutil

    return [one.pid for one in psutil.Process(pid).children(recursive=True)]


@pytest.mark.slow
def test_a_portfolio_whose_command_is_killed_goes_on_and_leaves_no_process(tmp_path, quick):
    import psutil

    structures, out = tmp_path / "structures", tmp_path / "results"
    structures.mkdir()
    for number in range(8):
        (structures / f"{number}.toml").write_text(quick(f"deck {number}", number + 1), encoding="utf-8")
    words = ["portfolio", structures, "--out", out, "--workers", 1, "--exact", "--draws", 200]
    command = [sys.executable, "-m", "longhold", *map(str, words)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, env=ENVIRONMENT)
    until = time.monotonic() + 120
    while len(list(out.glob("combinations/class-*"))) < 2 and time.monotonic() < until:
        time.sleep(0.01)
    its_own = [psutil.Process(one) for one in children(process.pid)]
    process.kill()
    process.wait()
    kept = {one: one.stat().st_mtime_ns for one in out.glob("combinations/class-*")}
    assert 2 <= len(kept) < 8
    assert not list(out.glob("joints/*"))
    assert psutil.wait_procs(its_own, 30)[1] == []
    gathered = gather_folder(structures, OnThisProcess())
    found, folder = run_portfolio(gathered, out, OnThisProcess(), Terms(200), None)
    write_parts(found, folder)
    assert {one: one.stat().st_mtime_ns for one in kept} == kept  # what was drawn before is not drawn again
    assert len(list(out.glob("combinations/class-*"))) == 8
    assert sum(len(part.joints) for part in each_part(found)) == 8
    assert not list(out.rglob("*.part"))
