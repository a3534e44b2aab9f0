"""The commands of the store as a person uses them."""

import json
import sqlite3
from contextlib import closing

import pytest

from longhold.cli import main
from longhold.intake import starter
from longhold.intake.load import load
from longhold.store import Store


@pytest.fixture
def deck(tmp_path):
    file = tmp_path / "deck.toml"
    file.write_text(starter(), encoding="utf-8")
    return file


@pytest.fixture
def place(tmp_path, monkeypatch):
    file = tmp_path / "store.db"
    monkeypatch.setenv("LONGHOLD_STORE", str(file))
    return file


@pytest.fixture
def command(capsys, monkeypatch, place):
    """Run a command; gives code, standard output and standard error, spaces joined."""
    monkeypatch.setenv("COLUMNS", "150")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run([*map(str, words)])
        said = capsys.readouterr()
        return code, said.out, " ".join(said.err.split())

    return run


def changed(file, was, now):
    text = file.read_text(encoding="utf-8")
    assert was in text
    file.write_text(text.replace(was, now), encoding="utf-8")


def test_what_was_saved_is_listed_and_written_again_and_says_the_same(command, deck, tmp_path):
    assert command("save", deck)[:2] == (0, "Saved Back deck: version 1.\n")
    for out in (tmp_path / "out.toml", tmp_path / "out.json", tmp_path / "out.xlsx"):
        code, said, _ = command("load", "back DECK", "--out", out)
        assert (code, said) == (0, f"Wrote {out}: version 1 of Back deck.\n")
        assert load(out) == load(deck)


def test_every_save_is_a_version_and_any_can_be_had_again(command, deck, tmp_path):
    command("save", deck, "--author", "Ann", "--note", "as built")
    changed(deck, 'design_life = "30 years"', 'design_life = "20 years"')
    command("save", deck, "--author", "Ben")
    code, said, _ = command("saved", "--history", "Back deck")
    assert code == 0
    first, second = said.index("Version 2"), said.index("Version 1")
    assert "Ben" in said[first:second]
    assert "Ann" in said[second:]
    assert "as built" in said[second:]
    command("load", "Back deck", "--version", 1, "--out", tmp_path / "one.toml")
    command("load", "Back deck", "--out", tmp_path / "two.toml")
    assert load(tmp_path / "one.toml").design_life != load(tmp_path / "two.toml").design_life
    assert load(tmp_path / "two.toml") == load(deck)


def test_a_save_that_changes_nothing_says_so(command, deck):
    command("save", deck)
    assert command("save", deck)[1] == "Saved Back deck: version 2, which says the same as version 1.\n"


def test_saving_under_a_name_and_on_a_version(command, deck):
    command("save", deck, "--as", "Pier", "--author", "Ann")
    assert [one["name"] for one in json.loads(command("saved", "--json")[1])] == ["Pier"]
    command("save", deck, "--as", "pier", "--expecting", 1)
    code, out, err = command("save", deck, "--as", "Pier", "--expecting", 1)
    assert (code, out) == (2, "")
    assert "structure 'Pier': was saved meanwhile: version 2 by" in err
    code, _, err = command("save", deck, "--as", "Pier", "--expecting", 0)
    assert "began as a new structure" in err
    code, _, err = command("save", deck, "--as", "Pier", "--expecting", 7)
    assert "has 2 as its newest version, not 7" in err


def test_the_list_and_its_empty_answers(command, deck, place):
    code, _, err = command("saved")
    assert (code, "there is no store yet. 'longhold save FILE' makes one." in err) == (2, True)
    assert not place.exists()
    command("save", deck)
    assert command("saved", "--search", "pier")[1] == "Nothing of this name is saved yet.\n"
    assert command("saved", "--archived")[1] == "Nothing is archived yet.\n"
    code, out, _ = command("saved")
    assert "Back deck" in out
    assert f"In {place}. Times are UTC." in out.replace("\n", "")


def test_a_list_longer_than_a_page_is_listed_whole(command, place):
    with Store.open(place) as store:
        for number in range(501):
            store.save(f"Deck {number}", {"name": "x"})
    assert len(json.loads(command("saved", "--json")[1])) == 501


def test_a_file_that_is_no_structure_is_not_saved(command, deck, place):
    changed(deck, 'design_life = "30 years"', 'design_life = "soon"')
    code, out, err = command("save", deck)
    assert (code, out) == (2, "")
    assert "design_life" in err
    assert not place.exists()


