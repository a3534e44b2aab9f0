from __future__ import annotations

import re
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from longhold.base.errors import InputError
from longhold.codes.evaluator import evaluate_pack
from longhold.codes.user_pack import check_user_pack, read_user_pack

HEAD = """
[pack]
id = "town"
title = "Town"
kind = "code"
jurisdictions = ["US"]
checks = ["compliance"]
editions = ["2021", "2024"]
candidates = "us"
source = "own"
mark = "own"
"""
REST = """
[[rule]]
id = "T-9"
kind = "not_governed"
clause = "9"
otherwise = true
says = "Nothing else."
source = "own"
mark = "own"
"""


def rule(**change: Any) -> str:
    lines: Mapping[str, Any] = {
        "id": '"T-1"',
        "kind": '"demand"',
        "clause": '"1"',
        "when": '{ item = "nail" }',
        "demand": '{ finish = "stainless" }',
        "says": '"Nails are stainless."',
        "source": '"own"',
        "mark": '"own"',
        **change,
    }
    return "\n[[rule]]\n" + "\n".join(f"{key} = {value}" for key, value in lines.items() if value) + "\n"


def readme_example() -> str:
    text = files("longhold").joinpath("tables", "codes", "README.md").read_text(encoding="utf-8")
    (found,) = re.findall(r"```toml\n(\[pack\].*?)```", text, re.DOTALL)
    return str(found)


def test_an_id_of_a_pack_held_here_is_refused() -> None:
    _, problems = check_user_pack(readme_example().replace('"harbor_town"', '"us_irc"'))
    assert problems == ("pack: id 'us_irc' is that of a pack held here; choose another",)


def test_its_own_sources_come_along() -> None:
    pack, _ = check_user_pack(readme_example())
    assert pack is not None
    assert list(pack.own_sources) == ["ordinance-14"]


