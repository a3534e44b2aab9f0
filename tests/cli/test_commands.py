"""Commands as a person types them: what is printed where, and the exit code."""

import json
import os
import subprocess
import sys

import pytest

from longhold.cli import main
from longhold.intake import load


@pytest.fixture
def command(capsys, monkeypatch):
    """Run one command in this process; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "120")

    def run(*words: str) -> tuple[int, str, str]:
        code = main.run(words)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_version_is_printed(command):
    code, out, _ = command("--version")
    assert code == 0
    assert out.startswith("longhold 0.")


def test_help_names_every_command(command):
    code, out, _ = command("--help")
    assert code == 0
    for name in ("air", "assess", "label", "new", "schema", "sources", "validate", "weather"):
        assert name in out


@pytest.mark.parametrize(
    "words", [("bogus",), ("assess",), ("assess", "--bogus"), ("assess", "x", "--units", "cgs")]
)
def test_wrong_usage_is_bad_input(command, words):
    code, out, err = command(*words)
    assert code == 2
    assert out == ""
    assert "Usage" in err


def test_new_writes_a_file_that_loads_and_never_overwrites(command, tmp_path):
    path = tmp_path / "deck.toml"
    assert command("new", str(path))[0] == 0
    assert load(path).name == "Back deck"
    path.write_text("mine", encoding="utf-8")
    code, _, err = command("new", str(path))
    assert code == 2
    assert "is not overwritten" in err
    assert path.read_text(encoding="utf-8") == "mine"


def test_new_prints_for_a_dash(command):
    code, out, _ = command("new", "-")
    assert code == 0
    assert "[[joints]]" in out


def test_schema_prints_json_only(command):
    code, out, _ = command("schema")
    assert code == 0
    assert json.loads(out)["title"] == "Longhold structure file"


def test_sources_are_counted_by_mark(command):
    code, out, _ = command("sources")
    assert code == 0
    assert "own" in out
    assert "rows of tables by mark" in out
    assert "values read in their source" in out


def test_a_fault_of_our_own_is_code_three_and_short(command, monkeypatch):
    def broken():
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr("longhold.intake.json_schema.schema", broken)
    code, _, err = command("schema")
    assert code == 3
    assert "ZeroDivisionError: by nothing" in err
    assert "LONGHOLD_TRACEBACK=1" in err
    assert "Traceback" not in err
    monkeypatch.setenv("LONGHOLD_TRACEBACK", "1")
    assert "Traceback" in command("schema")[2]


def test_stopping_is_said_plainly(command, monkeypatch):
    def stopped():
        raise KeyboardInterrupt

    monkeypatch.setattr("longhold.intake.json_schema.schema", stopped)
    code, _, err = command("schema")
    assert code == 130
    assert err.strip() == "Stopped."


def test_a_reader_that_leaves_early_is_no_fault():
    done = subprocess.run(
        f"{sys.executable} -m longhold schema | head -c 5",
        shell=True,
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == '{\n  "'
    assert done.stderr == ""


def test_no_colour_in_a_pipe():
    done = subprocess.run(
        [sys.executable, "-m", "longhold", "sources"],
        capture_output=True,
        env={**os.environ, "TERM": "xterm-256color"},
        check=True,
    )
    assert b"\x1b" not in done.stdout


EMC = "temp_F,rh_pct,emc_pct_published\n70,50,9.2\n70,50,12.0\n70,500,9.2\n"


def test_validate_counts_and_lists_what_is_not_right(command, tmp_path):
    path = tmp_path / "emc.csv"
    path.write_text(EMC, encoding="utf-8")
    code, out, err = command("validate", "emc", str(path))
    assert (code, err) == (0, "")
    assert out.splitlines()[-1] == "emc: 3 rows, 2 answered, 1 right."
    assert "2: not right" in out
    assert "3: not answered" in out


def test_validate_prints_json_only(command, tmp_path):
    path = tmp_path / "emc.csv"
    path.write_text(EMC, encoding="utf-8")
    said = json.loads(command("validate", "emc", str(path), "--json")[1])
    assert (said["rows"], said["answered"], said["right"]) == (3, 2, 1)
    assert len(said["details"]) == 3


def test_validate_refuses_bad_files_and_areas(command, tmp_path):
    path = tmp_path / "emc.csv"
    path.write_text("a,b\n1,2\n", encoding="utf-8")
    code, _, err = command("validate", "emc", str(path))
    assert code == 2
    assert "lacks columns temp_F, rh_pct, emc_pct_published" in err
    assert command("validate", "enc", str(path))[0] == 2


def test_the_help_of_validate_names_every_area(command):
    from longhold.validate import AREAS

    out = command("validate", "--help")[1]
    assert all(name in out for name in AREAS)


def test_label_says_what_the_words_promise(command):
    code, out, err = command("label", "ASTM", "A653", "G185")
    assert (code, err) == (0, "")
    assert "39.5" in out


def test_label_tells_all_readings_and_the_question(command):
    code, out, _ = command("label", "galvanized")
    assert code == 0
    assert "?" in out


def test_label_refuses_what_it_cannot_read_with_the_nearest(command):
    code, out, err = command("label", "G91")
    assert code == 2
    assert out == ""
    assert "G90" in err


@pytest.mark.slow
@pytest.mark.parametrize("words", [["--help"], ["label", "G90"]])
def test_start_up_waits_for_no_heavy_library(words):
    """What it does not load costs no time on any machine; how long it takes is in the benchmarks."""
    heavy = ("numpy", "scipy", "numba", "pint", "fastapi", "sqlalchemy", "dask", "pyarrow", "openpyxl")
    script = (
        "import sys; from longhold.cli.main import run; run(sys.argv[1:]); "
        f"sys.stderr.write(','.join(one for one in {heavy} if one in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", script, *words], capture_output=True, text=True, check=True)
    assert done.stderr == ""
