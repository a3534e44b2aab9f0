"""``longhold air`` as a person uses it."""

import json
import re
import subprocess
import sys

import pytest

from longhold.cli import main
from longhold.intake import starter

HERE = ("33.97", "-77.92")
SITE = """
name = "Elsewhere"
distance_to_salt_water = "900 km"
climate = { station = "Denver" }
"""


@pytest.fixture
def air(capsys, monkeypatch):
    """Run ``air`` with few draws; gives code, standard output and standard error."""
    monkeypatch.setenv("COLUMNS", "110")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run(["air", "--draws", "200", *map(str, words)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def deck(tmp_path):
    path = tmp_path / "deck.toml"
    path.write_text(starter(), encoding="utf-8")
    return path


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(SITE, encoding="utf-8")
    return path


def squeezed(text):
    return " ".join(text.split())


def test_a_longitude_west_of_greenwich_is_typed_as_it_is(air):
    code, out, err = air(*HERE)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0] == "33.970° N, 77.920° W"
    assert lines[1].startswith("In the open, zinc loses ")
    for words in ("780 ft to the southeast", "As printed", "Moved to measured sites", "under cover", "C3"):
        assert words in out
    assert "not a certificate" in lines[-1]


@pytest.mark.parametrize(
    "words",
    [
        ("33.97,-77.92",),
        ("33.97, -77.92",),
        ("33.97,", "-77.92"),
        ("33.97N", "77.92W"),
        ("33.97 N, 77.92 W",),
        ("33.97°", "−77.92°"),
        ("--units", "us", *HERE),
        ("--", *HERE),
    ],
)
def test_a_position_may_be_written_in_several_ways(air, words):
    assert air(*words)[:2] == air(*HERE)[:2]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("95", "0"), "the latitude must lie between -90 and 90 degrees"),
        (("10", "200"), "West of Greenwich is negative: give -160."),
        (("-104.99", "39.74"), "Were they swapped? Then give 39.74 -104.99."),
        (("foo", "bar"), "must be latitude, then longitude"),
        (("33.97",), "must be latitude, then longitude"),
        (("33,97", "-77,92"), "must be latitude, then longitude"),
        (("nan", "nan"), "must be latitude, then longitude"),
        (("77.92W", "33.97N"), "must be latitude, then longitude"),
        ((*HERE, "5"), "must be latitude, then longitude"),
        (("0", "-30"), "in the open sea"),
        (("90", "0"), "in the open sea"),
        (("40.75", "-112.2"), "Great Salt Lake"),
        ((*HERE, "--distance", "150"), "--distance is '150': needs a unit"),
        ((*HERE, "--elevation", "20 km"), "--elevation is '20 km': must lie between"),
        ((*HERE, "--chloride", "60 oz"), "--chloride is '60 oz': has unit 'oz'"),
        ((*HERE, "--name", ""), "--name is ''"),
        ((*HERE, "--also", "91,0"), "--also is '91,0': the latitude must lie"),
        ((*HERE, "--also", "Denver"), "--also is 'Denver': must be latitude, then longitude"),
        ((*HERE, "--also", "0,-30 Atlantic"), "Atlantic: site.position"),
        ((*HERE, *["--also", "39,-105"] * 10), "stands 10 times; at most 9"),
        (("missing.toml",), "there is no such file"),
        ((*HERE, "--report", "no/such/folder/a.html"), "there is no folder"),
    ],
)
def test_what_cannot_be_used_is_said_once_and_is_code_two(air, words, says):
    code, out, err = air(*words)
    assert code == 2
    assert out == ""
    assert says in squeezed(err)
    assert "Traceback" not in err
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize("words", [("--reprot", "x", *HERE), (*HERE, "--reprot=x")])
def test_an_option_that_is_none_is_not_taken_for_a_number(air, words):
    code, out, err = air(*words)
    assert code == 2
    assert out == ""
    assert "there is no option --reprot. Did you mean --report?" in squeezed(err)


@pytest.mark.parametrize("words", [(), (*HERE, "--units", "cgs"), (*HERE, "--years", "0")])
def test_wrong_usage_is_bad_input(air, words):
    code, out, err = air(*words)
    assert code == 2
    assert out == ""
    assert "Usage" in err


def test_what_is_told_overrides_what_is_found(air):
    found = json.loads(air(*HERE, "--json")[1])
    told = json.loads(
        air(
            *HERE,
            *("--distance", "2 miles", "--shore", "sheltered", "--setting", "urban"),
            *("--elevation", "100 ft", "--name", "Pier", "--json"),
        )[1]
    )
    assert told["site"]["distance_to_salt_m"] == pytest.approx(3218.688)
    assert told["described"]["name"] == "Pier"
    assert told["described"]["shore"] == "sheltered"
    sulphur = "sulphur_dioxide_mg_m2_d"
    assert told["site"]["air_load"][sulphur]["median"] > found["site"]["air_load"][sulphur]["median"]
    assert told["site"]["first_year_um"]["zinc"]["p50"] < found["site"]["first_year_um"]["zinc"]["p50"]
    measured = json.loads(air(*HERE, "--chloride", "12 mg/m2/d", "--json")[1])
    assert measured["site"]["air_load"]["chloride_mg_m2_d"]["median"] == 12.0


