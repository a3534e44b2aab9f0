"""``longhold receive``, ``sample`` and ``bare`` as a person uses them."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from longhold.cli import main

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def said(capsys, monkeypatch):
    """Run a command; gives code, standard output with blanks joined, and standard error."""
    monkeypatch.setenv("COLUMNS", "120")

    def run(*words: object) -> tuple[int, str, str]:
        code = main.run([str(word) for word in words])
        told = capsys.readouterr()
        return code, " ".join(told.out.split()), told.err

    return run


def readings(folder: Path, means: list[float], pieces: int) -> Path:
    file = folder / "readings.csv"
    lines = [
        f"{piece},{means[(piece - 1) % len(means)] + at}" for piece in range(1, pieces + 1) for at in range(5)
    ]
    file.write_text("piece,reading (um)\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_the_demo_has_a_wrong_box_a_missing_certificate_and_a_better_metal(said):
    code, out, err = said("receive", DEMO / "order.csv", DEMO / "delivery.csv")
    assert (code, err) == (1, "")
    assert "11 lines delivered: 8 accepted, 1 accepted with a note, 2 refused." in out
    assert "none came: refused until it does" in out
    assert "Better metal than ordered" in out
    assert "Lesser metal than ordered" in out
    assert "Invented delivery" in out


def test_an_order_that_came_whole_ends_well(said, tmp_path):
    file = tmp_path / "list.csv"
    file.write_text("kind,size,label,quantity\nhanger,18 ga,G185,50\n", encoding="utf-8")
    assert said("receive", file, file)[0] == 0


@pytest.mark.parametrize("ending", ["pdf", "html"])
def test_a_delivery_is_recorded(said, tmp_path, ending):
    target = tmp_path / f"record.{ending}"
    code, out, _ = said(
        "receive", DEMO / "order.csv", DEMO / "delivery.csv", "--by", "A. Person", "--report", target
    )
    assert code == 1
    assert "Record:" in out
    content = target.read_bytes()
    if ending == "html":
        page = content.decode("utf-8")
        for words in ("A. Person", "not a certificate of conformity", "Invented delivery", "WO-232", "mend"):
            assert words in page
    else:
        assert content.startswith(b"%PDF")


@pytest.mark.slow
def test_a_refused_line_is_computed_in_its_structure(said):
    code, out, _ = said(
        *("receive", DEMO / "order.csv", DEMO / "delivery.csv", "--structure", DEMO / "boardwalk.toml"),
        *("--offers", DEMO / "offers.csv", "--draws", "200"),
    )
    assert code == 1
    assert "J07 Decking screws" in out
    assert "as it came" in out
    assert "worth 4,013 USD less" in out  # (88 - 17.60) / 100 for each of 5,700 screws


@pytest.mark.slow
def test_lines_of_the_list_that_are_no_offers_are_told_beside_what_may_take_a_lines_place(said, tmp_path):
    listed = tmp_path / "offers.csv"
    head, *lines = (DEMO / "offers.csv").read_text(encoding="utf-8").splitlines()
    lines[0] = lines[0].replace(lines[0].split(",")[head.split(",").index("price")], "cheap", 1)
    listed.write_text("\n".join([head, *lines]), encoding="utf-8")
    words = (
        *("receive", DEMO / "order.csv", DEMO / "delivery.csv", "--structure", DEMO / "boardwalk.toml"),
        *("--offers", listed, "--draws", "200", "--json"),
    )
    told = json.loads(said(*words)[1])
    assert told["instead"]
    left = [note for note in told["notes"] if note.startswith("Left aside in offers.csv: ")]
    assert len(left) == 1
    assert "cheap" in left[0]


@pytest.mark.slow
def test_what_may_take_a_lines_place_stands_in_json_and_record(said, tmp_path):
    target = tmp_path / "record.html"
    words = (
        *("receive", DEMO / "order.csv", DEMO / "delivery.csv", "--structure", DEMO / "boardwalk.toml"),
        *("--offers", DEMO / "offers.csv", "--draws", "200", "--report", target, "--json"),
    )
    told = json.loads(said(*words)[1])
    assert told["instead"]
    listed = (DEMO / "offers.csv").read_text(encoding="utf-8").splitlines()
    offers = {one["item"]: one for one in csv.DictReader(listed)}
    page = target.read_text(encoding="utf-8")
    assert "What may take the place of a refused line" in page
    for one in told["instead"]:
        assert one["packs"] == -(-5700 // one["pieces_a_pack"])  # the screws that came in zinc
        assert one["cost"] == pytest.approx(one["packs"] * float(offers[one["item"]]["price"]))
        assert all(0.0 <= joint["chance_with_it"] <= 1.0 for joint in one["joints"])
        assert one["item"] in page
    plain = json.loads(said("receive", DEMO / "order.csv", DEMO / "delivery.csv", "--json")[1])
    assert plain["instead"] is None


def test_a_plan_is_told_without_readings(said):
    code, out, _ = said("sample", "--standard", "ASTM A123", "--lot", 800, "--label", "A123 plate 5 mm")
    assert code == 0
    assert "Measure: 5 pieces" in out
    assert "25 in all" in out
    assert "77 % of cases" in out  # none of 5 drawn from 800 with 40 bad ones: 0.773


@pytest.mark.parametrize(
    ("mean", "pieces", "code", "words"),
    [
        (95.0, 5, 0, "Accept the lot"),
        (76.0, 5, 1, "Measure again"),
        (50.0, 5, 1, "Reject the lot"),
        (95.0, 4, 1, "1 of 5 pieces were not measured"),
    ],
)
def test_readings_decide(said, tmp_path, mean, pieces, code, words):
    file = readings(tmp_path, [mean], pieces)
    found = said(
        *("sample", "--standard", "A123", "--lot", 800, "--label", "A123 plate 5 mm", "--readings", file)
    )
    assert found[0] == code
    assert words in found[1]


@pytest.mark.parametrize("ending", ["pdf", "html"])
def test_a_check_is_recorded_with_its_curves(said, tmp_path, ending):
    target = tmp_path / f"check.{ending}"
    file = readings(tmp_path, [95.0, 99.0, 92.0], 5)
    words = ("sample", "--standard", "A123", "--lot", 800, "--label", "A123 plate 5 mm", "--readings", file)
    assert said(*words, "--by", "A. Person", "--report", target)[0] == 0
    content = target.read_bytes()
    if ending == "html":
        page = content.decode("utf-8")
        assert page.count("<figure") == 2
        for told in (
            "A. Person",
            "not a certificate of conformity",
            "Operating characteristic",
            "Accept the lot",
        ):
            assert told in page
    else:
        assert content.startswith(b"%PDF")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--standard", "A777", "--lot", 5, "--label", "A153 D"), "must be one of ASTM A123/A123M"),
        (("--standard", "A123", "--lot", 0, "--label", "A123 plate 5 mm"), "--lot is 0"),
        (("--standard", "A123", "--lot", 5), "neither is given"),
        (("--standard", "A123", "--lot", 5, "--label", "G90", "--least", "45um"), "both are given"),
        (("--standard", "A123", "--lot", 5, "--least", "45um", "--gauge", "good"), "is no uncertainty"),
        (("--standard", "A123", "--lot", 5, "--least", "45um", "--surface", "big"), "must be an area"),
        (
            ("--standard", "A123", "--lot", 5, "--least", "45um", "--report", "x.doc"),
            "must end in .pdf or .html",
        ),
    ],
)
def test_bad_input_is_one_message_and_no_file(said, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    code, out, err = said("sample", *words)
    assert (code, out) == (2, "")
    assert told in err
    assert list(tmp_path.iterdir()) == []


def test_a_bad_reading_leaves_no_record(said, tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text("piece,reading (um)\n1,-5\n", encoding="utf-8")
    code, _, err = said(
        *("sample", "--standard", "A123", "--lot", 5, "--least", "45um", "--readings", file),
        *("--report", tmp_path / "x.html"),
    )
    assert code == 2
    assert "negative" in err
    assert not (tmp_path / "x.html").exists()


def test_bare_spots(said):
    code, out, _ = said("bare", "--standard", "ISO 1461", "--surface", "0.1 m2", "--spot", "6 cm2")
    assert code == 1
    assert "may not be repaired" in out
    code, out, _ = said(
        "bare", "--standard", "ISO 1461", "--surface", "2 m2", "--spot", "6 cm2", "--repaired", "110 um"
    )
    assert code == 0
    assert "At least 100 µm" in out
    assert said("bare", "--standard", "ISO 1461", "--surface", "2 m2", "--spot", "6 cm2 x 2")[0] == 2


def test_a_delivery_as_json_says_what_the_table_says(said):
    code, out, err = said("receive", DEMO / "order.csv", DEMO / "delivery.csv", "--json")
    assert (code, err) == (1, "")
    told = json.loads(out)
    assert told["kind"] == "longhold receipt"
    assert told["whole"] is False
    verdicts = {one["item"]: one["verdict"] for one in told["lines"]}
    # by hand from the two files: no certificate for the lag screws that ask for one, zinc for a
    # stainless screw, a nail of a better grade
    assert {item for item, verdict in verdicts.items() if verdict == "refused"} == {"LA-344", "WO-232"}
    assert {item for item, verdict in verdicts.items() if verdict == "noted"} == {"NA-228"}
    boxes = {one["item"]: one["quantity"] for one in told["lines"]}
    assert boxes["WO-232"] == 57 * 100
    assert told["missing"] == []
    mends = {one["item"]: " ".join(one["mends"]) for one in told["lines"] if one["mends"]}
    assert set(mends) == {"LA-344", "WO-232"}
    assert "certificate of this lot" in mends["LA-344"]
    assert "exchanged" in mends["WO-232"]


def test_a_lot_as_json_gives_the_plan_and_the_decision(said, tmp_path):
    asked = ("sample", "--standard", "A123", "--lot", 800, "--least", "75um", "--json")
    code, out, _ = said(*asked)
    plan = json.loads(out)
    assert code == 0
    assert plan["plan"]["pieces"] == 5  # ASTM A123: five of a lot of 501 to 1,200
    assert plan["judgement"] is None
    code, out, _ = said(*asked, "--readings", readings(tmp_path, [40.0], 5))
    told = json.loads(out)
    assert code == 1
    assert told["judgement"]["decision"] == "reject"
    assert told["judgement"]["mean_um"] == pytest.approx(42.0)  # five readings of 40 to 44 on each piece


def test_a_fault_is_said_in_words_with_json_too(said, tmp_path):
    code, out, err = said("sample", "--standard", "A123", "--lot", 0, "--least", "75um", "--json")
    assert code == 2
    assert not out
    assert "--lot" in err


def test_every_line_of_a_delivery_that_cannot_be_is_told_at_once(said, tmp_path):
    came = tmp_path / "came.csv"
    came.write_text(
        "kind,size,label,quantity\nhanger,18 ga,G185,-5\nhanger,18 ga,G185,some\nhanger,18 ga,G185,7\n",
        encoding="utf-8",
    )
    code, _, err = said("receive", DEMO / "order.csv", came)
    assert code == 2
    assert "line 2" in err
    assert "line 3" in err
    came.write_text("kind,size,label,quantity\n" + 3 * "hanger,18 ga,G185,7\n", encoding="utf-8")
    code, _, err = said("receive", DEMO / "order.csv", came)
    assert code == 2
    assert "line 3" in err
    assert "line 4" in err
    code, _, err = said("receive", came, DEMO / "delivery.csv")
    assert code == 1  # an order may list a line several times
    came.write_text("kind,size,label,quantity\nhanger,18 ga,,5\nwidget,18 ga,G185,5\n", encoding="utf-8")
    code, _, err = said("receive", came, DEMO / "delivery.csv")
    assert code == 2
    assert "line 2" in err
    assert "line 3" in err
