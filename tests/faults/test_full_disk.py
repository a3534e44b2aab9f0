"""A disk that is full, really: every kind of file that is written, and what the person is told."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from longhold.cli.main import run

COMMANDS = """
    import json
    from longhold.base.errors import InputError
    from longhold.portfolio.drawing import Terms
    from longhold.portfolio.engine import OnThisProcess
    from longhold.portfolio.folder import gather_folder
    from longhold.portfolio.joints import write_parts
    from longhold.portfolio.line import run_portfolio
    deck, store = Path(sys.argv[3]), sys.argv[4]
    gauge = disk / "gauge.csv"
    gauge.write_text("piece,reading\\n" + "".join(f"{piece},90 um\\n" for piece in range(1, 6)))
    asked = {
        "deck.html": ("assess", deck, "--draws", 200, "--report"),
        "deck.json": ("convert", deck, "--replace"),
        "deck.xlsx": ("convert", deck, "--replace"),
        "lot.pdf": (
            *("sample", "--standard", "A123", "--lot", 800, "--label", "A123 plate 5 mm"),
            *("--readings", gauge, "--report"),
        ),
        "backup.db": ("backup", "--replace", "--store", store),
        "loaded.xlsx": ("load", "deck", "--replace", "--store", store, "--out"),
    }
    if limited:  # a store that is elsewhere could not be opened either
        del asked["backup.db"], asked["loaded.xlsx"]
    def portfolio():
        gathered = gather_folder(deck.parent / "structures", OnThisProcess())
        return run_portfolio(gathered, out, OnThisProcess(), Terms(200), None)
    out = disk / "results"
    portfolio()
    for name in asked:
        (disk / name).write_text("what was there")
    fill()
    there = left()
    for name, words in asked.items():
        target = disk / name
        code, said = run(*words, target)
        whole = target.read_text() == "what was there"
        print(json.dumps({"name": name, "code": code, "said": said, "whole": whole, "left": left() == there}))
    name = "begun.xlsx"
    code, said = run("new", disk / name)
    print(json.dumps({"name": name, "code": code, "said": said, "whole": True, "left": left() == there}))
    print("portfolio")
    wanted = len(list(out.glob("combinations/*")))
    sorted(out.glob("combinations/*"))[-1].unlink()
    kept = {one: one.read_bytes() for one in out.rglob("*") if one.is_file()}
    fill()
    try:
        portfolio()
    except InputError as error:
        print(error)
    print({one: one.read_bytes() for one in out.rglob("*") if one.is_file()} == kept)
    make_room()
    write_parts(*portfolio())
    print(len(list(out.glob("combinations/*"))) == wanted, not list(out.rglob("*.part")))
"""


@pytest.mark.slow
def test_no_file_is_half_written_and_the_one_before_stays(on_small_disk, tmp_path, quick):
    deck, store = tmp_path / "deck.toml", tmp_path / "store.db"
    deck.write_text(quick(), encoding="utf-8")
    (tmp_path / "structures").mkdir()
    for name, salt in (("south", 1), ("north", 40)):
        (tmp_path / "structures" / f"{name}.toml").write_text(quick(name, salt), encoding="utf-8")
    assert run(["save", str(deck), "--store", str(store)]) == 0
    files, portfolio = on_small_disk(COMMANDS, deck, store).split("portfolio\n")
    told = [json.loads(line) for line in files.splitlines()]
    assert len(told) >= 5
    for one in told:
        assert one["code"] == 2, one
        # where no file may grow, those that the library of workbooks writes on the way are refused first
        on_the_way = ".xlsx" in one["name"] and "a temporary file in" in one["said"]
        assert one["name"] in one["said"] or on_the_way, one
        assert "Make room" in one["said"], one
        assert "Traceback" not in one["said"]
        assert len(one["said"].splitlines()) == 1, one
        assert one["whole"], one
        assert one["left"], one
    told, whole, goes_on = portfolio.splitlines()
    assert "cannot be written" in told
    assert "results/" in told
    assert "Make room" in told
    assert (whole, goes_on) == ("True", "True True")


STORE = """
    from longhold.store import Store, StoreFull
    with Store.open(disk / "store.db") as store:
        for number in range(1, 4):
            store.save("Deck", {"number": number})
        fill()
        saved, told = 3, ""
        try:
            while saved < 500:
                saved = store.save("Deck", {"number": saved + 1, "ballast": "x" * 9000}).number
        except StoreFull as error:
            told = str(error)
        print(told)
        print(store.newest("Deck").number == saved)
    make_room()
    with Store.open(disk / "store.db") as store:
        print(store.check().is_whole, store.newest("Deck").number == saved)
        print(store.save("Deck", {}).number == saved + 1)
"""


def test_a_store_on_a_full_disk_keeps_all_it_acknowledged(on_small_disk):
    told, newest, whole, goes_on = on_small_disk(STORE, size="2m").splitlines()
    assert "store.db: there is no room left to write; nothing was changed. Make room" in told
    assert (newest, whole, goes_on) == ("True", "True True", "True")


NEW_STORE = """
    from longhold.store import Store, StoreFull
    fill()
    try:
        Store.open(disk / "store.db").close()
    except StoreFull as error:
        print(error)
    print(sorted(one.name for one in disk.glob("store*")))
"""


def test_a_store_for_which_there_is_no_room_leaves_no_empty_file(on_small_disk):
    told, left = on_small_disk(NEW_STORE, size="2m").splitlines()
    assert "there is no room left to write" in told
    assert left == "[]"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full, a disk that is always full")
def test_output_that_goes_to_a_full_disk_is_told(quick):
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "longhold", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
            timeout=120,
        )
    assert done.returncode == 2
    assert done.stderr == (
        "what is printed: cannot be written: No space left on device. "
        "Make room on the disk, or choose another one.\n"
    )
