"""Readings kept whole: every field, once each, all or none, through every way they may come twice."""

import datetime
import threading

import pytest
import sqlalchemy as sa

from longhold.model.reading import Reading
from longhold.store import GivenReading, NotInStore, Store, StoreDamaged, StoreError
from longhold.store.connecting import connect
from longhold.store.migrating import bring_up_to_date
from longhold.store.place import place_of
from longhold.store.site_records import MOST_ATTACHED_BYTES

FULL = Reading(
    joint="W01",
    piece="north end",
    part="hanger",
    face="outer",
    date=datetime.date(2031, 5, 14),
    measured="zinc",
    value=33.0,
    words="1.3 mil",
    uncertainty=2.5,
    spots=5,
    size_new=3.05,
    instrument="gauge 2",
    photograph="w01.jpg",
    note="two lines\nof it",
)
GRADE = Reading(
    joint="W01", part="hanger", date=datetime.date(2031, 5, 13), measured="rust", low_pct=0.05,
    high_pct=0.5, words="Ri 2",
)  # fmt: skip
PHONE = "0b1f6f64-5a3e-4c0e-9a43-0d7d6f0f3b11"


def given(*readings):
    return [GivenReading(reading=one) for one in readings]


def test_every_field_comes_back_and_the_same_twice_is_once(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    first = store.keep_readings(deck_id, given(FULL, GRADE), source="may.csv", author="Ann")
    assert [one.is_new for one in first] == [True, True]
    page = store.readings(deck_id)
    assert [one.reading for one in page.items] == [GRADE, FULL]
    assert {(one.source, one.author) for one in page.items} == {("may.csv", "Ann")}
    again = store.keep_readings(deck_id, given(FULL), source="other.csv")
    assert [one.is_new for one in again] == [False]
    assert again[0].kept == first[0].kept
    assert store.readings(deck_id).total == 2
    assert store.readings(deck_id, kind="rust").items[0].reading == GRADE
    assert store.readings(deck_id, joint="W02").total == 0
    assert store.check().is_whole


def test_an_id_of_the_phone_holds_one_reading(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    typed = GivenReading(reading=FULL, entry=PHONE, photograph=b"picture")
    assert store.keep_readings(deck_id, [typed])[0].is_new
    assert not store.keep_readings(deck_id, [typed])[0].is_new
    assert not store.keep_readings(deck_id, given(FULL))[0].is_new  # the same, taken off the phone as a file
    assert [one.name for one in store.attachments(deck_id, joint="W01").items] == ["w01.jpg"]
    with pytest.raises(StoreError, match="stands for another reading"):
        store.keep_readings(deck_id, [GivenReading(reading=GRADE, entry=PHONE)])
    with pytest.raises(StoreError, match="letters, digits and dashes"):
        store.keep_readings(deck_id, [GivenReading(reading=GRADE, entry="a b")])
    assert store.readings(deck_id).total == 1


def test_where_one_is_refused_none_is_kept(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    huge = GivenReading(reading=FULL, photograph=b"x" * (MOST_ATTACHED_BYTES + 1))
    with pytest.raises(StoreError, match="1 byte to 20 MiB"):
        store.keep_readings(deck_id, [*given(GRADE), huge])
    assert (store.readings(deck_id).total, store.attachments(deck_id).total) == (0, 0)
    with pytest.raises(NotInStore):
        store.keep_readings(99, given(FULL))


def test_sent_by_many_at_once_it_is_kept_once(place, deck):
    with Store.open(place) as store:
        deck_id = store.save("Deck", deck()).structure_id
    gate, faults, new = threading.Barrier(6), [], []

    def sending() -> None:
        with Store.open(place) as own:
            gate.wait(30)
            try:
                new.append(own.keep_readings(deck_id, [GivenReading(reading=FULL, entry=PHONE)])[0].is_new)
            except Exception as error:
                faults.append(error)

    threads = [threading.Thread(target=sending) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert sorted(new) == [False] * 5 + [True]
    with Store.open(place) as store:
        assert store.readings(deck_id).total == 1


def test_a_damaged_reading_is_told(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    store.keep_readings(deck_id, given(FULL))
    with store._writer.begin() as connection:
        connection.exec_driver_sql("UPDATE readings SET content = replace(content, '33.0', '83.0')")
    with pytest.raises(StoreDamaged, match="not what was written"):
        store.readings(deck_id)
    assert any("reading" in one for one in store.check().faults)


def test_readings_and_deliveries_of_the_former_shape_stay(place):
    where = place_of(place)
    engine = connect(where, create=True)
    bring_up_to_date(engine.execution_options(longhold_writes=True), where, to="0002")
    when = "'2026-01-02 03:04:05'"
    with engine.begin() as connection:
        for statement in (
            "INSERT INTO structures (name, name_key, newest, saved_at, created_at)"
            f" VALUES ('Deck', 'deck', 0, {when}, {when})",
            "INSERT INTO readings (structure_id, joint, part, kind, value, unit, detail, author, taken_at,"
            f" kept_at) VALUES (1, 'J1', '', 'wood moisture', 19.5, '%%', '{{}}', 'Ann', {when}, {when})",
            "INSERT INTO deliveries (structure_id, reference, content, sha256, author, received_at, kept_at)"
            " VALUES (1, 'N 17', '{}', '44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a',"
            f" '', {when}, {when})",
        ):
            connection.execute(sa.text(statement.replace("%%", "%")))
    engine.dispose()
    with Store.open(place) as store:
        found = store.readings(1).items[0]
        assert (found.reading.words, found.author) == ("wood moisture: 19.5 %", "Ann")
        assert found.reading.date == datetime.date(2026, 1, 2)
        assert store.deliveries(1).items[0].reference == "N 17"
        assert store.keep_readings(1, given(FULL))[0].is_new
        assert store.check().is_whole


def test_a_reading_taken_back_stays_kept_and_counts_no_longer(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    wrong, right = (one.kept for one in store.keep_readings(deck_id, given(FULL, GRADE)))
    done = store.turn_reading(deck_id, wrong.entry, counts=False, why="gauge in mil, not um", author="Ann")
    assert (done.counts, done.reading) == (False, FULL)
    found = {one.entry: one for one in store.readings(deck_id).items}
    assert (found[wrong.entry].counts, found[right.entry].counts) == (False, True)
    assert (found[wrong.entry].turn.why, found[wrong.entry].turn.author) == ("gauge in mil, not um", "Ann")
    again = store.keep_readings(deck_id, given(FULL))[0]
    assert (again.is_new, again.kept.counts) == (False, False)
    first = store.turn_reading(deck_id, wrong.entry, counts=False, why="said twice", author="Bo")
    assert first.turn.why == "gauge in mil, not um"
    assert store.turn_reading(deck_id, wrong.entry, counts=True, author="Bo").counts
    assert all(one.counts for one in store.readings(deck_id).items)
    assert store.check().is_whole


def test_a_reading_of_another_structure_is_not_taken_back(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    other_id = store.save("Other", deck()).structure_id
    kept = store.keep_readings(deck_id, given(FULL))[0].kept
    with pytest.raises(NotInStore):
        store.turn_reading(other_id, kept.entry, counts=False)
    with pytest.raises(NotInStore):
        store.turn_reading(99, kept.entry, counts=False)
    with pytest.raises(StoreError, match="why"):
        store.turn_reading(deck_id, kept.entry, counts=False, why="x" * 501)
    assert store.readings(deck_id).items[0].counts