def test_weather_and_rules_are_kept_with_the_structure(command, deck, tmp_path):
    """What is written again stands for itself: the files that were named may be gone."""
    weather, elsewhere = tmp_path / "weather.csv", tmp_path / "elsewhere"
    rows = [f"{month},{10 + month},{60 + month},{50 + month},{month}" for month in range(1, 13)]
    weather.write_text(
        "\n".join(["month,temperature_c,relative_humidity_pct,rain_mm,rain_days", *rows]) + "\n",
        encoding="utf-8",
    )
    changed(deck, 'station = "Atlanta"', 'file = "weather.csv"')
    before = load(deck)
    command("save", deck)
    weather.unlink()
    elsewhere.mkdir()
    code, _, err = command("load", "Back deck", "--out", elsewhere / "deck.toml")
    assert (code, err) == (0, "")
    found = load(elsewhere / "deck.toml").site.climate
    assert found.temperature == before.site.climate.temperature
    assert found.relative_humidity_pct == before.site.climate.relative_humidity_pct
    assert found.rain_mm == before.site.climate.rain_mm == [50 + month for month in range(1, 13)]


PACK = """
[pack]
id = "town"
title = "Town"
kind = "code"
jurisdictions = ["US"]
checks = ["compliance"]
editions = ["2021"]
candidates = "us"
source = "own"
mark = "own"

[[rule]]
id = "T-9"
kind = "not_governed"
clause = "9"
otherwise = true
says = "Nothing else."
source = "own"
mark = "own"
"""


def test_rules_of_ones_own_are_kept_with_the_structure(command, deck, tmp_path):
    (tmp_path / "town.toml").write_text(PACK, encoding="utf-8")
    changed(deck, 'pack = "us_irc"', 'pack = "town.toml"')
    before = load(deck)
    command("save", deck)
    (tmp_path / "town.toml").unlink()
    assert command("load", "Back deck", "--out", tmp_path / "again.toml")[0] == 0
    assert load(tmp_path / "again.toml").code == before.code
    code, _, err = command("load", "Back deck", "--out", tmp_path / "again.xlsx")
    assert (code, err) == (0, "")
    assert load(tmp_path / "again.xlsx").code == before.code


def test_load_writes_over_nothing_unless_told_to(command, deck, tmp_path):
    command("save", deck)
    code, _, err = command("load", "Back deck", "--out", deck)
    assert (code, "add --replace" in err) == (2, True)
    assert command("load", "Back deck", "--out", deck, "--replace")[0] == 0
    code, _, err = command("load", "Back deck", "--out", tmp_path / "deck.pdf")
    assert (code, "--out" in err, ".toml, .json, .xlsx" in err) == (2, True, True)
    code, _, err = command("load", "Bach deck", "--out", tmp_path / "x.toml")
    assert (code, "Did you mean 'Back deck'?" in err) == (2, True)
    code, _, err = command("load", "Back deck", "--version", 5, "--out", tmp_path / "x.toml")
    assert (code, "it has 1 to 1" in err) == (2, True)
    assert not (tmp_path / "x.toml").exists()


def test_backup_damage_check_and_restore(command, deck, place, tmp_path):
    command("save", deck)
    backup = tmp_path / "backup.db"
    code, out, _ = command("backup", backup)
    assert (code, out.splitlines()[0]) == (0, f"Wrote {backup}: 1 structure, 1 version, checked.")
    code, _, err = command("backup", backup)
    assert (code, "is there already" in err) == (2, True)
    code, out, _ = command("store-check")
    whole = f"{place} is whole: 1 structure, 1 version, every hash as it was written (1).\n"
    assert (code, out) == (0, whole)
    with closing(sqlite3.connect(place)) as raw, raw:
        raw.execute("UPDATE versions SET content = replace(content, 'deck', 'dock')")
    code, out, _ = command("store-check")
    assert code == 1
    assert "- structure and version 1, 1: not what was written" in out
    assert "longhold restore" in out
    code, _, err = command("load", "Back deck", "--out", tmp_path / "x.toml")
    assert (code, "is not what was saved" in err) == (2, True)

    code, out, _ = command("restore", backup)
    assert (code, "What it was before is in" in out) == (0, True)
    assert command("store-check")[0] == 0
    assert command("load", "Back deck", "--out", tmp_path / "x.toml")[0] == 0


def test_the_option_goes_before_the_environment(command, deck, place, tmp_path):
    other = tmp_path / "other.db"
    assert command("save", deck, "--store", other)[0] == 0
    assert other.exists()
    assert not place.exists()


def test_without_option_or_environment_it_is_the_users_own_folder(monkeypatch, tmp_path):
    from longhold.store import default_place

    monkeypatch.delenv("LONGHOLD_STORE")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_place() == tmp_path / "longhold" / "store.db"
    with Store.open() as store:
        assert store.place.file == tmp_path / "longhold" / "store.db"
    assert (tmp_path / "longhold").stat().st_mode & 0o077 == 0


def test_without_the_library_the_extra_is_named(command, deck, monkeypatch):
    import sys

    monkeypatch.setitem(sys.modules, "sqlalchemy", None)
    code, _, err = command("save", deck)
    assert (code, "pip install 'longhold[store]'" in err) == (2, True)
