"""Backups while others write, and putting one back."""

from __future__ import annotations

import hashlib
import sqlite3
import threading
from contextlib import closing

import pytest

from longhold.store import Store, StoreDamaged, StoreError, StoreTooNew, StoreUnreachable, restore_backup


def test_a_backup_is_one_whole_file(in_file, deck, tmp_path):
    in_file.save("Deck", deck(1))
    made = in_file.backup(tmp_path / "backup.db")
    assert made.checked.is_whole
    assert (made.checked.structures, made.checked.versions) == (1, 1)
    data = made.file.read_bytes()
    assert (made.size_bytes, made.sha256) == (len(data), hashlib.sha256(data).hexdigest())
    # judged by the database library itself, without any code of ours
    with closing(sqlite3.connect(f"file:{made.file}?mode=ro&immutable=1", uri=True)) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("SELECT count(*) FROM versions").fetchone() == (1,)
    assert {one.name for one in tmp_path.iterdir() if "backup" in one.name} == {"backup.db"}
    assert made.file.stat().st_mode & 0o077 == 0


def test_a_backup_falls_on_no_file_unless_told_to(in_file, deck, tmp_path):
    target = tmp_path / "backup.db"
    target.write_bytes(b"something else")
    with pytest.raises(StoreError, match="is there already"):
        in_file.backup(target)
    assert target.read_bytes() == b"something else"
    in_file.backup(target, replace=True)
    with pytest.raises(StoreUnreachable, match="cannot be written"):
        in_file.backup(tmp_path / "missing" / "backup.db")


def test_the_store_itself_is_no_place_for_its_backup(in_file, deck):
    in_file.save("Deck", deck(1))
    with pytest.raises(StoreError, match="the store itself"):
        in_file.backup(in_file.place.file, replace=True)
    assert in_file.newest("Deck").content == deck(1)


def test_backups_while_others_save_are_each_of_one_moment(in_file, tmp_path):
    stop, saved = threading.Event(), []

    def save() -> None:
        number = 0
        while not stop.is_set():
            number += 1
            in_file.save("A", {"number": number, "ballast": "x" * 3000})
            in_file.save("B", {"number": number, "ballast": "y" * 3000})
            saved.append(number)

    writer = threading.Thread(target=save)
    writer.start()
    try:
        made = [in_file.backup(tmp_path / f"backup{one}.db") for one in range(6)]
    finally:
        stop.set()
        writer.join()
    for one in made:
        with Store.open(one.file, create=False) as copy:
            # B is saved right after A: at any one moment it has as many versions, or one less
            counts = {found.name: found.newest for found in copy.structures().items}
            assert counts.get("A", 0) - counts.get("B", 0) in (0, 1)
    assert len(saved) > 6


def test_a_damaged_store_makes_no_backup(in_file, deck, tmp_path):
    in_file.save("Deck", deck(1))
    with closing(sqlite3.connect(in_file.place.file)) as raw, raw:
        raw.execute("UPDATE versions SET content = '{}'")
    with pytest.raises(StoreDamaged, match="not what was written"):
        in_file.backup(tmp_path / "backup.db")
    assert not [one for one in tmp_path.iterdir() if "backup" in one.name]


def test_putting_a_backup_back_keeps_what_it_replaces(tmp_path, deck):
    place, backup = tmp_path / "store.db", tmp_path / "backup.db"
    with Store.open(place) as store:
        store.save("Deck", deck(1))
        store.backup(backup)
        store.save("Deck", deck(2))
    before = backup.read_bytes()
    done = restore_backup(backup, place)
    assert backup.read_bytes() == before
    with Store.open(place) as store:
        assert store.newest("Deck").content == deck(1)
    with Store.open(done.kept, create=False) as store:
        assert store.newest("Deck").content == deck(2)


def test_putting_a_backup_where_nothing_is(tmp_path, deck):
    with Store.open(tmp_path / "old.db") as store:
        store.save("Deck", deck(1))
        store.backup(tmp_path / "backup.db")
    done = restore_backup(tmp_path / "backup.db", tmp_path / "store.db")
    assert done.kept is None
    with Store.open(done.file, create=False) as store:
        assert store.newest("Deck").content == deck(1)


def test_a_store_in_use_is_not_replaced(in_file, deck, tmp_path):
    in_file.save("Deck", deck(1))
    in_file.backup(tmp_path / "backup.db")
    in_file.save("Deck", deck(2))
    with pytest.raises(StoreError, match="is in use"):
        restore_backup(tmp_path / "backup.db", in_file.place.file)
    assert in_file.newest("Deck").content == deck(2)
    assert in_file.save("Deck", deck(3)).number == 3


def test_a_damaged_store_is_replaced_and_kept(tmp_path, deck):
    place, backup = tmp_path / "store.db", tmp_path / "backup.db"
    with Store.open(place) as store:
        store.save("Deck", deck(1))
        store.backup(backup)
    place.write_bytes(b"\xa5" * 50_000)
    (tmp_path / "store.db-wal").write_bytes(b"\xa5" * 5000)
    done = restore_backup(backup, place)
    assert done.kept.read_bytes() == b"\xa5" * 50_000
    assert (tmp_path / f"{done.kept.name}-wal").read_bytes() == b"\xa5" * 5000
    with Store.open(place) as store:
        assert store.newest("Deck").content == deck(1)
        assert store.check().is_whole


def test_what_is_no_whole_backup_changes_nothing(tmp_path, deck):
    place, backup = tmp_path / "store.db", tmp_path / "backup.db"
    with Store.open(place) as store:
        store.save("Deck", deck(1))
        store.backup(backup)
    before = place.read_bytes()
    (tmp_path / "text.db").write_text("no database at all\n" * 100, encoding="utf-8")
    with closing(sqlite3.connect(tmp_path / "other.db")) as raw, raw:
        raw.execute("CREATE TABLE a (b)")
    changed, later = tmp_path / "changed.db", tmp_path / "later.db"
    for copy, statement in (
        (changed, "UPDATE versions SET note = 'x', content = '{}'"),
        (later, "UPDATE longhold_revision SET version_num = '9999'"),
    ):
        copy.write_bytes(backup.read_bytes())
        with closing(sqlite3.connect(copy)) as raw, raw:
            raw.execute(statement)
    for wrong, kind, words in (
        (tmp_path / "text.db", StoreDamaged, "is no store"),
        (tmp_path / "other.db", StoreError, "no backup of a store"),
        (changed, StoreDamaged, "not what was written"),
        (later, StoreTooNew, "later release"),
        (tmp_path / "missing.db", StoreError, "no such file"),
        (place, StoreError, "the store itself"),
    ):
        with pytest.raises(kind, match=words):
            restore_backup(wrong, place)
        assert place.read_bytes() == before
    assert not [one for one in tmp_path.iterdir() if "replaced" in one.name or "part" in one.name]


def test_a_store_on_a_server_has_backups_of_its_own(new_database, tmp_path):
    with Store.open(new_database) as store, pytest.raises(StoreError, match="backups of its own"):
        store.backup(tmp_path / "backup.db")
    with pytest.raises(StoreError, match="backups of its own"):
        restore_backup(tmp_path / "backup.db", new_database)
