"""Commands around building models: what is written, what is refused, and that nothing is half-written."""

import re
import runpy
from pathlib import Path

import pytest

from longhold.cli.main import run

ROOT = Path(__file__).resolve().parents[2]
MODEL = ROOT / "demo" / "deck_frame.ifc"
FILL = runpy.run_path(str(ROOT / "tests" / "documents" / "test_ifc_writing.py"))["filled"]


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


@pytest.fixture
def deck_file(tmp_path):
    file = tmp_path / "deck.toml"
    assert run(["draft", str(MODEL), str(file)]) == 0
    file.write_text(FILL(file.read_text(encoding="utf-8")), encoding="utf-8")
    return file


def test_a_draft_is_written_and_says_what_is_missing(tmp_path, capsys):
    assert run(["draft", str(MODEL), str(tmp_path / "deck.toml")]) == 0
    told = capsys.readouterr().out
    assert "38 pieces of metal in 3 joints" in told
    assert "marked MISSING" in told
    assert re.search(r"IfcFastener \S{22} 'Weld on post base'", told)
    assert run(["draft", str(MODEL)]) == 0
    assert capsys.readouterr().out == (tmp_path / "deck.toml").read_text(encoding="utf-8")


def test_a_draft_is_never_written_over_a_file(tmp_path, capsys):
    (tmp_path / "deck.toml").write_text("mine", encoding="utf-8")
    assert run(["draft", str(MODEL), str(tmp_path / "deck.toml")]) == 2
    assert "not overwritten" in capsys.readouterr().err
    assert (tmp_path / "deck.toml").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("text", ["", "no model", "ISO-10303-21;\nHEADER;\n"])
def test_a_file_that_is_no_model_leaves_nothing_behind(tmp_path, capsys, text):
    (tmp_path / "bad.ifc").write_text(text, encoding="utf-8")
    assert run(["draft", str(tmp_path / "bad.ifc"), str(tmp_path / "deck.toml")]) == 2
    assert capsys.readouterr().err.startswith(str(tmp_path / "bad.ifc"))
    assert names(tmp_path) == ["bad.ifc"]


def test_a_draft_that_is_not_filled_in_is_refused_field_by_field(tmp_path, capsys):
    file = tmp_path / "deck.toml"
    run(["draft", str(MODEL), str(file)])
    assert run(["assess", str(file)]) == 2
    told = capsys.readouterr().err
    for field in ("design_life", "joints[0].place", "joints[2].parts[0].kind"):
        assert f"{file}: {field} is ''" in told


def test_findings_are_written_to_another_file(tmp_path, capsys, deck_file):
    before = MODEL.read_bytes()
    out = tmp_path / "out.ifc"
    words = ["assess", str(deck_file), "--ifc", str(MODEL), "--ifc-out", str(out), "--draws", "200"]
    assert run(words) in (0, 1)
    told = capsys.readouterr().err
    assert "findings on 38 elements" in told
    assert "30 elements have Pset_ElementComponentCommon already: left as it is." in told
    assert out.read_text(encoding="utf-8").count("'Longhold_Forecast'") == 38
    assert MODEL.read_bytes() == before
    assert names(tmp_path) == ["deck.toml", "out.ifc"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--ifc", str(MODEL)], "needs --ifc-out"),
        (["--ifc-out", "out.ifc"], "needs --ifc MODEL.ifc"),
        (["--ifc", str(MODEL), "--ifc-out", str(MODEL)], "is a file that is read here"),
        (["--ifc", str(MODEL), "--ifc-out", "out.txt"], "must end in .ifc"),
        (["--ifc", str(MODEL), "--ifc-out", "nowhere/out.ifc"], "there is no folder"),
        (["--ifc", "none.ifc", "--ifc-out", "out.ifc"], "no such file"),
    ],
)
def test_a_wrong_pair_of_models_is_refused_before_any_work(
    tmp_path, monkeypatch, capsys, deck_file, words, said
):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("longhold.assessment.line.assess", None)
    before = MODEL.read_bytes()
    assert run(["assess", str(deck_file), *words]) == 2
    assert said in capsys.readouterr().err
    assert names(tmp_path) == ["deck.toml"]
    assert MODEL.read_bytes() == before


def test_a_full_disk_leaves_the_old_output_and_nothing_else(tmp_path, monkeypatch, capsys, deck_file):
    out = tmp_path / "out.ifc"
    out.write_text("old", encoding="utf-8")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    words = ["assess", str(deck_file), "--ifc", str(MODEL), "--ifc-out", str(out), "--draws", "200"]
    assert run(words) == 2
    assert "No space left on device" in capsys.readouterr().err
    assert out.read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["deck.toml", "out.ifc"]
