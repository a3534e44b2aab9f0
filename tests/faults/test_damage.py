"""Bytes of a store's file are flipped: told at opening, with the newest backup and how to put it back."""

from __future__ import annotations

import html
import os
import re
import shlex
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from longhold.cli.main import run
from longhold.store import Store, StoreDamaged, checking, known_backups, restore_backup
from longhold.store.known_backups import way_back
from longhold.web.app import make_app
from longhold.web.settings import Settings

HOUR_S = 3600


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """A store with two backups, the newer one in a folder with a blank in its name, and saves after both."""
    file, folder = tmp_path / "store.db", tmp_path / "my backups"
    folder.mkdir()
    with Store.open(file) as opened:
        for number in range(1, 31):
            opened.save("Deck", {"number": number, "ballast": chr(97 + number % 26) * 9000})
            if number == 10:
                opened.backup(tmp_path / "first.db")
            if number == 20:
                opened.backup(folder / "second.db")
    for age, backup in ((3, tmp_path / "first.db"), (2, folder / "second.db")):
        then = file.stat().st_mtime - age * HOUR_S
        os.utime(backup, (then, then))
    return file


def flip(file: Path, table: str) -> None:
    """Every bit of the first bytes of the page from which a table hangs."""
    with closing(sqlite3.connect(file)) as opened:
        page = opened.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()[0]
        size = opened.execute("PRAGMA page_size").fetchone()[0]
    with file.open("rb+") as stream:
        stream.seek((page - 1) * size)
        was = stream.read(64)
        stream.seek((page - 1) * size)
        stream.write(bytes(byte ^ 0xFF for byte in was))


@pytest.mark.parametrize("table", ["structures", "versions", "accounts"])
def test_it_is_told_at_opening_and_the_command_that_is_named_mends_it(store, table, capsys):
    flip(store, table)
    with pytest.raises(StoreDamaged, match="is damaged") as told:
        Store.open(store)
    newest = store.parent / "my backups" / "second.db"
    assert f"The newest backup that is known is {newest}, of 20" in str(told.value)
    assert run(["saved", "--store", str(store)]) == 2
    said = capsys.readouterr().err
    (command,) = re.findall(r"run: (longhold restore .*)", said)
    assert run(shlex.split(command)[1:]) == 0
    with Store.open(store) as opened:
        assert opened.newest("Deck").number == 20
        assert opened.check().is_whole
    assert len(list(store.parent.glob("store.db.replaced-*"))) == 1


def test_a_backup_that_is_gone_or_damaged_itself_is_not_named(store):
    flip(store, "versions")
    flip(store.parent / "my backups" / "second.db", "versions")
    with pytest.raises(StoreDamaged, match=r"newest backup that is known is .*first\.db"):
        Store.open(store)
    (store.parent / "first.db").unlink()
    with pytest.raises(StoreDamaged, match="No backup of it is known here"):
        Store.open(store)


def no_bytes(backup: Path) -> None:
    backup.write_bytes(b"")


def of_another_program(backup: Path) -> None:
    backup.unlink()
    with closing(sqlite3.connect(backup)) as opened, opened:
        opened.execute("CREATE TABLE a (b)")


def not_as_written(backup: Path) -> None:
    with closing(sqlite3.connect(backup)) as opened, opened:
        opened.execute("UPDATE versions SET content = '{}' WHERE number = 3")


@pytest.mark.parametrize("spoil", [no_bytes, of_another_program, not_as_written])
def test_what_would_be_refused_as_a_backup_is_not_named(store, spoil):
    spoil(store.parent / "my backups" / "second.db")
    assert "first.db" in way_back(str(store))


def test_a_damaged_backup_is_not_answered_with_a_command_to_restore_it(store):
    flip(store.parent / "first.db", "versions")
    with pytest.raises(StoreDamaged) as told:
        restore_backup(store.parent / "first.db", store)
    assert "An older backup may be whole" in str(told.value)
    assert "longhold restore" not in str(told.value)


def test_a_backup_is_looked_through_once_and_a_large_one_not_at_all(store, monkeypatch):
    looked = []
    look = checking.check_connection
    monkeypatch.setattr(checking, "check_connection", lambda *a, **b: looked.append(a) or look(*a, **b))
    assert way_back(str(store)) == way_back(str(store))
    assert len(looked) == 1
    monkeypatch.setattr(known_backups, "LOOKED_THROUGH_BYTES", 1000)
    assert "is large and was not looked through" in way_back(str(store))
    assert len(looked) == 1


def test_a_flipped_bit_in_a_version_is_never_given_out_and_the_others_can_be_had(store, tmp_path, capsys):
    content = store.read_bytes()
    place = content.rindex(b"e" * 2000) + 1000  # within version 30
    store.write_bytes(content[:place] + bytes([content[place] ^ 1]) + content[place + 1 :])
    asked = ["load", "Deck", "--store", str(store), "--out", str(tmp_path / "out.json")]
    assert run(asked) == 2
    assert "version 30 of 'Deck' is not what was saved" in capsys.readouterr().err
    with Store.open(store, damaged=True) as opened:
        assert opened.at("Deck", 29).content["number"] == 29
    assert run(["store-check", "--store", str(store)]) == 1
    said = capsys.readouterr().out
    assert "structure and version 1, 30: not what was written" in said
    assert "second.db'" in said
    assert "longhold restore" in said


def test_a_check_tells_each_fault_once_and_in_a_line(store, capsys):
    flip(store, "versions")
    assert run(["store-check", "--store", str(store)]) == 1
    said = capsys.readouterr().out
    told = [line for line in said.splitlines() if line.startswith("- ")]
    assert told
    assert said.count("longhold restore") == 1
    assert len(set(told)) == len(told)
    assert not [line for line in told if "***" in line]


def test_the_page_says_the_same(store):
    app = make_app(Settings(store=store))
    where = {"base_url": "http://127.0.0.1:8765", "client": ("127.0.0.1", 50000)}
    with TestClient(app, **where, raise_server_exceptions=False) as asking:
        assert asking.get("/structures").status_code == 200
        app.state.store._reader.dispose()  # what was read before is not in memory any more
        flip(store, "versions")
        for address in ("/structures", "/api/structures"):
            answer = asking.get(address)
            assert answer.status_code == 503
            said = html.unescape(answer.text)
            assert "second.db" in said
            assert "longhold restore" in said


def test_the_page_does_not_start_on_a_damaged_store(store, capsys):
    flip(store, "versions")
    assert run(["serve", "--no-browser", "--port", "0", "--store", str(store)]) == 2
    assert "longhold restore" in capsys.readouterr().err
