"""A user's own rule pack that governs a structure."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

import longhold
from longhold.assessment.across import across_codes
from longhold.assessment.allowed import allowed_at
from longhold.assessment.governing import governing_pack
from longhold.base.errors import InputError
from longhold.intake.load import loads
from longhold.model.structure import Structure

DECK = Path("demo/boardwalk.toml").read_text(encoding="utf-8")


def town() -> str:
    text = files("longhold").joinpath("tables", "codes", "README.md").read_text(encoding="utf-8")
    (found,) = re.findall(r"```toml\n(\[pack\].*?)```", text, re.DOTALL)
    return str(found)


def write(folder: Path, pack: str | None, name: str = "town.toml", edition: str = "2024") -> Path:
    if pack is not None:
        folder.joinpath(name).write_text(pack, encoding="utf-8")
    deck = folder / "deck.toml"
    code = f'[code]\npack = "{name}"\nedition = "{edition}"\n\n'
    deck.write_text(re.sub(r"\[code\][^\[]*", code, DECK), encoding="utf-8")
    return deck


@pytest.fixture(scope="module")
def deck(tmp_path_factory: pytest.TempPathFactory) -> Structure:
    return longhold.load(write(tmp_path_factory.mktemp("own"), town()))


def test_the_pack_beside_the_file_governs_and_says_whose_it_is(deck: Structure) -> None:
    assert governing_pack(deck.code).title == "Amendments of Harbor Town (invented) (your own rules)"
    found = longhold.assess(deck.model_copy(update={"joints": deck.joints[1:2]}), draws=200)
    hanger = found.findings[0].parts[0]
    assert hanger.code.verdict == "fail"
    assert hanger.code.pack == "harbor_town"
    assert "your own rules" in hanger.code.title
    assert found.packs == ("town.toml 2024, your own rules",)
    assert any("your own rules govern" in one.because for one in found.assumptions)
    assert "ordinance-14" in {source.id for source, _ in found.sources}


def test_it_stands_beside_the_codes_and_lists_what_is_allowed(deck: Structure) -> None:
    across = across_codes(deck, deck.joints[1])
    assert across.codes[0].pack == "harbor_town"
    assert across.codes[0].governs
    hanger = allowed_at(deck, deck.joints[1])[0]
    assert [one.words for one in hanger.with_verdict("pass")] == [
        "stainless 316",
        "stainless 2205",
        "stainless 2507",
    ]


def test_the_structure_carries_the_rules_with_it(deck: Structure) -> None:
    again = loads(deck.model_dump_json(), format="json")
    assert again.code == deck.code


@pytest.mark.parametrize(
    ("pack", "name", "edition", "said"),
    [
        (None, "twon.toml", "2024", "names a file that is not there"),
        ("[pack]\nid = 'x'\n", "town.toml", "2024", "lacks checks"),
        ("not toml", "town.toml", "2024", "is not TOML"),
        ("TOWN", "town.toml", "1999", "town.toml has 2021, 2024"),
        ("GUIDANCE", "town.toml", "2024", "is guidance, so it cannot govern"),
        ("\x00", "town.toml", "2024", "zero byte"),
    ],
)
def test_what_is_wrong_is_said_with_its_place(
    tmp_path: Path, pack: str | None, name: str, edition: str, said: str
) -> None:
    texts = {"TOWN": town(), "GUIDANCE": town().replace('kind = "code"', 'kind = "guidance"')}
    file = write(tmp_path, texts.get(pack or "", pack), name, edition)
    with pytest.raises(InputError, match=re.escape(said)) as caught:
        longhold.assess(longhold.load(file), draws=200)
    assert any("code." in one.where for one in caught.value.problems)


def test_a_pack_larger_than_any_input_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write(tmp_path, town() + "# filler\n" * 10)
    monkeypatch.setattr("longhold.base.files.MOST_BYTES", len(DECK.encode()) + 500)
    longhold.load(file)
    (tmp_path / "town.toml").write_text(town() + "# filler\n" * 5000, encoding="utf-8")
    with pytest.raises(InputError, match="names a file that is larger than"):
        longhold.load(file)


def test_rules_without_their_file_are_refused() -> None:
    text = DECK.replace('pack = "us_irc"', 'pack = "us_irc"\nrules = "[pack]"', 1)
    with pytest.raises(InputError, match=r"stands only where code\.pack names the file"):
        loads(text)


@pytest.mark.parametrize("name", ["uk_nhbc", "good_practice", "no_such"])
def test_only_a_code_governs(name: str) -> None:
    text = DECK.replace('pack = "us_irc"', f'pack = "{name}"', 1)
    with pytest.raises(InputError, match="must be one of"):
        longhold.assess(loads(text), draws=200)
