"""The clock of the machine is set back between two saves: what was saved last is still the newest."""

from __future__ import annotations

import datetime

from longhold.store import Store

NOON = datetime.datetime(2026, 5, 1, 12, tzinfo=datetime.UTC)


def test_versions_and_the_list_keep_the_order_in_which_they_were_saved(tmp_path, monkeypatch):
    clock = {"now": NOON}
    monkeypatch.setattr("longhold.store.structures.utc_now", lambda: clock["now"])
    with Store.open(tmp_path / "store.db") as store:
        store.save("Deck", {"number": 1})
        store.save("Pier", {"number": 1})
        clock["now"] = NOON - datetime.timedelta(days=400)
        second = store.save("Deck", {"number": 2}, expecting=1)
        store.save("Walk", {"number": 1})
        assert (second.number, second.parent) == (2, 1)
        assert store.newest("Deck").content == {"number": 2}
        assert [one.number for one in store.history("Deck").items] == [2, 1]
        # the time is what the clock said: it is not made up to look in order
        assert [one.saved_at for one in store.history("Deck").items] == [clock["now"], NOON]
        assert [one.name for one in store.structures().items] == ["Walk", "Deck", "Pier"]
        assert store.check().is_whole
