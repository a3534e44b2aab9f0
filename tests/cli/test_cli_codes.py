"""Commands ``codes``, ``across`` and ``allowed`` as a person types them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from longhold.cli import main

Command = Callable[..., tuple[int, str, str]]
DECK = "demo/boardwalk.toml"
TOWN = """
[pack]
id = "town"
title = "Harbor Town"
kind = "code"
jurisdictions = ["US"]
checks = ["compliance"]
editions = ["2024"]
source = "own"
mark = "own"

[[rule]]
id = "T-1"
kind = "demand"
clause = "1"
when = { item = "nail" }
demand = { finish = "stainless" }
says = "Nails are stainless."
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


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Command:
    def run(*words: str, columns: int = 160) -> tuple[int, str, str]:
        monkeypatch.setenv("COLUMNS", str(columns))
        code = main.run(words)
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def town(tmp_path: Path) -> Path:
    path = tmp_path / "town.toml"
    path.write_text(TOWN, encoding="utf-8")
    return path


@pytest.mark.parametrize("columns", [40, 80, 160])
def test_packs_are_listed_with_editions_and_marks(command: Command, columns: int) -> None:
    code, out, _ = command("codes", "list", columns=columns)
    assert code == 0
    for words in ("us_irc", "good_practice", "2003", "memory"):
        assert words in out
    assert max(map(len, out.splitlines())) <= columns


def test_rules_of_one_pack_are_listed(command: Command) -> None:
    code, out, _ = command("codes", "list", "nz_b2")
    assert code == 0
    assert "NZ-B2-50" in out
    data = json.loads(command("codes", "list", "nz_b2", "--json")[1])
    assert {rule["id"] for rule in data["rule_records"]} == {"NZ-B2-50", "NZ-B2-15", "NZ-B2-5"}


def test_list_as_json_counts_every_pack(command: Command) -> None:
    data = json.loads(command("codes", "list", "--json")[1])
    (ibc,) = [pack for pack in data if pack["id"] == "us_ibc"]
    assert ibc["editions"][0] == "2003"
    assert sum(ibc["rules"].values()) > 15


@pytest.mark.parametrize("columns", [40, 80, 160])
def test_a_rule_is_shown_in_words_with_examples(command: Command, columns: int) -> None:
    code, out, _ = command("codes", "show", "us-irc-05", columns=columns)
    assert code == 0
    words = " ".join(out.split())
    for said in (
        "Clause: R304.3.1 in 2024",
        "Asked when: the kind of part is a connector",
        "Asked because: the wood carries a preservative",
        "Met because: ",
        "Would pass with: ASTM A653 G185 sheet",
        "Mark: verified",
    ):
        assert said in words
    assert max(map(len, out.splitlines())) <= columns


def test_show_as_json_has_the_same(command: Command) -> None:
    (view,) = json.loads(command("codes", "show", "US-IRC-19", "--json")[1])
    assert view["mark"] == "memory"
    assert [one["verdict"] for one in view["examples"]] == ["pass", "fail"]


def test_marks_add_up(command: Command) -> None:
    data = json.loads(command("codes", "marks", "--json")[1])
    listed = json.loads(command("codes", "list", "--json")[1])
    assert set(data["rules"]) == {"code", "standard", "guidance"}
    assert sum(data["rules"]["guidance"].values()) == sum(
        sum(pack["rules"].values()) for pack in listed if pack["kind"] == "guidance"
    )
    code, out, _ = command("codes", "marks", columns=80)
    assert code == 0
    assert "LIFE-02" in out
    assert all(one["id"] in out for one in data["not_evaluated"])


def test_our_own_packs_are_sound(command: Command) -> None:
    code, out, _ = command("codes", "check")
    assert code == 0
    assert "no problem" in out
    assert json.loads(command("codes", "check", "--json")[1]) == {"file": None, "problems": []}


def test_a_pack_of_ones_own_is_checked(command: Command, town: Path) -> None:
    code, out, _ = command("codes", "check", str(town))
    assert code == 0
    assert "no problem" in out
    town.write_text(TOWN.replace("item =", "itm ="), encoding="utf-8")
    code, out, _ = command("codes", "check", str(town))
    assert code == 2
    assert "near it: item" in out
    code, out, _ = command("codes", "check", str(town), "--json")
    assert code == 2
    assert len(json.loads(out)["problems"]) == 1


def test_a_pack_of_ones_own_is_asked_beside_others(command: Command, town: Path) -> None:
    code, out, _ = command("across", DECK, "J02", "--packs", f"us_irc:2015,{town}", "--json")
    assert code == 0
    found = {row["pack"]: row for row in json.loads(out)["codes"]}
    assert [one["verdict"] for one in found["us_irc"]["parts"]] == ["fail", "pass"]
    assert [one["verdict"] for one in found["town"]["parts"]] == ["not_governed", "fail"]


@pytest.mark.parametrize("columns", [40, 80, 160])
def test_across_says_who_disagrees_and_keeps_guidance_apart(command: Command, columns: int) -> None:
    code, out, _ = command("across", DECK, "J02", columns=columns)
    assert code == 0
    words = " ".join(out.split())
    assert "They disagree on nail (HDG per ASTM A153): allowed by" in words
    assert "Strictest is" in words or "Strictest are" in words
    codes, guidance = words.split("Guidance and good practice")
    assert "against the advice" in guidance
    assert "against the advice" not in codes
    assert max(map(len, out.splitlines())) <= columns


