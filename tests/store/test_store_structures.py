"""Saving structures: every save is a version, nothing is lost, two editors cannot overwrite each other."""

import datetime
import hashlib
import json
import threading

import pytest

from longhold.store import EditedMeanwhile, NotInStore, Store, StoreError, WaitingChange


def test_what_was_saved_comes_back_in_its_order(store, deck):
    content = {"z": 1, "a": [1.5, None, True], "ü": {"nested": "text 'quoted' \" \\ \U0001f600"}}
    saved = store.save("Deck", content, expecting=0, author="Ann", note="first\nof two lines")
    found = store.newest(saved.structure_id)
    assert found == saved
    assert list(found.content.items()) == list(content.items())
    assert (found.number, found.parent, found.author, found.note) == (1, None, "Ann", "first\nof two lines")
    # the hash is that of the JSON text, computed here by the standard library alone
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":"))
    assert found.sha256 == hashlib.sha256(text.encode()).hexdigest()


def test_times_are_utc_and_now(store, deck):
    before = datetime.datetime.now(datetime.UTC)
    saved = store.save("Deck", deck())
    again = store.newest("Deck")
    assert saved.saved_at == again.saved_at
    assert again.saved_at.tzinfo == datetime.UTC
    assert before <= again.saved_at <= datetime.datetime.now(datetime.UTC)


def test_every_save_is_kept(store, deck):
    first = store.save("Deck", deck(1))
    for number in (2, 3):
        store.save(first.structure_id, deck(number), expecting=number - 1)
    assert [(one.number, one.parent) for one in store.history("Deck").items] == [(3, 2), (2, 1), (1, None)]
    for number in (1, 2, 3):
        assert store.at("Deck", number).content == deck(number)


def test_the_second_of_two_editors_is_told_and_gets_the_newest(store, deck):
    first = store.save("Deck", deck(1), author="Ann")
    store.save(first.structure_id, deck(2), expecting=1, author="Ben")
    with pytest.raises(
        EditedMeanwhile, match=r"version 2 by Ben at .* the edit began from version 1"
    ) as told:
        store.save(first.structure_id, deck(3), expecting=1, author="Ann")
    assert told.value.current.content == deck(2)
    assert store.newest("Deck").number == 2
    assert store.save("Deck", deck(3), expecting=told.value.current.number).number == 3


def test_a_new_structure_does_not_fall_on_one_of_its_name(store, deck):
    store.save("Deck", deck(1), expecting=0)
    with pytest.raises(EditedMeanwhile, match="as a new structure"):
        store.save(" dECK ", deck(2), expecting=0)
    with pytest.raises(EditedMeanwhile, match="no version yet") as told:
        store.save("Pier", deck(2), expecting=4)
    assert told.value.current is None
    assert [one.name for one in store.structures().items] == ["Deck"]


