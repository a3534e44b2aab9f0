"""``longhold record`` as a person uses it: the archive read with other programs' libraries."""

import csv
import hashlib
import io
import json
import tomllib
import zipfile
from pathlib import Path

import pytest
from fuzzing import sound
from PIL import Image
from pypdf import PdfReader

from longhold.cli import main
from longhold.intake.load import load

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def record(capsys, monkeypatch):
    """Run ``record`` with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "110")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run(["record", "--draws", "200", *map(str, words)])
        said = capsys.readouterr()
        return code, " ".join(said.out.split()), " ".join(said.err.split())

    return run


@pytest.fixture
def handed_in(tmp_path):
    """A folder with a structure, one reading, a delivery and a photograph taken on a known day."""
    (tmp_path / "walk.toml").write_bytes((DEMO / "standing_walk.toml").read_bytes())
    lines = (DEMO / "readings.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "readings.csv").write_text("\n".join([lines[0], lines[1], lines[4]]), encoding="utf-8")
    (tmp_path / "delivery.csv").write_bytes((DEMO / "delivery.csv").read_bytes())
    (tmp_path / "pictures").mkdir()
    told = Image.Exif()
    told[306] = "2026:06:12 09:30:00"
    told[34853] = {1: "N", 2: (34.0, 12.0, 0.0), 3: "W", 4: (77.0, 48.0, 0.0)}
    Image.new("RGB", (40, 30)).save(tmp_path / "pictures" / "w01-hanger.jpg", exif=told)
    return tmp_path


def words_of(folder, out):
    return (
        *(folder / "walk.toml", "--readings", folder / "readings.csv", "--delivery", folder / "delivery.csv"),
        *("--photographs", folder / "pictures", "--out", out),
    )


def test_the_archive_is_read_by_others_and_is_the_same_twice(record, handed_in, tmp_path):
    first, again = tmp_path / "first.zip", tmp_path / "again.zip"
    code, out, err = record(*words_of(handed_in, first))
    assert (code, err) == (0, "")
    assert "w04-strap.jpg (of W04 north end strap outer, 2026-06-12)" in " ".join(out.split())
    record(*words_of(handed_in, again))
    assert first.read_bytes() == again.read_bytes()
    with zipfile.ZipFile(first) as archive:
        assert archive.testzip() is None
        held = {name: archive.read(name) for name in archive.namelist()}
    told = json.loads(held["manifest.json"])["files"]
    assert told == {
        name: hashlib.sha256(content).hexdigest() for name, content in held.items() if name != "manifest.json"
    }
    assert held["deliveries/001-delivery.csv"] == (handed_in / "delivery.csv").read_bytes()
    picture = (handed_in / "pictures" / "w01-hanger.jpg").read_bytes()
    assert held["photographs/001-w01-hanger.jpg"] == picture
    (row,) = csv.DictReader(io.StringIO(held["photographs.csv"].decode()))
    assert (row["taken"], row["position"]) == ("2026-06-12 09:30:00", "34.20000, -77.80000")
    assert row["of"] == "W01 hanger"
    rows = list(csv.DictReader(io.StringIO(held["readings.csv"].decode())))
    assert [(one["joint"], one["words"]) for one in rows] == [("W01", "1.3 mil"), ("W04", "D610 7")]
    assert float(rows[0]["value"]) == pytest.approx(33.02)
    assert tomllib.loads(held["structure.toml"].decode())["name"].startswith("Heron Creek")
    pdf = " ".join(
        "".join(page.extract_text() for page in PdfReader(io.BytesIO(held["summary.pdf"])).pages).split()
    )
    for joint in ("W01", "W05", "1.3 mil"):
        assert joint in pdf


def test_the_structure_in_the_archive_is_the_one_handed_in(record, handed_in, tmp_path):
    out = tmp_path / "life.zip"
    record(*words_of(handed_in, out))
    with zipfile.ZipFile(out) as archive:
        (tmp_path / "back.toml").write_bytes(archive.read("structure.toml"))
    assert load(tmp_path / "back.toml") == load(handed_in / "walk.toml")


def test_an_archive_that_somebody_changed_is_told(record, handed_in, tmp_path):
    out = tmp_path / "life.zip"
    record(*words_of(handed_in, out))
    assert record(out, "--check")[:2] == (0, f"{out}: every file is as it was written.")
    with zipfile.ZipFile(out) as archive:
        held = {name: archive.read(name) for name in archive.namelist()}
    held["readings.csv"] = held["readings.csv"].replace(b"1.3 mil", b"2.3 mil")
    del held["structure.json"]
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in held.items():
            archive.writestr(name, content)
    code, _, err = record(out, "--check")
    assert code == 2
    assert "readings.csv is not what was written." in err
    assert "structure.json is missing." in err


@pytest.mark.parametrize("content", [b"", b"no archive", b"PK\x03\x04"])
def test_what_is_no_life_file_is_told(record, tmp_path, content):
    file = tmp_path / "life.zip"
    file.write_bytes(content)
    code, _, err = record(file, "--check")
    assert code == 2
    assert "is no life file that can be read" in err


def test_a_life_file_with_damaged_bytes_is_told(record, tmp_path):
    """Found by tools/fuzz.py: the fault of the unpacker came through."""
    out = tmp_path / "life.zip"
    (whole,) = sound.lives()
    for at in range(60, 1500, 120):
        out.write_bytes(whole[:at] + b"\xff\xff\xff" + whole[at + 3 :])
        code, _, err = record(out, "--check")
        assert code == 2
        assert (
            "is not what was written" in err or "life file that can be read" in err or "cannot be read" in err
        )


def test_a_picture_that_is_none_stops_it_and_nothing_is_written(record, handed_in, tmp_path):
    (handed_in / "pictures" / "notes.txt").write_text("no picture", encoding="utf-8")
    out = tmp_path / "life.zip"
    code, _, err = record(*words_of(handed_in, out))
    assert code == 2
    assert "notes.txt: is no picture that can be opened" in err
    assert not out.exists()


def test_an_archive_is_never_written_over_its_own_inputs(record, handed_in):
    assert record(handed_in / "walk.toml", "--out", handed_in / "walk.toml")[0] == 2
    assert record(handed_in / "walk.toml", "--out", handed_in / "none" / "life.zip")[0] == 2
    assert record(handed_in / "walk.toml")[0] == 2


def test_everything_wrong_in_tables_of_readings_is_told_at_once(record, handed_in, tmp_path):
    """What cannot be read, what does not fit the structure, and the next table: one round, and no file."""
    first, other, out = handed_in / "readings.csv", handed_in / "more.csv", tmp_path / "life.zip"
    heads = "joint,part,face,date,measured,reading"
    first.write_text(
        f"{heads}\nW01,hanger,outer,2026-06-12,zinc,1.3 kg\nX9,hanger,outer,2026-06-12,zinc,1.3 mil\n",
        encoding="utf-8",
    )
    other.write_text(f"{heads}\nW01,hanger,outer,1950-06-12,zinc,1.3 mil\n", encoding="utf-8")
    code, _, err = record(*(handed_in / "walk.toml", "--readings", first, "--readings", other, "--out", out))
    assert code == 2
    assert "readings.csv: line 2" in err
    assert "readings.csv: line 3, joint" in err
    assert "more.csv: line 2, date" in err
    assert not out.exists()