def test_the_example_of_the_readme_is_sound_and_answers() -> None:
    pack, problems = check_user_pack(readme_example())
    assert problems == ()
    assert pack is not None
    strap = {"item": "connector", "treatment": "acq", "distance_to_salt_water_m": 1000.0}
    zinc = {"finish": "mill_zinc_sheet", "mill_total_g_m2": 564.5}
    damp = evaluate_pack(pack, "2024", {**strap, **zinc, "exposure": "interior_damp"})
    assert damp.verdict == "fail"
    assert damp.deciding[0].clause == "14.3"
    assert damp.would_pass_with == ("stainless 316", "stainless 2205", "stainless 2507")
    dry = evaluate_pack(pack, "2021", {**strap, **zinc, "exposure": "interior_dry"})
    assert (dry.verdict, dry.deciding[0].clause) == ("pass", "14.2")
    assert evaluate_pack(pack, "2021", {**strap, **zinc, "distance_to_salt_water_m": 1001}).verdict == (
        "not_governed"
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("x = [", "is not TOML"),
        (rule(), r"has no table \[pack\]"),
        (
            HEAD.replace('kind = "code"', 'kind = "wish"') + rule() + REST,
            "not one of code, standard, guidance",
        ),
        (
            HEAD.replace('title = "Town"', 'colour = "red"') + rule() + REST,
            "unknown keys colour, lacks title",
        ),
        (HEAD.replace('"2021", "2024"', '"2021", "2021"') + rule() + REST, "each edition once"),
        (HEAD.replace('"compliance"', '"wish"') + rule() + REST, "are not all in"),
        (HEAD + "part = []" + rule() + REST, "write the rules into this file"),
        (HEAD + REST.replace("own", "nowhere", 1), "source 'nowhere' is not there"),
        (HEAD + rule(when='{ itm = "nail" }') + REST, "fact 'itm' is not in the vocabulary; near it: item"),
        (HEAD + rule(when='{ item = "spoon" }') + REST, "must be one of"),
        (HEAD + rule(source="") + REST, "T-1: lacks its source"),
        (HEAD + rule(mark="") + REST, "T-1: lacks its mark"),
        (HEAD + rule(mark='"certain"') + REST, "mark 'certain' is not one of"),
        (HEAD + rule(mark='"verified"') + REST, "nobody read source 'own'"),
        (HEAD + rule() + rule() + REST, "editions of its records overlap in 2021"),
        (HEAD + rule() + rule(editions='["2024"]') + REST, "editions of its records overlap in 2024"),
        (HEAD + rule(editions='["1999"]') + REST, "are not all in"),
        (HEAD + rule(when='{ item = "nail", part_kind = "connector" }') + REST, "T-1: can never be asked in"),
        (HEAD + rule(demand='{ finish = "stainless", metal_family = "zinc" }') + REST, "can never be met"),
        (HEAD + REST.replace("T-9", "T-0") + "stops = true\n" + rule() + REST, "T-1: can never be asked in"),
        (HEAD + rule(exceptions='["T-2"]') + REST, "calls T-2, which is no exception"),
        (HEAD + rule(), "can end without an answer"),
        (HEAD + rule(topic='"tea"') + REST, "topic tea is not in the table of editions"),
        (HEAD + rule(when='"nail"') + REST, "when must be a table"),
        (HEAD + rule(when='{ term = "thin" }') + REST, "term 'thin' is not defined above it"),
        (HEAD + "[terms]\nthin = 3\n" + rule() + REST, r"write it as \[terms.thin\]"),
        (HEAD + "[terms.thin]\nsize_mm = 3\nsource = 'own'\nmark = 'own'\n" + rule() + REST, "needs says"),
        (HEAD + "[source.a]\ntitle = 'A'\n" + rule() + REST, "must have exactly title, where, and read"),
        (HEAD + "[source.own]\ntitle = 'A'\nwhere = 'B'\nread = true\n" + rule() + REST, "is there already"),
        (HEAD + "[wish]\n" + rule() + REST, r"\[wish\] is not a table of a pack"),
        (HEAD, "has no rule that can be read"),
        ("rule = [3]\n" + HEAD, "rule number 1: is not a table"),
        ("rule = 3\n" + HEAD, r"write each as \[\[rule\]\]"),
        ("source = 3\n" + HEAD + rule() + REST, r"write each as \[source.NAME\]"),
        (HEAD.replace('"us"', '"mars"') + rule() + REST, "no list 'mars'"),
    ],
)
def test_what_is_wrong_is_said(text: str, said: str) -> None:
    _, problems = check_user_pack(text)
    assert any(re.search(said, problem) for problem in problems), problems


def test_every_problem_is_said_at_once_and_none_is_made_up() -> None:
    text = HEAD + rule(when='{ itm = "nail" }') + rule(id='"T-2"', source='"nowhere"') + REST
    _, problems = check_user_pack(text)
    assert len(problems) == 2


def test_a_pack_with_problems_is_refused_with_its_name() -> None:
    with pytest.raises(InputError, match=r"town\.toml: rule T-1: lacks its source"):
        read_user_pack(HEAD + rule(source="") + REST, "town.toml")
    assert read_user_pack(HEAD + rule() + REST, "town.toml").id == "town"


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 9) | st.sampled_from(["own", "nail", "item", "2021", ""]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["item", "any", "not", "term", "size_mm", "at_most"]), inner, max_size=3
        )
    ),
    max_leaves=6,
)
KEYS = [
    "id",
    "kind",
    "editions",
    "clause",
    "under",
    "when",
    "demand",
    "exceptions",
    "gives",
    "allows",
    "says",
]


@settings(deadline=None, max_examples=150)
@given(st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=6))
def test_no_rule_however_odd_crashes_the_check(entry: dict[str, Any]) -> None:
    text = {key: _toml(value) for key, value in entry.items() if value is not None}
    check_user_pack(HEAD + rule(**text) + REST)


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        inner = ", ".join(f"{key} = {_toml(item)}" for key, item in value.items() if item is not None)
        return f"{{ {inner} }}"
    if isinstance(value, list):
        return f"[{', '.join(_toml(item) for item in value if item is not None)}]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def test_a_file_nested_too_deep_is_refused_in_words() -> None:
    pack, problems = check_user_pack("a = " + "[" * 100_000)
    assert pack is None
    assert "nested too deep" in problems[0]