def test_of_editors_at_once_exactly_one_wins_each_round(store, deck):
    first = store.save("Deck", deck())
    won, told, gate = [], [], threading.Barrier(4)

    def edit(who: int) -> None:
        for began_from in range(1, 6):
            gate.wait(30)
            try:
                won.append(store.save(first.structure_id, deck(who), expecting=began_from).number)
            except EditedMeanwhile as error:
                told.append(error.current.number)
            gate.wait(30)

    threads = [threading.Thread(target=edit, args=(who,)) for who in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(won) == [2, 3, 4, 5, 6]
    assert sorted(told) == sorted([2, 3, 4, 5, 6] * 3)


def test_of_many_that_make_one_name_at_once_one_makes_it(place, deck):
    with Store.open(place) as store:
        gate, made, told = threading.Barrier(8), [], []

        def make(who: int) -> None:
            gate.wait(30)
            try:
                made.append(store.save("Deck", deck(who), expecting=0))
            except EditedMeanwhile as error:
                told.append(error)

        threads = [threading.Thread(target=make, args=(who,)) for who in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert (len(made), len(told)) == (1, 7)
        assert store.structures().total == 1


def test_restoring_adds_a_version_equal_to_the_old(store, deck):
    first = store.save("Deck", deck(1))
    store.save("Deck", deck(2))
    back = store.restore(first.structure_id, 1, author="Ben", expecting=2)
    assert (back.number, back.parent, back.restored_from, back.author) == (3, 2, 1, "Ben")
    assert (back.content, back.sha256) == (first.content, first.sha256)
    assert store.at("Deck", 2).content == deck(2)
    with pytest.raises(EditedMeanwhile):
        store.restore(first.structure_id, 1, expecting=2)
    with pytest.raises(NotInStore, match="it has 1 to 3"):
        store.restore(first.structure_id, 9)


def test_the_list_is_paged_and_searched(store, deck):
    for number in range(7):
        store.save(f"Deck {number}", deck(number), author=f"Ann {number}")
    store.save("100% pier_", deck())
    page = store.structures(limit=3)
    assert [one.name for one in page.items] == ["100% pier_", "Deck 6", "Deck 5"]
    assert (page.total, page.next_offset, page.items[1].author) == (8, 3, "Ann 6")
    assert [one.name for one in store.structures(offset=6, limit=3).items] == ["Deck 1", "Deck 0"]
    assert store.structures(offset=6, limit=3).next_offset is None
    assert [one.name for one in store.structures(search="DECK 4").items] == ["Deck 4"]
    # signs that a database takes for wildcards stand for themselves
    assert [one.name for one in store.structures(search="0% P").items] == ["100% pier_"]
    assert store.structures(search="r_x").total == 0
    with pytest.raises(StoreError, match="limit"):
        store.structures(limit=0)


def test_renaming_keeps_versions_and_refuses_a_taken_name(store, deck):
    one, two = store.save("Deck", deck(1)), store.save("Pier", deck(2))
    assert store.rename(one.structure_id, "Upper deck").name == "Upper deck"
    assert store.newest("upper DECK").content == deck(1)
    with pytest.raises(StoreError, match="another structure has this name"):
        store.rename(two.structure_id, "UPPER deck")
    assert store.structure(two.structure_id).name == "Pier"


def test_archiving_deletes_nothing_and_frees_the_name(store, deck):
    old = store.save("Deck", deck(1))
    assert store.archive(old.structure_id).archived_at is not None
    assert store.structures().total == 0
    assert [one.id for one in store.structures(archived=True).items] == [old.structure_id]
    assert store.at(old.structure_id, 1).content == deck(1)
    with pytest.raises(StoreError, match="is archived"):
        store.save(old.structure_id, deck(2))
    new = store.save("Deck", deck(3), expecting=0)
    assert new.structure_id != old.structure_id
    with pytest.raises(StoreError, match="another structure has this name"):
        store.unarchive(old.structure_id)
    store.rename(new.structure_id, "New deck")
    assert store.unarchive(old.structure_id).archived_at is None
    assert store.newest("Deck").structure_id == old.structure_id


def test_what_is_not_there_is_told_with_names_alike(store, deck):
    store.save("Boardwalk", deck())
    with pytest.raises(NotInStore, match="Did you mean 'Boardwalk'"):
        store.newest("Bordwalk")
    with pytest.raises(NotInStore, match="there is none"):
        store.newest(77)
    with pytest.raises(NotInStore, match="it has 1 to 1"):
        store.at("Boardwalk", 2)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ({"count": float("nan")}, "cannot be kept as JSON"),
        ({"count": {1: 2}}, "the key 1 is not text"),
        ({"name": "\ud800"}, "half a character"),
        ({"name": object()}, "object has no form"),
    ],
)
def test_what_json_cannot_hold_is_refused_and_nothing_is_made(store, content, words):
    with pytest.raises(StoreError, match=words):
        store.save("Deck", content)
    assert store.structures().total == 0


@pytest.mark.parametrize("name", ["", "   ", "a" * 201, "a\0b", "a\nb", "\ud800"])
def test_names_that_no_one_can_read_are_refused(store, deck, name):
    with pytest.raises(StoreError, match="name"):
        store.save(name, deck())


def test_text_meant_to_break_a_statement_is_only_text(store, deck):
    name = "x'; DROP TABLE versions; --"
    store.save(name, deck(), author="'; --", note="%s %(a)s :b ?")
    assert store.newest(name).note == "%s %(a)s :b ?"


def test_a_store_opens_again_with_all_that_was_saved(place, deck):
    with Store.open(place) as store:
        store.save("Deck", deck(1))
    with Store.open(place) as store:
        assert store.newest("Deck").content == deck(1)


@pytest.mark.parametrize(
    "name", ["my decks #1, 50 %.db", "what?.db", "a&mode=ro.db", "Überdeck.db", "it's.db"]
)
def test_files_may_have_any_name(tmp_path, deck, name):
    with Store.open(tmp_path / name) as store:
        store.save("Deck", deck(1))
        store.backup(tmp_path / f"copy of {name}")
    with Store.open(tmp_path / f"copy of {name}", create=False) as copy:
        assert copy.newest("Deck").content == deck(1)
    there = sorted(one.name for one in tmp_path.iterdir())
    assert there == sorted([name, f"copy of {name}", f"{name}.copies"])  # the last says where copies are


def test_a_version_and_what_waits_beside_it_are_kept_together_or_not_at_all(in_file, deck, monkeypatch):
    number = in_file.save("Deck", deck(), expecting=0).structure_id
    in_file.change_waiting(number, 1, WaitingChange(add={"note": "zzz"}), author="Ann")
    old = in_file.waiting(number)
    change = WaitingChange(add={"design_life": "soon"}, drop={old[0].id: "zzz"})
    with pytest.raises(EditedMeanwhile):
        in_file.save(number, deck(1), expecting=0, waiting=change)
    with monkeypatch.context() as cut:
        cut.setattr("longhold.store.waiting_rows.utc_now", lambda: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            in_file.save(number, deck(1), expecting=1, waiting=change)
    assert (in_file.newest(number).number, in_file.waiting(number)) == (1, old)
    in_file.save(number, deck(1), expecting=1, waiting=change)
    assert [(one.number, one.cell) for one in in_file.waiting(number)] == [(2, "design_life")]
    in_file.change_waiting(number, 2, WaitingChange(drop={in_file.waiting(number)[0].id: "another text"}))
    assert len(in_file.waiting(number)) == 1
