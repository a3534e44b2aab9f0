"""``longhold moved`` as a person uses it."""

import json

import pytest

from longhold.cli import main
from longhold.intake import starter


@pytest.fixture
def files(tmp_path):
    old, new = tmp_path / "old.toml", tmp_path / "new.toml"
    old.write_text(starter(), encoding="utf-8")
    new.write_text(starter(), encoding="utf-8")
    return old, new


@pytest.fixture
def moved(capsys, monkeypatch):
    """Run ``moved`` with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "110")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run(["moved", "--draws", "200", *map(str, words)])
        said = capsys.readouterr()
        return code, " ".join(said.out.split()), said.err

    return run


def changed(file, was, now):
    text = file.read_text(encoding="utf-8")
    assert was in text
    file.write_text(text.replace(was, now), encoding="utf-8")


def test_two_files_that_say_the_same(moved, files):
    code, out, err = moved(*files)
    assert (code, err) == (0, "")
    assert "nothing changed, nothing moved" in out


def test_a_change_of_units_moves_nothing_and_is_told(moved, files):
    changed(files[1], 'units = "us"', 'units = "si"')
    code, out, _ = moved(*files)
    assert code == 0
    assert "no finding of" in out
    assert "units: US Now: SI Moves: nothing: no finding hangs on it" in out


@pytest.mark.slow
def test_what_changed_and_why_it_moved(moved, files):
    changed(files[1], 'design_life = "30 years"', 'design_life = "20 years"')
    code, out, _ = moved(*files)
    assert code in (0, 1)
    assert "design life: 30 years Now: 20 years" in out
    assert "what is asked (design life)" in out
    assert "not a certificate" in out


@pytest.mark.slow
def test_json_is_plain_and_says_the_same_as_the_words(moved, files, capsys):
    changed(files[1], 'design_life = "30 years"', 'design_life = "20 years"')
    code, out, _ = moved(*files, "--json")
    said = json.loads(out)
    assert said["kind"] == "longhold moved"
    (change,) = said["changes"]
    assert (change["where"], change["was"], change["now"]) == ("design_life", "30 years", "20 years")
    assert change["moves"] == [one["id"] for one in said["joints"] if one["moved"]]
    for joint in said["joints"]:
        for name, (was, now) in joint["measures"].items():
            if was is not None and now is not None:
                shares = sum(one["moves"][name] for one in joint["shares"])
                assert shares + joint["left_over"][name] == pytest.approx(now - was, abs=1e-9)
    assert code == int(any(one["after"]["outcome"] == "fails" for one in said["joints"]))


@pytest.mark.slow
def test_a_page_is_written_whole_and_names_both_files(moved, files, tmp_path):
    changed(files[1], 'design_life = "30 years"', 'design_life = "20 years"')
    page = tmp_path / "moved.html"
    moved(*files, "--report", page)
    text = page.read_text(encoding="utf-8")
    assert "From old.toml to new.toml." in text
    assert "How it was found" in text
    assert "http" not in text.replace("http://www.w3.org", "").replace("http-equiv", "")


def test_bad_files_are_refused_by_name(moved, files, tmp_path):
    for bad, words in (("[[[", "new.toml"), (starter().replace("ASTM A653 G185", "shiny"), "new.toml")):
        files[1].write_text(bad, encoding="utf-8")
        code, out, err = moved(*files)
        assert code == 2
        assert words in err
        assert "Traceback" not in err
        assert out == ""
    code, _, err = moved(files[0], tmp_path / "none.toml")
    assert code == 2
    assert "none.toml" in err


@pytest.mark.parametrize("command", ["wood", "allowed", "across"])
def test_a_joint_that_is_none_is_told_alike_by_every_command(capsys, files, command):
    assert main.run([command, str(files[0]), "J9"]) == 2
    said = capsys.readouterr().err
    assert said.startswith(f"{files[0]}: JOINT is 'J9': there is no joint of this file with this id.")


def test_the_page_never_overwrites_what_is_read(moved, files):
    before = files[0].read_text(encoding="utf-8")
    code, _, err = moved(*files, "--report", files[0])
    assert code == 2
    assert "read here" in err
    assert files[0].read_text(encoding="utf-8") == before


def test_a_page_is_not_written_under_the_name_of_another_kind_of_file(moved, files, tmp_path):
    other = tmp_path / "other.toml"
    other.write_text("kept", encoding="utf-8")
    code, _, err = moved(*files, "--report", other)
    assert code == 2
    assert "must end in .html" in err
    assert other.read_text(encoding="utf-8") == "kept"
