from __future__ import annotations

from typing import Any

import pytest

from longhold.codes.conditions import ALWAYS, NEVER, read_condition
from longhold.codes.packs import list_packs, show_rule
from longhold.codes.plain_words import condition_lines, gives_words, one_line, or_list


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"item": "nail"}, "the part is a nail"),
        ({"not": {"item": ["nail", "staple"]}}, "the part is not a nail or a staple"),
        ({"preservative_treated": False}, "the wood carries no preservative"),
        ({"not": {"preservative_treated": True}}, "the wood carries no preservative"),
        ({"size_mm": {"at_least": 12.7}}, "the diameter or thickness is at least 12.7 mm (0.5 in)"),
        ({"not": {"size_mm": {"more_than": 12.7}}}, "the diameter or thickness is at most 12.7 mm (0.5 in)"),
        ({"size_mm": {"less_than": 5}}, "the diameter or thickness is less than 5 mm (0.197 in)"),
        (
            {"any": [{"item": "nail"}, {"finish": "copper"}]},
            "either the part is a nail, or the finish is copper",
        ),
    ],
)
def test_a_condition_in_one_line(data: dict[str, Any], said: str) -> None:
    assert one_line(read_condition(data, "test", {})) == said


def test_always_and_never() -> None:
    assert one_line(ALWAYS) == "always"
    assert condition_lines(NEVER) == ((0, "never"),)
    assert condition_lines(ALWAYS) == ()


def test_alternatives_stand_below_a_line_that_says_so() -> None:
    found = condition_lines(read_condition({"any": [{"item": "nail"}, {"item": "bolt"}]}, "test", {}))
    assert found == ((0, "one of these:"), (1, "the part is a nail"), (1, "the part is a bolt"))


def test_what_a_rule_gives_is_said() -> None:
    (zone,) = show_rule("NZ-Z-D")
    assert gives_words(zone) == ("the exposure zone of NZS 3604 is D",)
    (total,) = [rule for rule in show_rule("EU-3-14-01") if rule.gives]
    assert gives_words(total) == ("the corrosion resistance factor is the sum of F1, F2, F3",)


def test_or_list_of_none_one_and_two() -> None:
    assert (or_list([]), or_list(["a"]), or_list(["a", "b"])) == ("", "a", "a or b")


def test_every_rule_can_be_said() -> None:
    for pack in list_packs().values():
        for rule in pack.rules:
            for condition in (rule.when, rule.demand, rule.refer_if, rule.allows):
                assert all(text and depth in (0, 1) for depth, text in condition_lines(condition)), rule.id
