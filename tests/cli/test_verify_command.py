"""A result is computed again from what it carries; what differs is said."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from longhold.cli import main
from longhold.documents.repeated import compare_results
from longhold.intake import starter

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def deck(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("deck") / "deck.toml"
    path.write_text(starter(), encoding="utf-8")
    return path


def told(capsys, *words: object) -> tuple[int, str, str]:
    code = main.run([str(word) for word in words])
    said = capsys.readouterr()
    return code, said.out, said.err


@pytest.fixture
def result(deck, capsys, tmp_path) -> Path:
    path = tmp_path / "result.json"
    _, out, _ = told(capsys, "assess", deck, "--json", "--draws", 200, "--seed", 7, "--air-law", "printed")
    path.write_text(out, encoding="utf-8")
    return path


def change(path: Path, **values: object) -> dict:
    given = json.loads(path.read_text(encoding="utf-8"))
    given.update(values)
    path.write_text(json.dumps(given), encoding="utf-8")
    return given


def test_a_result_says_what_it_takes_to_repeat_it(result):
    given = json.loads(result.read_text(encoding="utf-8"))
    assert (given["seed"], given["draws"], given["air_law"]) == (7, 200, "printed")
    assert given["version"]
    assert given["packs"] == ["us_irc 2021"]
    assert {"air", "codes", "labels", "sources", "strength", "wood"} <= given["tables"].keys()
    assert all(len(value) == 64 for value in [given["inputs_sha256"], *given["tables"].values()])


def test_the_same_again(result, deck, capsys):
    code, out, err = told(capsys, "verify", result, "--input", deck, "--within", 0)
    assert (code, err) == (0, "")
    assert "Same answers, to the last digit." in out
    assert "deck.toml is what was assessed." in out.replace("\n", " ")


def test_an_answer_that_was_changed_is_found_with_its_size(result, capsys):
    given = json.loads(result.read_text(encoding="utf-8"))
    band = given["findings"][0]["protection_years"]
    band["p50"] *= 1.25
    change(result, findings=given["findings"])
    code, out, _ = told(capsys, "verify", result)
    assert code == 1
    assert "1 value differs; the largest difference of a number is 0.2 of its value." in out
    assert "findings[0].protection_years.p50" in out


def test_a_structure_that_was_changed_is_found(result, capsys):
    given = json.loads(result.read_text(encoding="utf-8"))
    given["described"]["design_life"] = "5 year"
    change(result, described=given["described"])
    code, out, _ = told(capsys, "verify", result)
    assert code == 1
    assert "Input differs" in out
    assert "values differ" in out


def test_another_file_is_not_what_was_assessed(result, capsys):
    code, out, _ = told(capsys, "verify", result, "--input", DEMO / "boardwalk.toml")
    assert code == 1
    assert "is not what was assessed" in " ".join(out.split())


def test_another_version_and_other_tables_are_said_and_the_answers_still_count(result, capsys):
    tables = json.loads(result.read_text(encoding="utf-8"))["tables"]
    change(result, version="0.0.9", tables={**tables, "wood": "0" * 64})
    code, out, _ = told(capsys, "verify", result)
    assert code == 0
    assert "Version differs: the result is of 0.0.9" in out
    assert "Tables differ: wood." in out


@pytest.mark.parametrize("changes", [{"tables": [1]}, {"target": 10**400}])
def test_nonsense_in_a_result_is_a_difference_and_no_error(result, changes, capsys):
    """Found by reading the code for what tools/fuzz.py would meet."""
    given = json.loads(result.read_text(encoding="utf-8"))
    given["findings"][0]["protection_years"]["p50"] = 10**400
    change(result, findings=given["findings"], **changes)
    code, out, _ = told(capsys, "verify", result)
    assert code == 1
    assert "findings[0].protection_years.p50" in out


def test_several_sites_are_one_result_each(deck, capsys, tmp_path):
    _, out, _ = told(capsys, "assess", deck, "--at", DEMO / "inland_site.toml", "--json", "--draws", 200)
    path = tmp_path / "two.json"
    path.write_text(out, encoding="utf-8")
    code, out, _ = told(capsys, "verify", path)
    assert code == 0
    assert out.count("Same answers, to the last digit.") == 2


@pytest.mark.slow
def test_what_readings_corrected_is_repeated_with_its_readings(capsys, tmp_path):
    words = ("readings", DEMO / "standing_walk.toml", DEMO / "readings.csv", "--json", "--draws", 400)
    _, out, _ = told(capsys, *words)
    path = tmp_path / "read.json"
    path.write_text(out, encoding="utf-8")
    code, out, err = told(capsys, "verify", path, "--within", 0)
    assert (code, err) == (0, "")
    assert "Same answers, to the last digit." in out


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[]", "holds no result"),
        ("[1]", "is no result of"),
        ("{", "is not JSON"),
        ('{"kind": "longhold air"}', "is no result of"),
        ('{"kind": "longhold assessment"}', "lacks described, seed"),
    ],
)
def test_what_is_no_result_is_refused(text, said, capsys, tmp_path):
    path = tmp_path / "other.json"
    path.write_text(text, encoding="utf-8")
    code, _, err = told(capsys, "verify", path)
    assert code == 2
    assert said in err


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"described": {"name": 3}}, "described.name cannot be read"),
        ({"described": []}, "cannot be read"),
        ({"seed": "one"}, "seed must be a whole number"),
        ({"draws": 3}, "must be between 200"),
        ({"air_law": "own"}, "air_law must be"),
        ({"with_readings": True}, "corrected by readings"),
    ],
)
def test_a_result_that_cannot_be_computed_again_is_refused(result, changes, said, capsys):
    change(result, **changes)
    code, _, err = told(capsys, "verify", result)
    assert code == 2
    assert said in err


def test_rounding_is_counted_apart():
    before, after = {"a": 1.0, "b": [2.0, "x"]}, {"a": 1.0 + 1e-12, "b": [2.0, "y", 3]}
    found = compare_results(before, after, 1e-9)
    assert found.rounded == 1
    assert [one.where for one in found.values] == ["b", "b[1]"]
    assert not compare_results(before, before, 0.0).values


@pytest.mark.slow
def test_the_same_bytes_in_any_process_with_one_thread_or_two(deck, tmp_path):
    """Nothing kept from an earlier run helps: each process simulates its timbers anew."""
    found = set()
    for seed, threads in (("1", "1"), ("2", "2"), ("77", "2")):
        names = ("NUMBA_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
        chosen = {
            **os.environ,
            **dict.fromkeys(names, threads),
            "PYTHONHASHSEED": seed,
            "LONGHOLD_CACHE": str(tmp_path / f"cache-{seed}"),
        }
        words = [sys.executable, "-m", "longhold", "assess", str(deck), "--json", "--draws", "200"]
        run = subprocess.run(words, env=chosen, capture_output=True, check=False)
        assert run.returncode in (0, 1), run.stderr
        found.add(run.stdout)
    assert len(found) == 1