def test_the_law_can_be_chosen(air):
    both, printed, moved = (
        json.loads(air(*HERE, "--air-law", law, "--json")[1])["site"]
        for law in ("both", "printed", "calibrated")
    )
    assert both["printed_first_year_um"] == printed["printed_first_year_um"]
    middle = {one["first_year_um"]["zinc"]["p50"] for one in (both, printed, moved)}
    assert len(middle) == 3
    assert sorted(middle)[1] == both["first_year_um"]["zinc"]["p50"]


def test_the_law_can_be_chosen_for_a_whole_structure(capsys, deck):
    said = []
    for law in ("printed", "calibrated"):
        main.run(["assess", str(deck), "--air-law", law, "--draws", "200", "--json"])
        said.append(json.loads(capsys.readouterr().out))
    assert said[0]["models"][0] != said[1]["models"][0]
    assert said[0]["site"]["first_year_um"] != said[1]["site"]["first_year_um"]
    assert main.run(["assess", str(deck), "--air-law", "guessed"]) == 2


def test_years_and_units_can_be_chosen(air):
    code, out, _ = air(*HERE, "--years", "10", "--units", "si")
    assert code == 0
    assert "at 10 years" in out
    assert " mil" not in out
    assert "240 m to the southeast" in out


def test_places_are_compared_in_the_order_given(air):
    code, out, _ = air(*HERE, "--name", "Pier", "--also", "39.74,-104.99 Denver", "--also", "-33.9 18.4")
    assert code == 0
    first = squeezed(out).split(" Bare metal in the open ")[0]
    assert first.startswith("In the open, 0.79 mil (20 µm) of zinc ")
    assert "at Denver; the third lies between." in first
    assert re.findall(r"^\d [^:]+:", out, re.MULTILINE) == ["1 Pier:", "2 Denver:", "3 33.900° S, 18.400° E:"]
    said = json.loads(air(*HERE, "--also", "39.74,-104.99 Denver", "--json")[1])
    assert [one["described"]["name"] for one in said] == ["33.970° N, 77.920° W", "Denver"]


def test_a_structure_file_lists_the_places_of_its_joints(air, deck):
    code, out, err = air(deck)
    assert (code, err) == (0, "")
    assert "Back yard" in out.splitlines()[0]
    assert re.search(r"open to rain \(J\d", out)
    assert "dry inside" not in out


def test_a_site_file_is_enough_without_a_position(air, site):
    code, out, _ = air(site, "--also", "33.97,-77.92 Pier")
    assert code == 0
    assert "1 Elsewhere" in out
    assert air(site)[1].splitlines()[0] == "Elsewhere, position not given"


def test_options_about_the_site_do_not_go_with_a_file(air, site):
    code, out, err = air(site, "--shore", "surf")
    assert code == 2
    assert out == ""
    assert "--shore: goes with a position." in err


def test_a_file_that_is_wrong_is_named(air, deck):
    deck.write_text(starter().replace('station = "Atlanta"', 'station = "Atlantis"'), encoding="utf-8")
    code, _, err = air(deck)
    assert code == 2
    assert str(deck) in err
    assert "Atlantis" in err


def test_a_page_is_written_and_named(air, tmp_path):
    report = tmp_path / "air.html"
    code, out, _ = air(*HERE, "--name", "Pier", "--also", "39.74,-104.99 Denver", "--report", report)
    assert code == 0
    html = report.read_text(encoding="utf-8")
    assert html.lstrip().lower().startswith("<!doctype html")
    assert "1 Pier" in html
    assert "2 Denver" in html
    assert f"Report: {report}" in out.replace("\n", "")
    assert [entry.name for entry in tmp_path.iterdir()] == ["air.html"]


def test_the_seed_decides_the_draws(air):
    first, again, other = (air(*HERE, "--json", "--seed", seed)[1] for seed in (1, 1, 2))
    assert first == again
    assert first != other


@pytest.mark.parametrize("width", ["40", "80", "120", "200"])
def test_no_line_is_too_long_and_nothing_is_cut(air, monkeypatch, width):
    answer = json.loads(air(*HERE, "--json")[1])["answer"]
    monkeypatch.setenv("COLUMNS", width)
    out = air(*HERE)[1]
    assert max(map(len, out.splitlines())) <= int(width)
    assert "…" not in out
    assert "�" not in out
    assert answer in squeezed(out)


def without_the_places_data(*words: str) -> subprocess.CompletedProcess[str]:
    hidden = "import sys; sys.modules['longhold_places'] = None"
    run = f"{hidden}; from longhold.cli.main import run; sys.exit(run({list(words)!r}))"
    return subprocess.run([sys.executable, "-c", run], capture_output=True, text=True, check=False)


def test_without_the_places_data_the_command_says_what_to_give_or_install(site):
    done = without_the_places_data("air", *HERE)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "longhold[places]" in done.stderr
    assert "Or give distance_to_salt_water." in done.stderr
    assert "Or give the climate of the site" in done.stderr
    assert "Traceback" not in done.stderr
    assert without_the_places_data("air", str(site), "--draws", "200").returncode == 0
