"""Conditions and rules in plain words, for a person who reads no rule file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from longhold.codes.conditions import ALWAYS, NEVER, Condition, Leaf, Many, Not
from longhold.codes.rules import Rule
from longhold.codes.vocabulary import vocabulary

__all__ = ["Lines", "condition_lines", "gives_words", "one_line", "or_list"]

Lines = tuple[tuple[int, str], ...]
"""Lines with their depth: 0 stands for itself, 1 within it, and so on."""

_OPPOSITE = {"at_least": "less than", "at_most": "more than", "more_than": "at most", "less_than": "at least"}
_OPS = {
    "at_least": "at least",
    "at_most": "at most",
    "more_than": "more than",
    "less_than": "less than",
    "at_least_fact": "at least",
}


def or_list(words: Sequence[str]) -> str:
    """Alternatives in one phrase.

    >>> or_list(["a nail", "a staple", "a bolt"])
    'a nail, a staple or a bolt'
    """
    between = "; " if any(", " in word for word in words[:-1]) else ", "
    return " or ".join(part for part in (between.join(words[:-1]), *words[-1:]) if part)


def condition_lines(condition: Condition) -> Lines:
    """A condition as lines that must all hold; alternatives stand below a line that says so.

    >>> from longhold.codes.conditions import read_condition
    >>> thin = {"item": ["nail", "staple"], "size_mm": {"at_most": 4}}
    >>> condition_lines(read_condition(thin, "example", {}))
    ((0, 'the part is a nail or a staple'), (0, 'the diameter or thickness is at most 4 mm (0.157 in)'))
    """
    if condition == NEVER:
        return ((0, "never"),)
    parts = condition.parts if isinstance(condition, Many) and condition.mode == "all" else (condition,)
    return tuple(line for part in parts for line in _lines(part))


def one_line(condition: Condition) -> str:
    """A condition in one phrase."""
    if isinstance(condition, Leaf):
        return _leaf(condition)
    if isinstance(condition, Not):
        inner = condition.part
        return (
            _leaf(inner, holds=False) if isinstance(inner, Leaf) else f"it is not so that {one_line(inner)}"
        )
    if not condition.parts:
        return "always" if condition == ALWAYS else "never"
    if condition.mode == "all":
        return " and ".join(one_line(part) for part in condition.parts)
    return "either " + ", or ".join(one_line(part) for part in condition.parts)


def gives_words(rule: Rule) -> tuple[str, ...]:
    """What a classification gives, in words."""
    return tuple(_given(name, value) for name, value in rule.gives.items())


def _given(name: str, value: Any) -> str:
    fact = vocabulary()[name]
    if isinstance(value, dict):
        return f"{fact.noun} is the sum of {', '.join(vocabulary()[one].noun for one in value['sum_of'])}"
    return fact.sentence(value)


def _lines(condition: Condition) -> Iterable[tuple[int, str]]:
    if isinstance(condition, Many) and condition.mode == "all":
        for part in condition.parts:
            yield from _lines(part)
    elif isinstance(condition, Many):
        yield 0, "one of these:"
        for part in condition.parts:
            yield 1, one_line(part)
    elif isinstance(condition, Not) and isinstance(condition.part, Many):
        yield 0, "not so:"
        yield from ((1, one_line(part)) for part in condition.part.parts)
    else:
        yield 0, one_line(condition)


def _leaf(leaf: Leaf, *, holds: bool = True) -> str:
    fact = leaf.fact
    if fact.type == "yes_no":
        wanted = True in leaf.value
        return fact.sentence(wanted == holds) if len(leaf.value) == 1 else f"{fact.noun}, is known"
    if leaf.op == "one_of":
        return f"{fact.noun} is {'' if holds else 'not '}{or_list([fact.words(one) for one in leaf.value])}"
    bound = vocabulary()[leaf.value].noun if leaf.op == "at_least_fact" else fact.words(leaf.value)
    word = _OPS[leaf.op] if holds else _OPPOSITE.get(leaf.op, "less than")
    return f"{fact.noun} is {word} {bound}"
