from __future__ import annotations

from collections.abc import Callable

import pytest

from longhold.codes.advice import at_least_as_good, maker_advice
from longhold.codes.facts import facts_from_protection
from longhold.model.protection import Protection

Read = Callable[[str], Protection | None]


@pytest.mark.parametrize(
    ("text", "offered", "meaning"),
    [
        ("none", "G60", "none"),
        ("no recommendation", "G60", "none"),
        ("", "G60", None),
        ("accepts G90", "G90", "accepts"),
        ("accepts G90", "G185", "accepts"),
        ("accepts G90", "G60", "refuses"),
        ("accepts G90", "SS304", "accepts"),
        ("accepts G90", "plain_steel", "refuses"),
        ("accepts G90", "A123_2.0oz", "accepts"),
        ("accepts G90", "B695_55", None),
        ("accepts plain steel", "plain_steel", "accepts"),
        ("accepts plain steel", "A153_D", "accepts"),
        ("accepts plain steel", "aluminium", None),
        ("requires SS316", "SS304", "refuses"),
        ("requires SS316", "SS316", "accepts"),
        ("requires stainless", "G185", "refuses"),
        ("requires stainless", "SS410", "accepts"),
        ("accepts A153_D", "A153_C", "accepts"),
        ("accepts A153_C", "A153_D", "refuses"),
        ("accepts G185 or SS304", "SS316", "accepts"),
        ("does not accept G60", "G60", "refuses"),
        ("does not accept G90", "G60", "refuses"),
        ("does not accept G90", "G185", None),
        ("accepts unobtainium", "G185", None),
        ("G185", "G185", "accepts"),
    ],
)
def test_what_a_recommendation_means(
    finishes: dict[str, Protection], read: Read, text: str, offered: str, meaning: str | None
) -> None:
    assert maker_advice(text, facts_from_protection(finishes[offered]), read) == meaning


def test_the_order_of_finishes_is_sound(finishes: dict[str, Protection]) -> None:
    facts = [facts_from_protection(p) for p in finishes.values()]
    for one in facts:
        assert at_least_as_good(one, one) is not False
        for two in facts:
            if at_least_as_good(one, two) and at_least_as_good(two, one):
                assert one["finish"] == two["finish"] or "film" in one["finish"]
            for three in facts:
                if at_least_as_good(one, two) and at_least_as_good(two, three):
                    assert at_least_as_good(one, three) is not False
