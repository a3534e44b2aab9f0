"""Steps between shapes of a store: from nothing, from the first shape, and never from a later release's."""

from __future__ import annotations

import sqlite3
import threading

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from longhold.store import Store, StoreError, StoreTooNew
from longhold.store.connecting import connect
from longhold.store.migrating import REVISION_TABLE, bring_up_to_date, newest_revision, revision_of
from longhold.store.place import place_of
from longhold.store.tables import Row


def first_shape(place: str) -> None:
    """A store as the first release made it, with a structure in it, written without any code of ours."""
    where = place_of(place)
    engine = connect(where, create=True)
    bring_up_to_date(engine.execution_options(longhold_writes=True), where, to="0001")
    with engine.begin() as connection:
        connection.exec_driver_sql(
            "INSERT INTO structures (name, name_key, newest, saved_at, created_at)"
            " VALUES ('Old deck', 'old deck', 1, '2026-01-02 03:04:05', '2026-01-02 03:04:05')"
        )
        text = '{"name":"Old deck"}'
        hashed = __import__("hashlib").sha256(text.encode()).hexdigest()
        connection.exec_driver_sql(
            "INSERT INTO versions (structure_id, number, content, sha256, author, note, saved_at)"
            f" VALUES (1, 1, '{text}', '{hashed}', 'Ann', '', '2026-01-02 03:04:05')"
        )
    engine.dispose()


def test_what_the_steps_make_is_what_the_code_works_with(store):
    with store._reader.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"version_table": REVISION_TABLE, "compare_type": True}
        )
        assert compare_metadata(context, Row.metadata) == []
        assert revision_of(connection) == newest_revision()


def test_checks_that_the_database_makes_itself(store, deck):
    """Constraints hold whatever code writes: an orphan, a twin, a role and a state that are none."""
    store.save("Deck", deck())
    wrong = [
        "INSERT INTO versions (structure_id, number, content, sha256, author, note, saved_at)"
        " VALUES (99, 1, '', '', '', '', '2026-01-02 03:04:05')",
        "INSERT INTO versions (structure_id, number, content, sha256, author, note, saved_at)"
        " VALUES (1, 1, '', '', '', '', '2026-01-02 03:04:05')",
        "INSERT INTO accounts (name, name_key, role, password_hash, created_at)"
        " VALUES ('a', 'a', 'king', '', '2026-01-02 03:04:05')",
        "INSERT INTO jobs (kind, inputs, inputs_hash, author, state, progress, stage, fault, attempt, worker,"
        " queued_at) VALUES ('a', '', '', '', 'lost', 0, '', '', 0, '', '2026-01-02 03:04:05')",
        "INSERT INTO jobs (kind, inputs, inputs_hash, author, state, progress, stage, fault, attempt, worker,"
        " queued_at) VALUES ('a', '', '', '', 'queued', 2, '', '', 0, '', '2026-01-02 03:04:05')",
    ]
    for statement in wrong:
        with pytest.raises(sa.exc.IntegrityError), store._writer.begin() as connection:
            connection.exec_driver_sql(statement)


def test_a_store_of_the_first_shape_is_brought_up_and_loses_nothing(place):
    first_shape(place)
    with Store.open(place) as store:
        found = store.newest("old deck")
        assert (found.content, found.author, found.number) == ({"name": "Old deck"}, "Ann", 1)
        assert found.saved_at.isoformat() == "2026-01-02T03:04:05+00:00"
        assert store.save("Old deck", {"name": "New deck"}, expecting=1).number == 2
        assert store.queue_job("assessment", {}).state == "queued"
        assert store.check().is_whole


def test_the_file_as_it_was_before_a_step_is_kept(tmp_path):
    file = tmp_path / "store.db"
    first_shape(str(file))
    Store.open(file).close()
    former = tmp_path / f"store.db.before-{newest_revision()}"
    engine = connect(place_of(former), create=False)
    with engine.connect() as connection:
        assert revision_of(connection) == "0001"
        assert connection.exec_driver_sql("SELECT name FROM structures").scalar_one() == "Old deck"
    engine.dispose()
    Store.open(file).close()
    assert sorted(one.name for one in tmp_path.iterdir()) == ["store.db", former.name]


def test_a_step_that_fails_half_way_changes_nothing(place, monkeypatch):
    from alembic import op

    first_shape(place)
    made = op.create_index

    def failing(name, *rest, **more):
        if name == "ix_readings_structure_id_taken_at":  # late in the second step, after ten other changes
            raise RuntimeError("the power failed")
        return made(name, *rest, **more)

    monkeypatch.setattr(op, "create_index", failing)
    with pytest.raises(RuntimeError, match="the power failed"):
        Store.open(place)
    engine = connect(place_of(place), create=False)
    with engine.connect() as connection:
        assert revision_of(connection) == "0001"
        assert "accounts" not in sa.inspect(connection).get_table_names()
    engine.dispose()
    monkeypatch.undo()
    with Store.open(place) as store:
        assert store.newest("Old deck").number == 1


def test_a_store_of_a_later_release_is_refused_and_not_touched(place):
    with Store.open(place) as store:
        store.save("Deck", {})
        with store._writer.begin() as connection:
            connection.exec_driver_sql(f"UPDATE {REVISION_TABLE} SET version_num = '9999'")
    with pytest.raises(StoreTooNew, match=r"later release than this one, .* 9999.*Install the later"):
        Store.open(place)
    engine = connect(place_of(place), create=False)
    with engine.connect() as connection:
        assert revision_of(connection) == "9999"
    engine.dispose()


def test_another_programs_tables_on_a_server_are_not_touched(new_database):
    engine = sa.create_engine(new_database)
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE accounts (id integer)")
    with pytest.raises(StoreError, match="tables of another program: accounts"):
        Store.open(new_database)
    with engine.connect() as connection:
        assert sa.inspect(connection).get_table_names() == ["accounts"]
    engine.dispose()


def test_who_opens_a_new_file_that_another_program_is_filling_waits(tmp_path):
    file = tmp_path / "store.db"
    filling = sqlite3.connect(file, isolation_level=None, check_same_thread=False)
    filling.execute("BEGIN IMMEDIATE")  # SQLite refuses at once to turn such a file, however long it may wait
    done = threading.Timer(0.5, filling.rollback)
    done.start()
    with Store.open(file) as store:
        assert store.save("Deck", {}).number == 1
    done.join()
    filling.close()


def test_many_that_open_a_new_store_at_once(place):
    gate, faults = threading.Barrier(6), []

    def opening(who: int) -> None:
        gate.wait(30)
        try:
            with Store.open(place) as store:
                store.save(f"Deck {who}", {})
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=opening, args=(who,)) for who in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    with Store.open(place) as store:
        assert store.structures().total == 6
