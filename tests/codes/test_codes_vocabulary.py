from __future__ import annotations

import pytest

from longhold.base.errors import InputError, TableError
from longhold.codes.vocabulary import _fact, check_facts, vocabulary


def test_every_fact_can_be_said_in_a_sentence() -> None:
    for fact in vocabulary().values():
        values = [True, False] if fact.type == "yes_no" else list(fact.values) or [1.5]
        for value in values:
            assert not fact.refuses(value)
            assert len(fact.sentence(value).split()) >= 2


def test_unknown_fact_is_refused_with_its_neighbours() -> None:
    with pytest.raises(InputError, match="finish"):
        check_facts({"finnish": "plain_steel"})


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("finish", "gold", "must be one of"),
        ("size_mm", "3 mm", "must be a number in mm"),
        ("size_mm", True, "must be a number"),
        ("size_mm", float("nan"), "must be a number"),
        ("preservative_treated", "yes", "must be true or false"),
    ],
)
def test_value_that_a_fact_cannot_have_is_refused(name: str, value: object, said: str) -> None:
    with pytest.raises(InputError, match=said):
        check_facts({name: value})


def test_every_problem_is_named_not_only_the_first() -> None:
    with pytest.raises(InputError) as caught:
        check_facts({"finish": "gold", "size_mm": "thin"})
    assert len(caught.value.problems) == 2


@pytest.mark.parametrize(
    "entry",
    [
        {"type": "text", "noun": "a"},
        {"type": "choice", "noun": "a"},
        {"type": "yes_no", "ask": "whether", "yes": "it is"},
        {"type": "number", "noun": "a", "unit": "mm", "colour": "red"},
    ],
)
def test_bad_entry_of_the_vocabulary_is_refused(entry: dict[str, object]) -> None:
    with pytest.raises(TableError):
        _fact("bad", entry)
