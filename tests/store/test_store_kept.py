"""Results, lists of offers, attachments, readings, deliveries."""

import datetime
import hashlib
import sqlite3
import threading
from contextlib import closing

import pytest

from longhold.store import NotInStore, StoreDamaged, StoreError, inputs_hash
from longhold.store.site_records import MOST_ATTACHED_BYTES

DAY = datetime.datetime(2026, 5, 1, 9, 30, tzinfo=datetime.timezone(datetime.timedelta(hours=-4)))


def test_a_result_is_found_by_its_inputs_and_its_code(store, deck):
    saved = store.save("Deck", deck())
    key = inputs_hash({"structure": deck(), "draws": 1000})
    kept = store.keep_result(key, "0.1.0", {"outcome": "passes"}, structure_id=saved.structure_id, number=1)
    assert store.result_for(key, "0.1.0") == kept
    assert store.result_for(key, "0.2.0") is None
    assert store.result_for(key, "0.1.0", kind="choice") is None
    assert store.result_for(inputs_hash({"draws": 1001}), "0.1.0") is None
    store.keep_result(key, "0.1.0", {"outcome": "fails"})
    assert store.result_for(key, "0.1.0").result == {"outcome": "fails"}
    with pytest.raises(StoreError, match="64 hexadecimal"):
        store.keep_result("abc", "0.1.0", {})
    with pytest.raises(NotInStore, match="no such version"):
        store.keep_result(key, "0.1.0", {}, structure_id=saved.structure_id, number=2)


def test_one_answer_kept_by_many_at_once_is_one(store):
    key, gate, faults = inputs_hash({"a": 1}), threading.Barrier(6), []

    def keep() -> None:
        gate.wait(30)
        try:
            store.keep_result(key, "0.1.0", {"outcome": "passes"})
        except Exception as error:
            faults.append(error)

    threads = [threading.Thread(target=keep) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    assert store.result_for(key, "0.1.0").result == {"outcome": "passes"}


def test_a_damaged_result_counts_as_none(in_file):
    key = inputs_hash({"a": 1})
    in_file.keep_result(key, "0.1.0", {"life_years": 50})
    with closing(sqlite3.connect(in_file.place.file)) as raw, raw:
        raw.execute("UPDATE results SET result = replace(result, '50', '90')")
    assert in_file.result_for(key, "0.1.0") is None


def test_lists_of_offers_stay_as_they_were_read(store):
    old = store.keep_offers(
        "Yard", {"lines": [{"item": "nail", "price": 1.5}]}, source="yard.csv", author="Ann"
    )
    new = store.keep_offers("Yard", {"lines": [{"item": "nail", "price": 1.7}]})
    assert [one.id for one in store.offer_lists().items] == [new.id, old.id]
    assert store.offers(old.id) == old
    assert old.content["lines"][0]["price"] == 1.5
    store.archive_offers(old.id)
    assert [one.id for one in store.offer_lists().items] == [new.id]
    assert store.offers(old.id) == old
    with pytest.raises(NotInStore):
        store.offers(99)


def test_a_file_comes_back_byte_for_byte(store, deck):
    saved = store.save("Deck", deck())
    data = bytes(range(256)) * 100
    info = store.keep_attachment(
        data, "C:\\photos\\joint.jpg", "image/jpeg", structure_id=saved.structure_id, joint="J1", author="Ann"
    )
    assert (info.name, info.size_bytes, info.joint) == ("joint.jpg", 25600, "J1")
    found = store.attachment(info.id)
    assert found.data == data
    assert found.sha256 == hashlib.sha256(data).hexdigest()
    assert store.attachments(saved.structure_id).items == (info,)
    assert store.attachments(saved.structure_id, joint="J2").total == 0
    assert store.keep_attachment(b"x", "loose.txt", "text/plain").structure_id is None


@pytest.mark.parametrize(
    ("data", "name", "media", "words"),
    [
        (b"", "a.jpg", "image/jpeg", "1 byte to 20 MiB"),
        (b"x" * (MOST_ATTACHED_BYTES + 1), "a.jpg", "image/jpeg", "1 byte to 20 MiB"),
        (b"x", "a.jpg", "image/jpeg\r\nX: y", "media type"),
        (b"x", "folder/", "image/jpeg", "is empty"),
    ],
)
def test_files_that_are_not_taken_in(store, data, name, media, words):
    with pytest.raises(StoreError, match=words):
        store.keep_attachment(data, name, media)


def test_a_damaged_file_is_told_and_not_given(in_file):
    info = in_file.keep_attachment(b"as it was", "a.txt", "text/plain")
    with closing(sqlite3.connect(in_file.place.file)) as raw, raw:
        raw.execute("UPDATE attachments SET data = ?", (b"as it is now",))
    with pytest.raises(StoreDamaged, match="not what was handed in"):
        in_file.attachment(info.id)


def test_deliveries(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    one = store.keep_delivery(deck_id, "N 17", {"lines": [{"item": "nail", "count": 500}]}, received_at=DAY)
    assert store.deliveries(deck_id).items == (one,)
    assert store.delivery(deck_id, one.entry) == one
    with pytest.raises(NotInStore):
        store.delivery(deck_id, "0" * 64)
    assert one.received_at == DAY
    later = DAY + datetime.timedelta(days=1)
    again = store.keep_delivery(
        deck_id, "N 17", {"lines": [{"item": "nail", "count": 500}]}, received_at=later
    )
    assert (again, store.deliveries(deck_id).total) == (one, 1)
    other = store.keep_delivery(
        deck_id, "N 18", {"lines": []}, received_at=later, files=[("came.csv", "text/csv", b"kind,label")]
    )
    assert store.deliveries(deck_id).items == (other, one)
    assert [one.name for one in store.attachments(deck_id).items] == ["came.csv"]
    with pytest.raises(NotInStore):
        store.keep_delivery(99, "N 17", {}, received_at=DAY)


def test_an_attachment_is_found_by_its_name_and_content(store, deck):
    deck_id = store.save("Deck", deck()).structure_id
    file = store.keep_attachment(b"a,b\n", "list.csv", "text/csv", structure_id=deck_id)
    assert store.attachment_of(deck_id, "list.csv", file.sha256).data == b"a,b\n"
    with pytest.raises(NotInStore):
        store.attachment_of(deck_id, "other.csv", file.sha256)
