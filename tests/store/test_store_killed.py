"""Killed at random moments: whatever was acknowledged is there, and nothing is half there."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import textwrap
import time

import pytest

from longhold.store import Store

KILLS = 36
WRITER = """
    import os, sys
    from longhold.store import Store
    store = Store.open(sys.argv[1])
    begun = int(sys.argv[2])
    for number in range(begun, begun + 100_000):
        saved = store.save(f"Deck {number % 7}", {"number": number, "ballast": "x" * (number * 37 % 20_000)})
        # written at once and whole: what stands here was acknowledged
        os.write(1, f"{saved.structure_id} {saved.number} {number} {saved.sha256}\\n".encode())
"""


@pytest.mark.slow
def test_killed_while_saving(tmp_path):
    place, chance = tmp_path / "store.db", random.Random(20260501)
    acknowledged: list[list[str]] = []
    for kill in range(KILLS):
        writer = subprocess.Popen(
            [sys.executable, "-c", textwrap.dedent(WRITER), str(place), str(kill * 100_000)],
            stdout=subprocess.PIPE,
        )
        assert writer.stdout is not None
        # from the first moments, when the file is made and its tables are, to well within the saving
        first = b"" if kill % 6 == 0 else writer.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.6 if kill % 6 == 0 else 0.15))
        writer.kill()
        said = first + writer.stdout.read()
        writer.stdout.close()
        assert writer.wait(30) == -9
        acknowledged += [line.split() for line in said.decode().splitlines()]

    assert len(acknowledged) > KILLS
    with Store.open(place) as store:
        for structure, version, number, hashed in acknowledged:
            found = store.at(int(structure), int(version))
            assert (found.content["number"], found.sha256) == (int(number), hashed)
        checked = store.check()
        assert checked.faults == ()
        # at most the one save under way at each kill may be there without having been acknowledged
        assert len(acknowledged) <= checked.versions <= len(acknowledged) + KILLS
        assert json.dumps(store.newest("Deck 0").content)
    assert not (tmp_path / "store.db-wal").exists()


@pytest.mark.slow
def test_killed_while_a_backup_is_written_leaves_no_half_backup(tmp_path):
    place, backup, chance = tmp_path / "store.db", tmp_path / "backup.db", random.Random(7)
    with Store.open(place) as store:
        for number in range(40):
            store.save("Deck", {"number": number, "ballast": "y" * 400_000})
    script = """
        import sys
        from longhold.store import Store
        store = Store.open(sys.argv[1])
        print("open", flush=True)
        while True:
            store.backup(sys.argv[2], replace=True)
            print("written", flush=True)
    """
    for kill in range(8):
        writer = subprocess.Popen(
            [sys.executable, "-c", textwrap.dedent(script), str(place), str(backup)], stdout=subprocess.PIPE
        )
        assert writer.stdout is not None
        writer.stdout.readline()
        if kill % 2:  # the first one is whole, the next is under way, however slow the machine
            writer.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.5))
        writer.kill()
        writer.stdout.close()
        writer.wait(30)
        if backup.exists():
            with Store.open(backup, create=False) as copy:
                assert copy.check().is_whole
                assert copy.newest("Deck").number == 40
    assert backup.exists()
