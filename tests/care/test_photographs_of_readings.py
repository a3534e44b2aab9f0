"""Which photograph is of which reading: by the last part of its name, and by when it came."""

from __future__ import annotations

import base64
import datetime
import json
import tomllib
import zipfile
from pathlib import Path

import pytest

from longhold.care.site import keep_table
from longhold.cli.main import run
from longhold.documents import life_file
from longhold.store import Store

DEMO = Path(__file__).parents[2] / "demo"
PNG = base64.b64decode(  # one pixel
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)


def table(photograph):
    head = "joint,part,face,date,measured,reading,photograph"
    return f"{head}\nW01,hanger,outer,2026-06-12,zinc,1.3 mil,{photograph}\n".encode()


@pytest.fixture
def walk(tmp_path):
    with Store.open(str(tmp_path / "store.db")) as store:
        content = tomllib.loads((DEMO / "standing_walk.toml").read_text(encoding="utf-8"))
        yield store, store.save("Walk", content).structure_id


def missing(walk, cell, **photographs):
    store, number = walk
    sent = {name.replace("_", "."): data for name, data in photographs.items()}
    return keep_table(store, number, "r.csv", table(cell), photographs=sent, author="").missing


@pytest.mark.parametrize("cell", ["w01.png", "visit/w01.png", "C:\\visit\\w01.png"])
def test_a_photograph_is_found_by_the_last_part_of_its_name(walk, cell):
    assert missing(walk, cell) == ("w01.png",)
    assert missing(walk, cell, w01_png=PNG) == ()
    assert missing(walk, cell) == ()
    store, number = walk
    assert {(one.name, one.joint) for one in store.attachments(number).items} == {
        ("w01.png", "W01"),
        ("r.csv", ""),
    }


@pytest.mark.parametrize(("kept_on", "still"), [((2025, 6, 20), ("a.png",)), ((2026, 6, 12), ())])
def test_a_picture_from_before_the_reading_is_of_something_else(walk, monkeypatch, kept_on, still):
    then = datetime.datetime(*kept_on, tzinfo=datetime.UTC)
    monkeypatch.setattr("longhold.store.site_records.utc_now", lambda: then)
    store, number = walk
    store.keep_attachment(PNG, "a.png", "image/png", structure_id=number)
    assert missing(walk, "a.png") == still


def test_the_terminal_takes_photographs_and_says_what_is_missing(walk, tmp_path, capsys):
    csv, png, packed = tmp_path / "r.csv", tmp_path / "w01.png", tmp_path / "r.zip"
    csv.write_bytes(table("w01.png"))
    png.write_bytes(PNG)
    with zipfile.ZipFile(packed, "w") as archive:
        archive.write(csv, "r.csv")
        archive.write(png, "w01.png")
    at = ["--store", str(tmp_path / "store.db")]
    assert run(["keep", "Walk", "--readings", str(csv), *at]) == 0
    assert "Named and not handed in: w01.png." in capsys.readouterr().out
    assert run(["keep", "Walk", "--readings", str(csv), "--readings", str(png), *at]) == 0
    assert run(["keep", "Walk", "--readings", str(packed), *at]) == 0
    said = capsys.readouterr().out
    assert said.count("0 new, 1 kept already.") == 2
    assert "Named" not in said


def test_a_manifest_is_read_up_to_a_bound_whatever_size_it_claims(tmp_path, monkeypatch):
    monkeypatch.setattr(life_file, "MOST_BYTES", 1_000)
    with zipfile.ZipFile(tmp_path / "life.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(life_file.MANIFEST, json.dumps({"files": {}}) + " " * 5_000)
    with zipfile.ZipFile(tmp_path / "life.zip") as archive:
        archive.getinfo(life_file.MANIFEST).file_size = 900
        with pytest.raises((ValueError, zipfile.BadZipFile)):
            life_file.manifest_faults(archive)
        archive.getinfo(life_file.MANIFEST).file_size = 6_000
        with pytest.raises(ValueError, match="not that large"):
            life_file.manifest_faults(archive)
