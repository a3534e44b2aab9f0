"""A folder that may be read and not written, really: told before any work is done, with what to do."""

from __future__ import annotations

import json

import pytest

from longhold.cli.main import run

SCRIPT = """
    import json
    import longhold.store.migrations, longhold.intake.convert, longhold.intake.whole_document
    from longhold.base.errors import InputError
    from longhold.portfolio.keeping import Folder
    from longhold.store import Store
    deck, store = disk / "deck.toml", Path(sys.argv[4])
    deck.write_bytes(Path(sys.argv[3]).read_bytes())
    with Store.open(disk / "store.db") as kept:
        kept.save("deck", {"name": "deck"})
    there = left()
    be_read_only()
    asked = {
        "deck.html": ("assess", deck, "--draws", 200, "--report", disk / "deck.html"),
        "begun.toml": ("new", disk / "begun.toml"),
        "begun.xlsx": ("new", disk / "begun.xlsx"),
        "deck.json": ("convert", deck, disk / "deck.json"),
        "backup.db": ("backup", disk / "backup.db", "--store", store),
    }
    if not limited:  # to the database library nothing can be refused from here
        asked["store.db"] = ("save", deck, "--store", disk / "store.db")
    told = {name: run(*words) for name, words in asked.items()}
    try:
        Folder(disk / "results", {})
    except InputError as error:
        told["results"] = (2, str(error))
    print(json.dumps([told, [one for one in left() if one not in (*there, "results")]]))
"""


@pytest.mark.slow
def test_a_folder_that_may_not_be_written_is_told_and_stays_as_it_is(on_small_disk, tmp_path, quick):
    deck, store = tmp_path / "deck.toml", tmp_path / "store.db"
    deck.write_text(quick(), encoding="utf-8")
    assert run(["save", str(deck), "--store", str(store)]) == 0
    told, new = json.loads(on_small_disk(SCRIPT, deck, store))
    assert len(told) >= 6
    assert new == []
    for name, (code, said) in told.items():
        assert code == 2, (name, said)
        assert name in said
        assert "Traceback" not in said
        assert any(do in said for do in ("Choose another", "Choose a", "Look at the permissions")), said