def test_facts_can_be_told(command: Command) -> None:
    told = ("--fact", "hazard_class=H3.2", "--fact", "height_above_ground_mm=900")
    before = json.loads(command("across", DECK, "J02", "--packs", "nz_3604", "--json")[1])
    after = json.loads(command("across", DECK, "J02", "--packs", "nz_3604", *told, "--json")[1])
    assert before["codes"][0]["verdict"] == "refer"
    assert after["codes"][0]["verdict"] == "fail"


@pytest.mark.parametrize("columns", [40, 80, 160])
def test_allowed_lists_what_passes_apart_from_what_is_open(command: Command, columns: int) -> None:
    code, out, _ = command("allowed", DECK, "J02", "--part", "nail", columns=columns)
    assert code == 0
    words = " ".join(out.split())
    assert words.index("Would pass: ") < words.index("Left open by the code: ") < words.index("Not allowed: ")
    assert "90 in 100 asked" in words
    assert "stainless 316" in words
    assert "hanger (" not in words.split("nail (nail", 1)[0]
    assert max(map(len, out.splitlines())) <= columns


def test_allowed_as_json(command: Command) -> None:
    (nail,) = json.loads(command("allowed", DECK, "J02", "--part", "nail", "--json")[1])
    assert {one["verdict"] for one in nail["options"]} == {"pass", "fail", "refer"}
    assert all(one["years"] or one["no_years"] for one in nail["options"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("codes", "show", "US-IRC-5"), "US-IRC-05"),
        (("codes", "list", "mars"), "must be one of at_b2320"),
        (("codes", "check", "no_such.toml"), "cannot be read"),
        (("across", DECK, "J2"), "Near it: "),
        (("across", DECK, "J02", "--packs", "us_irc:2010"), "known here in 2003"),
        (("across", DECK, "J02", "--packs", "mars"), "must be one of"),
        (("across", DECK, "J02", "--packs", "au_2309"), "gives no verdict on a part"),
        (("across", DECK, "J02", "--packs", ","), "names no pack"),
        (("across", DECK, "J02", "--packs", "no_such.toml"), "cannot be read"),
        (("across", DECK, "J02", "--fact", "zone=C"), "near it: nz_zone"),
        (("across", "no_such.toml", "J02"), "no_such.toml"),
        (("allowed", DECK, "J02", "--part", "nial"), "Near it: nail"),
        (("allowed", DECK, "J02", "--fact", "nz_zone"), "must read name=value"),
    ],
)
def test_bad_input_is_said_and_is_code_2(command: Command, words: tuple[str, ...], said: str) -> None:
    code, out, err = command(*words)
    assert code == 2
    assert out == ""
    assert said in " ".join(err.split())


def test_codes_alone_shows_its_commands(command: Command) -> None:
    _, out, _ = command("codes", "--help")
    assert all(word in out for word in ("list", "show", "marks", "check"))


def test_a_pack_can_be_asked_about_facts(command: Command, town: Path) -> None:
    nail = ("--fact", "item=nail", "--fact", "finish=plain_steel", "--fact", "treatment=acq")
    nail += ("--fact", "application=other")
    code, out, _ = command("codes", "ask", "us_irc:2015", *nail, "--fact", "exposure=exterior_exposed")
    words = " ".join(out.split())
    assert code == 0
    assert "International Residential Code in 2015: not allowed" in words
    assert "US-IRC-03, R317.3.1" in words
    assert "Not met because: the finish is plain steel" in words
    assert "Harbor Town in 2024: not allowed" in command("codes", "ask", str(town), *nail)[1]


def test_a_classification_is_asked_by_the_same_command(command: Command) -> None:
    _, out, _ = command("codes", "ask", "us_awpa", "--fact", "application=wood_foundation")
    assert "the use category that the place asks for is UC4B" in out
    answer = json.loads(
        command("codes", "ask", "au_2309", "--fact", "distance_to_salt_water_m=30", "--json")[1]
    )
    assert answer["missing_facts"] == ["water_kind"]


def test_ask_refuses_an_edition_that_is_not_there(command: Command) -> None:
    code, _, err = command("codes", "ask", "us_irc:2010")
    assert code == 2
    assert "known here in 2003" in err


def test_an_id_in_place_of_a_file_says_what_to_do(command: Command) -> None:
    code, _, err = command("codes", "check", "us_irc")
    assert code == 2
    assert "is the id of a pack held here" in err
    assert "longhold codes list us_irc" in err


def test_the_list_shows_the_kinds_apart(command: Command) -> None:
    _, out, _ = command("codes", "list", columns=80)
    codes, rest = out.split("Standards: ")
    standards, guidance = rest.split("Guidance: ")
    assert "us_irc" in codes
    assert "uk_nhbc" not in codes
    assert all(name in standards for name in ("uk_nhbc", "us_awpa", "eu_335"))
    assert "good_practice" in guidance


def test_across_keeps_private_standards_apart(command: Command) -> None:
    _, out, _ = command("across", DECK, "J02", "--packs", "us_irc:2021,uk_nhbc")
    codes, standards = out.split("Private and product standards")
    assert "NHBC" not in codes
    assert "NHBC" in standards
