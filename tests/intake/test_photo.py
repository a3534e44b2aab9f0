"""Photographs of labels are read: words, codes, places, and what may be misread."""

from __future__ import annotations

import inspect
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from longhold.base.errors import InputError
from longhold.cli import main
from longhold.intake import photo_ocr
from longhold.intake.photo import read_photo

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def hanger(labels):
    """Picture of a hanger's label as a JPEG file, and what is on it."""
    drawn = labels["SETS"]["clean"][0]
    return labels["encoded"](labels["photograph"](drawn)), drawn


@pytest.fixture
def hanger_file(hanger, tmp_path):
    path = tmp_path / "label.jpg"
    path.write_bytes(hanger[0])
    return path


def test_words_confidence_places_and_code(hanger):
    data, drawn = hanger
    read = read_photo(data)
    assert read.rows == drawn.words
    assert read.label_words == drawn.text
    assert all(line.confidence > 0.8 for line in read.lines)
    (code,) = read.codes
    assert (code.kind, code.content, code.check_digit) == ("EAN-13", drawn.code, "right")
    tops = [line.box[0][1] for line in read.lines]
    assert tops == sorted(tops)
    assert all(0 <= x <= read.width and 0 <= y <= read.height for line in read.lines for x, y in line.box)


def test_nothing_is_fetched_at_run_time(hanger_file):
    """No socket can be made, and nothing even tries to reach or to name another machine."""
    code = (
        "import sys\n"
        "tried = []\n"
        "def guard(event, told):\n"
        "    if event.startswith('socket.') or event == 'urllib.Request':\n"
        "        tried.append(event)\n"
        "        raise OSError('sockets are forbidden here')\n"
        "sys.addaudithook(guard)\n"
        "from longhold.intake.photo import read_photo\n"
        "print(read_photo(open(sys.argv[1], 'rb').read()).text)\n"
        "print('tried', {name for name in tried if name != 'socket.__new__'})"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(hanger_file)], capture_output=True, text=True, timeout=300
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "ASTM A653 G185" in done.stdout
    assert done.stdout.splitlines()[-1] == "tried set()"


def test_models_that_are_missing_are_said_not_fetched(monkeypatch, tmp_path):
    import rapidocr

    monkeypatch.setattr(photo_ocr, "_built", inspect.unwrap(photo_ocr._built))  # nothing is kept of it
    monkeypatch.setattr(rapidocr, "__file__", str(tmp_path / "__init__.py"))
    with pytest.raises(InputError, match="came without its models"):
        photo_ocr._engine()


def test_several_threads_read_what_one_reads(labels):
    chosen = [labels["SETS"]["clean"][number] for number in (1, 7, 8)]
    files = [labels["encoded"](labels["photograph"](drawn)) for drawn in chosen]
    alone = [read_photo(data).text for data in files]
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(lambda data: read_photo(data).text, files * 2)) == alone * 2


def test_a_picture_turned_over_is_read_from_its_top(labels, hanger):
    drawn = hanger[1]
    for turns in (1, 2, 3):
        picture = np.ascontiguousarray(np.rot90(labels["photograph"](drawn), turns))
        assert read_photo(labels["encoded"](picture)).rows == drawn.words


def test_boxes_point_at_the_same_place_however_the_view_was_made(labels):
    drawn = labels["SETS"]["hard"][9]  # very soft: read in several views, of which one is turned level
    picture = labels["photograph"](drawn)
    read = read_photo(labels["encoded"](picture))
    grey = picture.mean(axis=2)
    for line in read.lines:
        xs, ys = zip(*line.box, strict=True)
        inside = grey[int(min(ys)) : int(max(ys)), int(min(xs)) : int(max(xs))]
        assert np.ptp(inside) > 20  # print and paper, not paper alone


@pytest.mark.parametrize("shade", [0, 128, 255])
def test_a_picture_without_text_is_refused(labels, shade):
    blank = np.full((480, 640, 3), shade, np.uint8)
    with pytest.raises(InputError, match="shows no text and no code"):
        read_photo(labels["encoded"](blank))


def test_the_command_shows_words_then_their_meaning(hanger_file, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "120")
    assert main.run(["label", "--photo", str(hanger_file)]) == 0
    out = capsys.readouterr().out
    assert out.index("JOIST HANGER 46 X 200") < out.index("2012345678903 (trade number, check digit right)")
    assert out.index("check digit right") < out.index("Standard: ASTM A653/A653M")


def test_the_command_takes_corrected_words(hanger_file, capsys):
    assert main.run(["label", "--photo", str(hanger_file), "--text", "hanger Z275 EN 10346"]) == 0
    out = capsys.readouterr().out
    assert "ASTM A653 G185" in out  # what was read stays in sight
    assert "Taken instead, as corrected" in out
    assert "Standard: EN 10346" in out


def test_json_holds_the_photograph_beside_the_label(hanger_file, capsys):
    assert main.run(["label", "--photo", str(hanger_file), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["parts"][0]["readings"][0]["designation"] == "ASTM A653 G185"
    assert told["photo"]["codes"][0]["check_digit"] == "right"
    assert len(told["photo"]["lines"][0]["box_px"]) == 4


def test_words_without_a_designation_are_shown_and_refused(labels, tmp_path, capsys):
    drawn = labels["Drawn"]("none", ("TIMBER SCREWS", "100 pieces"), traits=("laid",))
    path = tmp_path / "none.png"
    path.write_bytes(labels["encoded"](labels["photograph"](drawn), "PNG"))
    assert main.run(["label", "--photo", str(path)]) == 2
    said = capsys.readouterr()
    assert "TIMBER SCREWS" in said.out
    assert "--text" in said.err
    assert main.run(["label", "--photo", str(path), "--json"]) == 2
    assert "no designation" in json.loads(capsys.readouterr().out)["refused"]


def test_a_misread_class_is_proposed_and_not_applied(labels, tmp_path, capsys):
    drawn = labels["Drawn"]("slip", ("STRAP 30 x 2", "2275"), traits=("laid",))  # as if Z were printed as 2
    path = tmp_path / "slip.png"
    path.write_bytes(labels["encoded"](labels["photograph"](drawn), "PNG"))
    assert main.run(["label", "--photo", str(path)]) == 2
    out = capsys.readouterr().out
    assert "'2275' may be 'Z275'" in out
    assert "Standard" not in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["label"], "has no words"),
        (["label", "G90", "--text", "G60"], "goes with --photo"),
        (["label", "G90", "--photo", "x.jpg"], "cannot go with --photo"),
        (["label", "--photo", "x.jpg", "--text", " "], "is blank"),
        (["label", "--photo", "x.jpg"], "no such file"),
    ],
)
def test_wrong_ways_to_ask_are_told(words, said, capsys):
    assert main.run(words) == 2
    assert said in capsys.readouterr().err
